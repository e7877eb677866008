"""An answer as it unfolds for whoever waits: the ranking first, then whole, and nothing carried over wrongly."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.kept import Kept
from arclore.engine.diagnosis.triage import Bench, advised, advised_checks, triage, unfolding
from arclore.engine.library.stack import load_library

DRIVER: list[dict[str, Any]] = [
    {"start": "left"},
    {"curve": "right", "bend": "strong"},
    {"height": "high"},
    {"contact": ["thin", "heel"]},
    {"turf": ["behind"], "unsure": ["height"]},
    {"count": 6},
]
LESSON: list[dict[str, Any]] = [
    *({"shots": [{"club": "driver", **{k: v for step in DRIVER[:n] for k, v in step.items()}}]} for n in range(7)),
    {"shots": [{"club": "driver", "start": "left", "count": 2}, {"club": "driver", "curve": "left", "count": 3}]},
    {"shots": [{"club": "driver", "start": "left"}, {"club": "mid-iron", "contact": ["fat"]}, {"club": "mid-iron"}]},
    {"shots": [{"club": "driver", "start": "left"}, {"club": "mid-iron", "contact": ["fat"]}]},
    {"shots": [{"club": "driver", "start": "right"}, {"club": "mid-iron", "contact": ["thin"]}]},
    {
        "shots": [{"club": "driver", "start": "left"}],
        "checks": {"coach-sets-the-ball": "gone"},
        "measured": [{"club": "driver", "quantity": "path_deg", "value": -4.0}],
    },
]
KEPT = Bench(load_library())


def case(step: dict[str, Any]) -> dict[str, Any]:
    return {"handed": "right", "level": "novice", "pain": False, **step}


def rankings(bench: Bench, steps: list[dict[str, Any]]) -> list[list[tuple[str, float]]]:
    """The ranking after each step, on a bench that keeps what it worked out for the steps before."""
    return [
        [(cause["id"], cause["probability"]) for cause in next(unfolding(case(step), bench))["causes"]]
        for step in steps
    ]


def test_what_is_kept_from_answer_to_answer_changes_no_answer() -> None:
    """Forwards, backwards and with an emptied store: the same figures."""
    forwards, backwards = rankings(KEPT, LESSON), rankings(KEPT, LESSON[::-1])[::-1]
    assert forwards == backwards
    for step, ranked in zip(LESSON, forwards, strict=True):
        KEPT.model(KEPT.case(case(step))).kept.clear()
        assert rankings(KEPT, [step]) == [ranked]


def test_the_ranking_alone_is_the_ranking_of_the_whole_answer() -> None:
    given = case(LESSON[3])
    first, explained, whole = unfolding(given, KEPT, thorough=True)
    assert whole == triage(given, KEPT)
    later = ("conflict", "explained_away", "firmness", "acting", "mass_left_out", "sets_of_three")
    assert {**explained, **{name: whole[name] for name in later}} == whole
    assert explained["acting"] is None and whole["acting"] is not None
    for name in ("families", "stages", "nothing_to_fix", "none_of_these", "need_balls", "notes"):
        assert first[name] == whole[name]
    for row, full in zip(first["causes"], whole["causes"], strict=True):
        assert row == {name: full[name] for name in row}
    assert {**whole["priority"], "undone": {}} == first["priority"]
    assert (first["delivery"], first["next_checks"], first["drills"]) == ({}, [], [])


def test_work_that_nobody_waits_for_ends_at_its_next_step() -> None:
    class EnoughError(Exception):
        pass

    steps: list[int] = []

    def still() -> None:
        steps.append(1)
        if len(steps) > limit:
            raise EnoughError

    given = case({"shots": [{"club": "driver", "start": "left", "curve": "left", "height": "low"}]})
    KEPT.model(KEPT.case(given)).kept.clear()
    limit = 3
    with pytest.raises(EnoughError):
        list(unfolding(given, KEPT, still=still))
    assert len(steps) == limit + 1


def test_what_is_kept_stays_within_its_bytes_and_the_longest_unused_goes_first() -> None:
    kept, made = Kept(3 * 80), []

    def of(key: str) -> None:
        kept.of(key, lambda: made.append(key) or np.zeros(10))  # type: ignore[func-returns-value]

    for key in "abcadeab":
        of(key)
    assert kept.bytes == 3 * 80
    assert "".join(made) == "abcdeb"


@pytest.mark.parametrize("given", [case(LESSON[3]), case(LESSON[-1]), {**case(LESSON[3]), "pain": True}])
def test_what_libraries_are_compared_by_is_what_the_answer_says(given: dict[str, Any]) -> None:
    answer, advice = triage(given, KEPT), advised(given, KEPT)
    assert advice["leading"] == answer["causes"][0]["id"]
    for cause in answer["causes"]:
        assert advice["chances"][cause["id"]] == cause["probability"]
    assert advised_checks(given, KEPT) == [check["id"] for check in answer["next_checks"]]
    assert advice["drills"] == [drill["id"] for drill in answer["drills"]]


def test_where_a_change_lands_does_not_depend_on_what_is_asked_beside_it() -> None:
    """Rows kept one by one are those of all causes played at once, with a set-up put right too."""
    model = Bench(load_library()).model(KEPT.case(case({"shots": [{"club": "mid-iron"}]})))
    condition, inputs = model.conditions["mid-iron"], frozenset({"ball_position_cm"})
    change = model._change(condition)
    righted = {name: np.where(name in inputs, 0.0, amount) for name, amount in change.items()}
    for wanted, given in ((frozenset[str](), change), (inputs, righted)):
        points = condition.points(given)
        for block, rows in model.shifts_put_right("mid-iron", wanted).items():
            np.testing.assert_array_equal(rows, points[block] - condition.fault_free_point[block])
    assert model.moved_by_set_up("mid-iron", inputs)


def test_rates_played_at_once_are_those_played_one_by_one() -> None:
    condition = KEPT.model(KEPT.case(case({"shots": [{"club": "mid-iron"}]}))).conditions["mid-iron"]
    for name in ("face_deg", "low_point_cm", "handle_cm"):
        ahead, behind = condition.points({name: np.array([0.5, -0.5])})["direction"]
        np.testing.assert_array_equal(condition.rate(name)["direction"], ahead - behind)
        far, back = condition.points({name: np.array([2.0, -2.0])})["pace"]
        np.testing.assert_array_equal(condition.rate(name)["pace"], (far - back) / 4.0)
