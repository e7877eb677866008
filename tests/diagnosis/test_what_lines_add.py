"""What a coach's lines must add to an answer."""

from __future__ import annotations

from typing import Any

import pytest
from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library

ACROSS = {"club": "driver", "start": "left", "curve": "right"}
HEAVY = {"club": "mid-iron", "contact": ["fat"], "turf": ["behind"]}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def answer(bench: Bench, *shots: dict[str, Any], **more: Any) -> dict[str, Any]:
    return triage({"handed": "right", "level": "novice", "shots": list(shots), **more}, bench)


def chance(found: dict[str, Any], fault: str) -> float:
    return next((row["probability"] for row in found["delivery_faults"] if row["id"] == fault), 0.0)


def test_ten_balls_of_one_kind_say_more_than_five(bench: Bench) -> None:
    five, ten = (answer(bench, {**ACROSS, "count": count}) for count in (5, 10))
    assert chance(ten, "path-out-to-in") > chance(five, "path-out-to-in") > 0.8


def test_two_other_balls_of_ten_leave_the_eight_their_say(bench: Bench) -> None:
    found = answer(bench, {**ACROSS, "count": 8}, {"club": "driver", "start": "on-line", "curve": "none", "count": 2})
    assert chance(found, "path-out-to-in") > 0.6


def test_heavy_and_thin_with_a_mark_behind_says_no_less_in_one_line(bench: Bench) -> None:
    apart = answer(bench, HEAVY, {"club": "mid-iron", "contact": ["thin"]})
    together = answer(bench, {**HEAVY, "contact": ["fat", "thin"]})
    assert chance(together, "low-point-behind") == pytest.approx(chance(apart, "low-point-behind"), abs=0.05)


def test_enough_balls_ask_for_none_more(bench: Bench) -> None:
    assert answer(bench, {**ACROSS, "count": 10})["need_balls"] == 0


def test_a_result_that_the_check_does_not_have_is_refused(bench: Bench) -> None:
    with pytest.raises(CaseError, match="nonsense"):
        answer(bench, ACROSS, checks={"little-ball-shows-above-the-driver": "nonsense"})


def test_starts_and_bends_counted_apart_are_one_set_of_balls(bench: Bench) -> None:
    starts = {"club": "driver", "start": "left", "count": 4}
    bends = [{"club": "driver", "curve": "right", "count": 2}, {"club": "driver", "curve": "none", "count": 1}]
    assert answer(bench, starts)["need_balls"] == answer(bench, starts, *bends)["need_balls"] == 1


def test_what_is_said_beside_a_count_is_heard_and_what_is_counted_is_not_said_once_more(bench: Bench) -> None:
    starts = {"club": "driver", "start": "left", "count": 8}
    away, toward = (answer(bench, starts, {"club": "driver", "curve": side}) for side in ("right", "left"))
    assert chance(away, "path-out-to-in") > chance(toward, "path-out-to-in") + 0.3
    again = answer(bench, starts, {"club": "driver", "start": "right"})
    told, counted = ([(c["id"], c["probability"]) for c in a["causes"]] for a in (again, answer(bench, starts)))
    assert told == counted


def test_a_count_of_one_thing_takes_nothing_from_what_is_said_of_another(bench: Bench) -> None:
    heavy = {"club": "driver", "contact": ["fat"]}
    starts = [{"club": "driver", "start": side, "count": count} for side, count in (("left", 1), ("on-line", 8))]
    alone, beside = (chance(answer(bench, heavy, *more), "low-point-behind") for more in ((), starts))
    assert beside == pytest.approx(alone, abs=0.05)
