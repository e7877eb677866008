"""Findings that say much the same count little more than one of them, and in any order."""

from __future__ import annotations

import math

import pytest
from arclore.engine.diagnosis.akin import OVERLAP, counted_share
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library

ONE, OTHER = "other-clubs-fine", "only-one-club-off"
CAUSE = "one-club-does-not-match"


def test_the_first_counts_whole_and_its_like_by_what_is_left() -> None:
    symptoms = {"a": {"akin_to": ["b", "c"]}, "b": {}, "c": {}, "d": {}}
    assert [counted_share(name, "abcd", symptoms) for name in "abcd"] == [1.0, 1.0 - OVERLAP, 1.0 - OVERLAP, 1.0]
    assert [counted_share(name, "bcad", symptoms) for name in "bcad"] == [1.0, 1.0, 1.0 - OVERLAP, 1.0]


def test_akin_findings_told_together_say_more_than_one_and_less_than_both() -> None:
    bench = Bench(load_library())

    def log_odds(**found: list[str]) -> float:
        ranking = bench.ranking(bench.case({"shots": [{"club": "mid-iron"}], **found}))
        sets = ranking.model.sets
        alone = (sets.sizes == 1) & (sets.members[:, 0] == ranking.model.place[CAUSE])
        return math.log(float(ranking.probability[alone].item()) / float(ranking.probability[0]))

    nothing = log_odds()
    one, other = (log_odds(present=[name]) - nothing for name in (ONE, OTHER))
    both = log_odds(present=[ONE, OTHER]) - nothing
    assert log_odds(present=[OTHER, ONE]) - nothing == pytest.approx(both)
    assert both == pytest.approx(other + (1.0 - OVERLAP) * one)  # the rarer of the two counts whole
    assert max(one, other) < both < one + other
    # one seen and the other not are no repetition
    apart = log_odds(present=[ONE], absent=[OTHER]) - nothing
    assert apart == pytest.approx(one + log_odds(absent=[OTHER]) - nothing)
