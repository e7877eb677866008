"""Sets of three causes: played like pairs, against brute force, and the sample against all of them."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis import threes
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.posterior import all_sets, symmetric_sum
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.threes import Threes
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library

from tests.diagnosis.brute_force import CHOSEN, flight_of_set

TWO_CLUBS: dict[str, Any] = {
    "handed": "right",
    "level": "intermediate",
    "shots": [
        {"club": "driver", "start": "left", "curve": "right"},
        {"club": "mid-iron", "start": "left", "curve": "none"},
    ],
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def ranking_of(bench: Bench, given: dict[str, Any], chosen: tuple[str, ...]) -> Ranking:
    """The ranking of a case among a few causes only."""
    library = bench.library
    case = bench.case(given)
    causes = {name: library.causes[name] for name in chosen}
    model = Model(causes, library.settings, case.families, bench.model(case).conditions, case.level)
    return Ranking(model, case, library.symptoms, library.checks)


def test_a_triple_against_brute_force(bench: Bench) -> None:
    """P(flight | three causes) within 0.03 of 2,048 played deliveries for each triple of four causes."""
    left = [{"club": club, "start": "left"} for club in ("driver", "mid-iron")]
    ranking = ranking_of(bench, {**TWO_CLUBS, "shots": left}, CHOSEN[:4])
    rows = np.array(list(combinations(range(4), 3)), dtype=np.int32)
    played = Threes(ranking).flight(rows)
    brute = [flight_of_set(ranking.model, ranking.case, [int(i) for i in row], 2048) for row in rows]
    assert played == pytest.approx(brute, abs=0.03)
    assert max(brute) > 0.3


@pytest.mark.parametrize("measured", [{}, {"divot-direction": -4.0}], ids=["words", "a number beside them"])
def test_a_third_cause_that_moves_nothing_leaves_the_flight_as_it_is(bench: Bench, measured: dict[str, float]) -> None:
    """The triple's likelihood is then its pair's, that of a number which the flight has nearly told included."""
    ranking = ranking_of(bench, {**TWO_CLUBS, "checks": measured}, (*CHOSEN[:2], "no-steady-routine"))
    assert len(ranking.beside) == len(measured)
    model = ranking.model
    assert not model.candidates[model.place["no-steady-routine"]].entry.get("moves")
    pair = ranking.flight(frozenset(ranking.answers))[(model.sets.members < 3).all(axis=1) & (model.sets.sizes == 2)]
    triple = Threes(ranking).flight(np.array([[0, 1, 2]], dtype=np.int32))
    assert float(abs(pair - triple).min()) < 1e-12


def test_few_causes_are_all_played(bench: Bench) -> None:
    """Mass and marginals are the sums over all sets; nothing is estimated."""
    ranking = ranking_of(bench, TWO_CLUBS, CHOSEN[:5])
    found = Threes(ranking)
    assert found.unplayed == 0.0
    assert len(found.sets.sizes) == 20 - 4 * len(ranking.model.exclusive)
    pairs = ranking.other(found.answers) * ranking.flight(found.answers)
    stated = ranking.model.settings["acting_causes"]
    pairs[ranking.model.sets.sizes == 2] *= stated[2] / (stated[2] + stated[3])
    prior = found.sets.product(ranking.model.weights)
    three = stated[3] * prior / prior.sum() * found.flight(found.sets.members)
    total = pairs.sum() + three.sum()
    assert found.mass == pytest.approx(three.sum() / total, rel=1e-9)
    holding = [
        (pairs[(ranking.model.sets.members == i).any(axis=1)].sum() + three[(found.sets.members == i).any(1)].sum())
        / total
        for i in range(6)
    ]
    assert found.marginal == pytest.approx(holding, rel=1e-9)


def test_the_sample_stands_for_all_triples(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Mass and marginals of 1,600 triples out of a third of a million: near those of twelve times as many."""
    ranking = bench.ranking(bench.case(TWO_CLUBS))
    few = Threes(ranking)
    assert 0.0 < few.mass < 1.0  # worked out before more are asked for
    monkeypatch.setattr(threes, "PLAYED", 16_000)
    monkeypatch.setattr(threes, "DRAWN", 3_000)
    many = Threes(ranking)
    assert many.unplayed < 0.8 * few.unplayed
    assert few.mass == pytest.approx(many.mass, abs=0.004)
    assert few.marginal == pytest.approx(many.marginal, abs=0.004)


def test_a_large_library_is_looked_at_in_part(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of fewer members the triples are theirs alone, and no more likely for it."""
    ranking = bench.ranking(bench.case(TWO_CLUBS))
    whole = Threes(ranking)
    assert 0.0 < whole.mass < 1.0
    monkeypatch.setattr(threes, "MOST_MEMBERS", 60)
    part = Threes(ranking)
    assert len(part.sets.sizes) < len(whole.sets.sizes) / 5
    assert set(np.unique(part.sets.members)) <= set(np.argsort(-ranking.marginal, kind="stable")[:60])
    assert 0.0 < part.mass < whole.mass


def test_triples_of_weights() -> None:
    """Newton's identities against the sum over all sets, and as many sets as there are combinations."""
    weights = np.random.default_rng(2).random(9)
    for size in (1, 2, 3):
        sets = all_sets(9, size)
        rows = sets.sizes == size
        assert sets.members[rows].tolist() == [list(row) for row in combinations(range(9), size)]
        assert symmetric_sum(weights, size) == pytest.approx(float(sets.product(weights)[rows].sum()), rel=1e-12)


def test_the_answer_says_what_is_left_out(bench: Bench) -> None:
    """More evidence that no two causes fit makes three likelier; a case stopped for safety says nothing of it."""
    answer = triage(TWO_CLUBS, bench)
    assert 0.0 < answer["sets_of_three"]["estimated"] <= answer["mass_left_out"] < 1.0
    assert [row["id"] for row in answer["sets_of_three"]["causes"]] == [cause["id"] for cause in answer["causes"]]
    assert triage({**TWO_CLUBS, "pain": True}, bench)["mass_left_out"] is None
