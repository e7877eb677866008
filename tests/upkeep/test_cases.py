"""A library's own cases: what counts as a miss, and the built-in library's cases on each of its grounds."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from arclore.engine.library.stack import Library, load_layers
from arclore.engine.upkeep.cases import CaseRun, misses, problems, run_cases, scores

from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry, Small

ANSWER: dict[str, Any] = {
    "stop": None,
    "need_balls": False,
    "causes": [{"family": name, "probability": 0.4} for name in ("posture", "grip-hold", "grip-hold", "tee-height")],
    "delivery_faults": [{"id": name} for name in ("face-open", "steep", "strike-toe", "shallow")],
    "nothing_to_fix": 0.25,
}


@pytest.mark.parametrize(
    ("expect", "missed"),
    [
        ({"families": ["grip-hold"]}, []),
        ({"families": ["tee-height"]}, ["families"]),
        ({"families": ["tee-height"], "within": 4}, []),
        ({"families": ["grip-hold"], "within": 1}, ["families"]),
        ({"families": ["tee-height", "posture"]}, []),
        ({"delivery_faults": ["steep"]}, []),
        ({"delivery_faults": ["shallow"]}, ["delivery_faults"]),
        ({"not_first": ["grip-hold"]}, []),
        ({"not_first": ["posture"]}, ["not_first"]),
        ({"stop": False, "need_balls": False}, []),
        ({"stop": True, "need_balls": True}, ["stop", "need_balls"]),
        ({"leading_at_most": 0.4}, []),
        ({"leading_at_most": 0.39}, ["leading_at_most"]),
        ({"nothing_to_fix_at_least": 0.25}, []),
        ({"nothing_to_fix_at_least": 0.3}, ["nothing_to_fix_at_least"]),
    ],
)
def test_what_is_missed(expect: dict[str, Any], missed: list[str]) -> None:
    assert [miss.field for miss in misses(expect, ANSWER)] == missed


def test_a_stopped_lesson_meets_a_case_that_wants_it_stopped() -> None:
    stopped = {**ANSWER, "stop": "Stop here.", "causes": [], "delivery_faults": []}
    assert list(misses({"stop": True}, stopped)) == []
    assert [miss.got for miss in misses({"families": ["posture"]}, stopped)] == ["nothing"]


def test_scores_count_only_the_cases_that_expect_a_family() -> None:
    runs = [
        CaseRun("first", "t", (), (), 1, 0.5),
        CaseRun("third", "t", (), (), 3, 0.25),
        CaseRun("fifth", "t", (), (), 5, 0.125),
        CaseRun("unseen", "t", (), (), None, 0.125),
        CaseRun("stopped", "t", (), ()),
    ]
    found = scores(runs)
    assert found is not None
    assert (found.scored, found.first, found.first_three) == (4, 0.25, 0.5)
    assert found.log_loss == pytest.approx(np.log(2) * (1 + 2 + 3 + 3) / 4)
    assert found.brier == pytest.approx((0.5**2 + 0.75**2 + 2 * 0.875**2) / 4)
    assert scores(runs[-1:]) is None


GROUNDS = [
    "chips-heavy-with-the-chest-tipping-back",
    "driver-set-up-like-an-iron",
    "left-hander-shuts-the-putter",
    "sand-swing-too-gentle",
    "sore-wrist-after-bunker-practice",
]


def test_cases_of_every_ground_are_answered_as_they_expect(built_in: Library) -> None:
    runs = list(run_cases(built_in, frozenset(GROUNDS)))
    assert [run.id for run in runs] == GROUNDS
    assert {run.id: run.misses for run in runs if run.misses} == {}


def test_a_missed_case_is_a_row_at_what_it_expects(small: Small) -> None:
    def change(entries: dict[str, Entry]) -> None:
        shots = [{"club": "driver", "start": "left", "how_often": "often"}]
        entries["met"] = sound_entry("case", "met", case={"shots": shots}, expect={"families": ["posture"]})
        entries["not-met"] = sound_entry("case", "not-met", case={"shots": shots}, expect={"families": ["tee-height"]})
        entries["unknown"] = sound_entry("case", "unknown", case={"present": ["no-such-thing"]})
        entries["old"] = sound_entry("case", "old", retired={"reason": "told twice"}, expect={"stop": True})

    library = load_layers([small(change)])
    runs = list(run_cases(library))
    assert {run.id: [miss.field for miss in run.misses] for run in runs} == {
        "met": [],
        "not-met": ["families"],
        "unknown": ["case"],
    }
    rows = problems(library, runs)
    assert [(row.entry, row.field) for row in rows] == [("not-met", "expect.families"), ("unknown", "case")]
    assert all(row.code == "case-missed" and row.line > 1 and row.hint for row in rows)
    assert "no-such-thing" in rows[1].message
