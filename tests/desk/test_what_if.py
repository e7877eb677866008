"""What if: the numbers are the geometry's own, the signs this golfer's, and a step that cannot be is taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.inferred import inferred
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.what_if import WhatIfScreen
from arclore.tui.what_if import FULL, change_of, changes, title_of

from tests.desk.fakes import OPEN, answer, cause, column_text, keys, settled, small_library

Make = Callable[..., Desk]
LIBRARY: Any = small_library("")


def test_a_ball_moved_back_is_met_earlier_on_the_arc() -> None:
    """Closed forms of a circle in a plane: sin(attack) = sin(arc angle) sin(plane); worked out here anew."""
    from math import asin, degrees, radians, sin, tan

    made = inferred(LIBRARY, answer(cause("grip", 0.5)), "driver")
    before, after = made.stroke("a"), made.changed(change_of({"ball_position_cm": -5.0}, "right")).stroke("b")
    plane, radius = radians(made.club.plane_deg), made.club.arc_radius_m
    attack = degrees(asin(-0.05 / radius * sin(plane)))  # the middle low point of the answer is at the ball
    path = before.path_deg - degrees(asin(tan(radians(attack)) / tan(plane)))
    assert before.attack_deg == pytest.approx(0.0, abs=1e-9)
    assert after.attack_deg == pytest.approx(attack, abs=1e-6)
    assert after.path_deg == pytest.approx(path, abs=1e-6)
    assert after.face_deg > before.face_deg
    told = changes(before, after, "right")
    assert told[0] == f"attack {abs(attack):.1f} deg further down"
    assert told[1] == f"path {path - before.path_deg:.1f} deg further right"
    assert "further left" in changes(before, after, "left")[1]


def test_sides_are_turned_for_a_left_hander_and_nothing_else_is() -> None:
    settings = {dial.input: 2.0 for dial in FULL}
    turned = change_of(settings, "left")
    assert {name for name in turned if turned[name] < 0} == {"aim_deg", "swing_direction_deg", "face_deg"}
    assert change_of(settings, "right") == settings
    assert title_of({"ball_position_cm": -5.0, "face_deg": 1.0}, "driver") == "ball 5 cm back and face 1 deg right"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_keys_move_the_inputs_and_the_geometry_answers(desk: Make, size: tuple[int, int]) -> None:
    app = desk(lambda case: answer(cause("grip", 0.5)))
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " i left left 5 right")
        screen = app.screen
        assert isinstance(screen, WhatIfScreen)
        assert screen.settings == {"ball_position_cm": -2.0, "face_deg": 1.0}
        assert "Ball 2 cm back and face 1 deg right: attack" in " ".join(column_text(app).split())
        named = {command.title.lower() for command in app.get_system_commands(screen)}
        assert {"less", "more", "next club", "as it was", "quit"} <= named
        await keys(pilot, "0")
        assert screen.settings == {}
        await keys(pilot, "question_mark escape escape")
        assert isinstance(app.screen, LessonScreen)


async def test_a_step_into_the_ground_is_taken_back(desk: Make) -> None:
    app = desk(lambda case: answer(cause("grip", 0.5)))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " i 2")
        await pilot.press(*["left"] * 12)
        await settled(pilot)
        screen = app.screen
        assert isinstance(screen, WhatIfScreen)
        tee = LIBRARY.clubs["driver"]["set_up"]["tee_height_mm"]
        assert -tee <= screen.settings.get("tee_height_mm", 0.0) <= 0.0


async def test_before_a_ranking_there_is_nothing_to_change(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "i")
        assert isinstance(app.screen, LessonScreen)
