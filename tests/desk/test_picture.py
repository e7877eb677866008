"""The pictures of the desk: what is drawn is what the answer says, where it stands, and in which signs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from arclore.engine.geometry.shot import deliver
from arclore.tui.desk import Desk
from arclore.tui.inferred import Made, before_and_after, inferred, pairs, sound
from arclore.tui.pictures.layout import cells
from arclore.tui.screens.student import FACE_ON, FROM_ABOVE, told_by
from arclore.tui.sketch import sketch
from arclore.tui.widgets.picture_pane import PicturePane

from tests.desk.fakes import OPEN, answer, cause, column_text, keys, settled, shown, small_library

Make = Callable[..., Desk]
LIBRARY: Any = small_library("")


def two_clubs(handed: str = "right", chance: float = 0.5) -> dict[str, Any]:
    given = answer(cause("stance", chance), handed=handed)
    return {**given, "delivery": {"driver": given["delivery"]["driver"], "mid-iron": given["delivery"]["driver"]}}


def delivered(made: Made) -> tuple[float, float, float]:
    result = deliver(made.swing, made.set_up, made.club)
    return float(result.path_deg), float(result.face_deg), 100.0 * float(result.low_point_m)


@pytest.mark.parametrize("club", ["driver", "mid-iron"])
@pytest.mark.parametrize("named", ["", "stance", "grip"])
def test_the_swing_that_is_drawn_delivers_the_middle_values(club: str, named: str) -> None:
    assert delivered(inferred(LIBRARY, two_clubs(), club, named)) == pytest.approx((-3.0, 1.0, 0.0), abs=1e-9)


def test_a_left_handers_middle_values_are_turned_once() -> None:
    made = inferred(LIBRARY, two_clubs("left"), "driver")
    assert delivered(made) == pytest.approx((3.0, -1.0, 0.0), abs=1e-9)


def test_the_player_stands_as_a_likely_cause_of_the_set_up_says() -> None:
    standard = sound(LIBRARY, two_clubs(), "driver").set_up
    stood = inferred(LIBRARY, two_clubs(), "driver", "stance").set_up
    assert stood.ball_position_m - standard.ball_position_m == pytest.approx(0.06)
    assert inferred(LIBRARY, two_clubs(chance=0.1), "driver", "stance").set_up == standard
    assert inferred(LIBRARY, two_clubs(), "driver", "grip").set_up == standard


def test_after_is_the_priority_put_right_where_the_answer_says_what_it_gives() -> None:
    then = {"path_deg": -1.0, "face_deg": 0.5, "low_point_cm": 4.0, "attack_deg": -1.0}
    undone = {"driver": {name: {"now": 0.0, "then": value} for name, value in then.items()}}
    priority = {"id": "stance", "title": "t", "stage": "set-up", "tell_student": "s", "undone": undone}
    given = {**two_clubs(), "priority": priority}
    after = before_and_after(LIBRARY, given, "driver", "stance").strokes[1]
    assert after.label == "put right"
    assert (after.path_deg, after.face_deg, after.low_point_m) == pytest.approx((-1.0, 0.5, 0.04), abs=1e-9)
    assert before_and_after(LIBRARY, given, "driver", "grip").strokes[1].label == "without a fault"
    assert before_and_after(LIBRARY, given, "mid-iron", "stance").strokes[1].label == "without a fault"


def test_a_club_without_a_fault_flies_straight() -> None:
    after = before_and_after(LIBRARY, two_clubs(), "driver").strokes[1]
    assert (after.path_deg, after.face_deg) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert abs(after.flown.side_m) < 0.5


def test_the_student_is_shown_the_picture_in_which_the_change_is_seen() -> None:
    now, then = before_and_after(LIBRARY, two_clubs(), "driver").strokes
    assert told_by((now, then)) == FROM_ABOVE
    assert told_by((now, replace(now, low_point_m=now.low_point_m + 0.05))) == FACE_ON


def test_driver_stands_beside_iron() -> None:
    found = pairs(LIBRARY, two_clubs(), "stance")
    assert [stroke.label for stroke in found[-1].strokes] == ["driver, now", "mid iron, now"]
    assert len(found) == 3
    assert len(pairs(LIBRARY, answer(cause("stance", 0.5)), "stance")) == 1


@pytest.mark.parametrize("columns", [36, 38, 78, 100])
@pytest.mark.parametrize("plain", [False, True])
def test_a_sketch_keeps_to_its_columns(columns: int, plain: bool) -> None:
    rows = sketch(pairs(LIBRARY, two_clubs())[0].strokes, "right", columns, plain)
    assert max(map(cells, rows)) <= columns
    assert all(row.isascii() for row in rows) == plain


async def test_p_draws_the_next_picture_and_puts_the_last_away(desk: Make) -> None:
    app = desk(lambda case: two_clubs())
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " p")
        pane = app.screen.query_one(PicturePane)
        assert pane.display
        assert "From above" in shown(app)
        assert "Picture 1 of 3" in shown(app)
        await keys(pilot, "p p")
        assert pane.number == 2
        assert "driver beside mid iron" in " ".join(shown(app).split())
        assert app.lesson_screen.has_class("-pictured")
        await keys(pilot, "p")
        assert not pane.display
        await keys(pilot, "p e")
        assert not pane.display
        assert app.lesson_screen.view == "why"


async def test_in_a_wide_window_question_ranking_and_picture_stand_together(desk: Make) -> None:
    app = desk(lambda case: two_clubs())
    async with app.run_test(size=(120, 36)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " p down up")
        text = shown(app)
        assert all(part in text for part in ("Question ", "Ranking", "From above", "Face-on"))
        await keys(pilot, "1")
        assert "From above" in shown(app)
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert app.lesson_screen.flow.lesson.answers["handed"]


async def test_the_priority_is_marked_and_named_in_the_ranking(desk: Make) -> None:
    said = {"title": "t", "stage": "downswing", "tell_student": "s", "undone": {}}
    priority = {"id": "grip", **said, "why": "quicker", "brings_on": []}
    app = desk(lambda case: answer(cause("stance", 0.5), cause("grip", 0.4), priority=priority))
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN)
        assert app.lesson_screen.marked == "grip"
        assert " ".join(column_text(app).split()).count("change this first") == 1


async def test_nothing_said_is_nothing_drawn(desk: Make) -> None:
    app = desk(lambda case: answer(cause("stance", 0.5), delivery={}))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "p")
        assert "Nothing to draw yet" in shown(app)
        await keys(pilot, "escape " + OPEN + " p")
        assert "Nothing to draw yet" in shown(app)


async def test_a_club_that_cannot_be_drawn_is_said_and_the_desk_goes_on(desk: Make) -> None:
    given = answer(cause("stance", 0.5))
    given["delivery"] = {"hybrid": given["delivery"]["driver"]}
    app = desk(lambda case: given)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " p")
        assert "cannot be drawn" in shown(app)
        assert app.is_running
