"""Libraries of many causes: one cause at a time exactly, and shifts brought together that hardly differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis import model as of_model
from arclore.engine.diagnosis.classes import ClassedPairs
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.snapping import groups, means
from arclore.engine.diagnosis.triage import Bench, triage, unfolding
from arclore.engine.library.stack import load_library
from arclore.tui.doubt_words import more_line

from tests.bench.ranking import CASE, grown


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def ranked(bench: Bench, causes: Mapping[str, Any], given: Mapping[str, Any] = CASE, **model_of: int) -> Ranking:
    case = bench.case(given)
    library = bench.library
    conditions = bench.model(case).conditions
    model = Model(causes, library.settings, case.families, conditions, case.level, **model_of)
    return Ranking(model, case, library.symptoms, library.checks)


def test_one_cause_at_a_time_is_what_pairs_make_of_it(bench: Bench) -> None:
    """A set of one has the likelihood it has among pairs, and its chance is that share."""
    one, two = (ranked(bench, bench.library.causes, largest=largest) for largest in (1, 2))
    single = two.model.sets.sizes < 2
    assert one.flight(frozenset(one.answers)) == pytest.approx(two.flight(frozenset(two.answers))[single], rel=1e-9)
    alone = two.probability[single] / two.model.prior[single] * one.model.prior
    assert one.probability == pytest.approx(alone / alone.sum(), rel=1e-9)


def test_nodes_brought_together_move_chances_little(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three hundred causes at 150 nodes a block and at as many as they have: no chance moves by more than 0.01."""
    causes = grown(bench.library.causes, 300)
    whole = ranked(bench, causes).marginal
    monkeypatch.setattr(of_model, "MOST_NODES", 150)
    together = ranked(bench, causes)
    assert len(together.model.nodes("direction", together.clubs_of("direction")).shifts[0]) == 152
    moved = np.abs(together.marginal - whole)
    assert 0.0 < moved.max() < 0.01
    assert together.marginal[:-1].argmax() == whole[:-1].argmax()


def test_rows_are_cut_where_they_differ_most() -> None:
    """Two clumps far apart and a lone row become three groups, whose means are their rows' by weight."""
    rows = np.array([[0.0, 0.0], [0.2, 0.0], [10.0, 0.0], [10.2, 0.0], [0.0, 5.0]])
    weights = np.array([1.0, 3.0, 1.0, 1.0, 1.0])
    group = groups(rows, weights, 3, 0.05)
    assert group[0] == group[1] and group[2] == group[3] and len(set(group.tolist())) == 3
    assert means(rows, weights, group)[group[0]] == pytest.approx([0.15, 0.0])
    assert len(set(groups(rows, weights, None, 0.05).tolist())) == 5
    assert len(set(groups(rows, weights, None, 1.0).tolist())) == 3


GIVEN: dict[str, Any] = {
    **CASE,
    "present": ["worse-under-pressure", "great-effort-little-speed"],
    "absent": ["strike-all-over-face"],
    "checks": {"both-set-ups-fit-their-clubs": "something-off"},
    "measured": [{"club": "driver", "quantity": "swing_direction_deg", "value": -4.0}],
}


@pytest.mark.parametrize("given", [CASE, GIVEN], ids=["flight", "everything"])
def test_classes_of_causes_give_what_all_pairs_give(bench: Bench, given: Mapping[str, Any]) -> None:
    """Three hundred causes: chances of causes and families, of nothing and of two are those of the plain ranking."""
    plain = ranked(bench, grown(bench.library.causes, 300), given)
    families = [candidate.entry["family"] for candidate in plain.model.candidates]
    _, group_of = np.unique([*families, "~"], return_inverse=True)
    classed = ClassedPairs(plain, group_of)
    assert classed.count < len(plain.model.ids)
    assert plain.model.exclusive
    assert classed.marginal == pytest.approx(plain.marginal, abs=1e-12)
    assert classed.grouped == pytest.approx(plain.grouped(group_of), abs=1e-12)
    assert classed.nothing_to_fix == pytest.approx(plain.nothing_to_fix, abs=1e-12)
    assert classed.mass == pytest.approx(float(plain.probability[plain.model.sets.sizes == 2].sum()), abs=1e-12)


def test_a_large_library_ranks_one_cause_at_a_time_and_tells_what_pairs_change(bench: Bench) -> None:
    """Above the size in its settings: the same chances of pairs beside a ranking of single causes, and a line of it."""
    library = bench.library
    whole = triage(CASE, bench)
    large = Bench(replace(library, settings={**library.settings, "most_paired_causes": 100}))
    large._plain = bench._plain  # the same clubs: their tables are laid already
    *_, told = unfolding(CASE, large, thorough=True)
    assert (whole["sets_of_two"], told["sets_of_three"], len(told["acting"]["chances"])) == (None, None, 2)
    found = told["sets_of_two"]
    assert 100 < found["classes"] <= len(library.causes)
    causes = [(cause["id"], cause["probability"]) for cause in whole["causes"]]
    assert [(cause["id"], cause["probability"]) for cause in found["causes"]] == causes
    assert found["families"] == whole["families"]
    assert found["probability"] == pytest.approx(whole["acting"]["chances"][2], abs=1e-6)
    assert found["nothing_to_fix"] == whole["nothing_to_fix"]
    assert "one cause at a time is ranked" in more_line(told) and more_line(whole) != more_line(told)
