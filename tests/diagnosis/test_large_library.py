"""Libraries of many causes: one cause at a time exactly, and shifts brought together that hardly differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis import model as of_model
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.snapping import groups, means
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library

from tests.bench.ranking import CASE, grown


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def ranked(bench: Bench, causes: Mapping[str, Any], largest: int = 2, given: Mapping[str, Any] = CASE) -> Ranking:
    case = bench.case(given)
    library = bench.library
    model = Model(causes, library.settings, case.families, bench.model(case).conditions, case.level, largest)
    return Ranking(model, case, library.symptoms, library.checks)


def test_one_cause_at_a_time_is_what_pairs_make_of_it(bench: Bench) -> None:
    """A set of one has the likelihood it has among pairs, and its chance is that share."""
    one, two = (ranked(bench, bench.library.causes, largest) for largest in (1, 2))
    single = two.model.sets.sizes < 2
    assert one.flight(frozenset(one.answers)) == pytest.approx(two.flight(frozenset(two.answers))[single], rel=1e-9)
    alone = two.probability[single] / two.model.prior[single] * one.model.prior
    assert one.probability == pytest.approx(alone / alone.sum(), rel=1e-9)


def test_nodes_brought_together_move_chances_little(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three hundred causes at 150 nodes a block and at as many as they have: no chance moves by more than 0.006."""
    causes = grown(bench.library.causes, 300)
    whole = ranked(bench, causes).marginal
    monkeypatch.setattr(of_model, "MOST_NODES", 150)
    together = ranked(bench, causes)
    assert len(together.model.nodes("direction", together.clubs_of("direction")).shifts[0]) == 152
    moved = np.abs(together.marginal - whole)
    assert 0.0 < moved.max() < 0.006
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
