"""What is drawn stands where the closed forms of the arc say, and mirrors exactly."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import pytest
from arclore.tui.pictures.face_on import face_on, sole_height_m
from arclore.tui.pictures.from_above import STRETCH, arc_from_above, at_ball, flight
from arclore.tui.pictures.on_face import on_face
from arclore.tui.pictures.plate import of_strokes
from arclore.tui.pictures.scene import Line, Mark, Scene, Words, framed_alike
from arclore.tui.pictures.side import from_side
from arclore.tui.pictures.stroke import Stance, Stroke

from tests.pictures.conftest import SPOILT, Hit

Kind = TypeVar("Kind", Line, Mark, Words)


def of_kind(scene: Scene, kind: type[Kind]) -> list[Kind]:
    return [item for item in scene.items if isinstance(item, kind)]


def stance(stroke: Stroke) -> Stance:
    assert stroke.stance is not None
    return stroke.stance


@pytest.mark.parametrize("club", ["7-iron", "driver", "wedge"])
def test_the_drawn_arc_is_a_circle_in_the_swing_plane(hit: Hit, club: str) -> None:
    """Both views together put the head in space; there it keeps its distance from the centre of the arc."""
    stroke = hit(club, swing_direction_deg=-4.0)
    along = np.linspace(-0.4, 0.4, 17)
    ahead, right = arc_from_above(stroke, along)
    up = sole_height_m(stroke, stance(stroke), along)
    plane, turn = np.radians(stroke.plane_deg), np.radians(stroke.swing_direction_deg)
    low_ahead, low_right = arc_from_above(stroke, np.array(stroke.low_point_m))
    inward = np.array([np.sin(turn), -np.cos(turn)]) * np.cos(plane)  # (ahead, right), toward the golfer
    centre = np.array([low_ahead, low_right, stance(stroke).arc_height_m]) + stroke.arc_radius_m * np.array(
        [*inward, np.sin(plane)]
    )
    reach = np.linalg.norm(np.stack([ahead, right, up]) - centre[:, None], axis=0)
    assert reach == pytest.approx(stroke.arc_radius_m, abs=1e-12)


@pytest.mark.parametrize("club", ["7-iron", "driver", "wedge"])
def test_the_arc_runs_through_the_ball_along_the_path_and_at_the_attack_angle(hit: Hit, club: str) -> None:
    stroke = hit(club, swing_direction_deg=3.0)
    step = np.array([-1e-5, 0.0, 1e-5])
    ahead, right = arc_from_above(stroke, step)
    up = sole_height_m(stroke, stance(stroke), step)
    assert (ahead[1], right[1]) == pytest.approx((0.0, 0.0), abs=1e-12)
    assert np.degrees(np.arctan2(right[2] - right[0], ahead[2] - ahead[0])) == pytest.approx(stroke.path_deg, abs=1e-4)
    level = np.hypot(right[2] - right[0], ahead[2] - ahead[0])
    assert np.degrees(np.arctan2(up[2] - up[0], level)) == pytest.approx(stroke.attack_deg, abs=1e-4)


@pytest.mark.parametrize("club", ["7-iron", "driver"])
def test_the_low_point_is_drawn_where_the_attack_angle_puts_it(hit: Hit, club: str) -> None:
    """D = -R sin a / sin T ahead of the ball, and H as the arc's height there."""
    stroke = hit(club)
    low = -stroke.arc_radius_m * np.sin(np.radians(stroke.attack_deg)) / np.sin(np.radians(stroke.plane_deg))
    (mark,) = of_kind(face_on(stroke, stance(stroke)), Mark)
    assert mark.at == pytest.approx((low, stance(stroke).arc_height_m), abs=1e-12)
    words = {item.text for item in of_kind(face_on(stroke, stance(stroke)), Words)}
    assert {"low point", "lead heel", "face", "ground"} <= words
    assert ("tee" in words) == (club == "driver")


def test_the_lead_heel_is_drawn_where_the_set_up_puts_it(hit: Hit) -> None:
    scene = face_on(*_with_stance(hit("7-iron", set_up={"ball_position_m": -0.05})))
    heel = next(item.points for item in of_kind(scene, Line) if item.points[0] == pytest.approx((0.15, 0.0)))
    assert heel[1][0] == heel[0][0]


def _with_stance(stroke: Stroke) -> tuple[Stroke, Stance]:
    return stroke, stance(stroke)


def test_angles_from_above_are_enlarged_alike(hit: Hit) -> None:
    stroke = hit(swing_direction_deg=-4.0, face_deg=3.0)
    arrows = [item for item in of_kind(at_ball(stroke), Line) if item.arrow]
    drawn = [np.subtract(arrow.points[-1], arrow.points[0]) for arrow in arrows]
    tangents = [x / y / STRETCH for x, y in drawn]
    assert np.degrees(np.arctan(tangents)) == pytest.approx([stroke.path_deg, stroke.face_deg])
    plate = next(item for item in of_kind(at_ball(stroke), Line) if item.style == "heavy")
    assert np.dot(np.subtract(*plate.points), drawn[1]) == pytest.approx(0.0, abs=1e-12)


def test_flights_land_where_the_ball_does(hit: Hit) -> None:
    ball = hit(face_deg=2.0).flown
    (above,) = of_kind(flight([ball], "right"), Mark)
    assert above.at == pytest.approx((STRETCH * ball.side_m, ball.carry_m))
    top, landing = sorted(of_kind(from_side([ball]), Mark), key=lambda mark: -mark.at[1])
    assert landing.at == pytest.approx((ball.carry_m, 0.0), abs=1e-9)
    assert top.at[1] == pytest.approx(ball.apex_m, abs=0.25)


def test_a_wide_flight_is_stretched_less_and_says_so(hit: Hit) -> None:
    assert flight([hit().flown], "right").scale == "sideways drawn 3 times as wide"
    assert flight([hit(face_deg=40.0).flown], "right").scale == "to scale"


def test_the_strike_lies_toward_the_toe_on_the_page_left(hit: Hit) -> None:
    stroke = hit(strike_toe_m=0.015)
    mark = next(item for item in of_kind(on_face(stroke), Mark) if item.sign == "x")
    assert mark.at == pytest.approx((-stroke.strike_toe_m, stroke.strike_up_m))
    where = {item.text: item.at[0] for item in of_kind(on_face(stroke), Words)}
    assert where["toe"] < mark.at[0] < 0.0 < where["heel"]


@pytest.mark.parametrize("spoilt", SPOILT)
def test_mirroring_is_exact_and_its_own_inverse(hit: Hit, spoilt: str) -> None:
    right_handed = of_strokes("", [hit(**SPOILT[spoilt])], "right")
    left_handed = of_strokes("", [hit(**SPOILT[spoilt])], "left")
    for row, other in zip(right_handed.rows, left_handed.rows, strict=True):
        for panel, twin in zip(row, other, strict=True):
            assert twin.scene.low[0] == 0.0 - panel.scene.high[0]
            assert panel.scene.mirrored().mirrored() == panel.scene
            for item, image in zip(panel.scene.items, twin.scene.items, strict=True):
                if isinstance(item, Line):
                    assert isinstance(image, Line)
                    assert image.points == tuple((0.0 - x, y) for x, y in item.points)
                else:
                    assert not isinstance(image, Line)
                    assert image.at == (0.0 - item.at[0], item.at[1])


@pytest.mark.parametrize("club", ["driver", "7-iron", "wedge"])
@pytest.mark.parametrize("spoilt", SPOILT)
def test_everything_drawn_is_finite_and_inside_its_frame(hit: Hit, club: str, spoilt: str) -> None:
    for row in of_strokes("", [hit(club, **SPOILT[spoilt])]).rows:
        for panel in row:
            scene = panel.scene
            points = [
                point for item in scene.items for point in (item.points if isinstance(item, Line) else (item.at,))
            ]
            assert np.isfinite(points).all()
            room = 0.12 * (scene.high[1] - scene.low[1])
            lines = [point for item in scene.items if isinstance(item, Line) for point in item.points]
            assert (np.array(lines) >= np.array(scene.low) - room).all(), panel.title
            assert (np.array(lines) <= np.array(scene.high) + room).all(), panel.title


def test_two_are_drawn_to_one_scale(hit: Hit) -> None:
    scenes = framed_alike([face_on(*_with_stance(hit(club))) for club in ("7-iron", "driver")])
    assert (scenes[0].low, scenes[0].high) == (scenes[1].low, scenes[1].high)
    plate = of_strokes("", [hit("7-iron"), hit("driver")])
    assert [len(row) for row in plate.rows] == [2, 2, 2, 2]
