"""The putt: its start line, hop, skid and roll, off-centre strikes, and input that makes no sense."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry import arc
from arclore.engine.geometry.club import LEVELS
from arclore.engine.geometry.putt import SLIDING_FRICTION, Green, Putt, putt, roll_out, stroke
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.read import read_yaml
from scipy.integrate import solve_ivp

document, _ = read_yaml(Path(__file__).parents[2] / "kb" / "clubs" / "putt.yaml")
assert document is not None
CLUB = club_from_entry(document.value)
GREEN = Green()
RADIUS, MASS, GRAVITY = 0.021335, 0.04593, 9.80665


def played(level: str = "intermediate", **changes: Any) -> Putt:
    swing = stroke(CLUB, level)
    moved = {name: getattr(swing, name) + np.asarray(change) for name, change in changes.items()}
    return putt(replace(swing, **moved), CLUB.standard, CLUB)


@pytest.mark.parametrize("level", LEVELS)
def test_putt_without_a_fault(level: str) -> None:
    """Attack -1 to 4, low point -10 to 2 cm, dynamic loft 1 to 4, launch 0 to 3 deg, spin -100 to 150 rpm: common
    practice, no source. It starts on line from the middle of the face.
    """
    hit = played(level)
    assert -1 <= hit.attack_deg <= 4 and -10 <= hit.low_point_m * 100 <= 2
    assert 1 <= hit.dynamic_loft_deg <= 4 and 0 <= hit.launch_deg <= 3
    assert -100 <= hit.backspin_rpm <= 150
    assert hit.start_deg == pytest.approx(0, abs=1e-9) and hit.side_m == pytest.approx(0, abs=1e-9)
    assert hit.strike_up_m == pytest.approx(0, abs=1e-12)
    assert 3.0 <= hit.distance_m <= 5.0


def test_skid_is_a_small_part_of_the_way() -> None:
    """A tenth to a fifth of a putt is hop and skid: common practice, no source."""
    hit = played()
    assert 0.1 <= (hit.hop_m + hit.skid_m) / hit.distance_m <= 0.2


def test_start_line_is_mostly_the_face() -> None:
    """The face's share lies in 0.83 to 0.92, and face and path share one whole: common practice, no source."""
    by_face = float(played(face_deg=1.0).start_deg)
    by_path = float(played(swing_direction_deg=1.0).start_deg)
    assert 0.83 <= by_face <= 0.92
    assert by_face + by_path == pytest.approx(1.0, abs=0.005)


def test_ball_further_forward_is_met_later_on_the_arc() -> None:
    """The face stays square to its arc: face and path turn by the arc's own turn between the two places."""
    there = putt(stroke(CLUB, "skilled"), replace(CLUB.standard, ball_position_m=0.05), CLUB)
    usual = putt(stroke(CLUB, "skilled"), CLUB.standard, CLUB)
    attacks = arc.attack_from_low_point(
        np.array([usual.low_point_m, there.low_point_m]), CLUB.arc_radius_m, CLUB.plane_deg
    )
    turn = np.diff(arc.path_shift_deg(attacks, CLUB.plane_deg))[0]
    assert turn < 0
    assert there.path_deg - usual.path_deg == pytest.approx(turn, abs=1e-9)
    assert there.face_deg - there.path_deg == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("speed", "launch", "spin"), [(3.0, 0.0, 0.0), (2.0, 2.0, 150.0), (4.5, 1.0, -100.0), (1.0, 0.0, -800.0)]
)
def test_skid_and_roll_against_integration(speed: float, launch: float, spin: float) -> None:
    """Newton's laws of a solid sphere that slides, then rolls, by scipy's solve_ivp; the hop is free fall."""
    across = speed * np.cos(np.radians(launch))
    force = SLIDING_FRICTION * MASS * GRAVITY

    def slip(state: Any) -> float:
        return float(state[1] + RADIUS * state[2])

    def motion(_: float, state: Any) -> list[float]:
        """Way, speed, backspin of a ball that slides: friction against the slip, its torque about the centre."""
        push = -np.sign(first) * force
        return [state[1], push / MASS, push * RADIUS / (0.4 * MASS * RADIUS**2)]

    def grips(_: float, state: Any) -> float:
        return slip(state)

    grips.terminal = True  # type: ignore[attr-defined]
    start = [0.0, across, spin * np.pi / 30]
    first = slip(start)
    slid = solve_ivp(motion, (0, 5), start, events=grips, rtol=1e-11, atol=1e-12)
    run = roll_out(speed, launch, spin, GREEN)
    assert run.skid_m == pytest.approx(slid.y[0, -1], rel=1e-4)
    assert run.rolling_mps == pytest.approx(slid.y[1, -1], rel=1e-4)
    assert run.roll_m == pytest.approx(slid.y[1, -1] ** 2 / (2 * GREEN.deceleration_mps2), rel=1e-4)
    aloft = 2 * speed * np.sin(np.radians(launch)) / GRAVITY
    assert run.hop_m == pytest.approx(across * aloft, rel=1e-4)


def test_off_centre_strike_costs_pace_and_turns_the_ball() -> None:
    """2 to 8 % of ball speed for 1 to 2.5 cm (common practice, no source); toe and heel turn it to their own side."""
    hit = played(strike_toe_m=[-0.025, -0.015, 0.0, 0.015, 0.025])
    kept = hit.ball_speed_mps / hit.ball_speed_mps[2]
    assert kept[2] == kept.max()
    assert (np.diff(kept[:3]) > 0).all() and (np.diff(kept[2:]) < 0).all()
    assert 0.02 <= 1 - kept[3] <= 0.08 and 0.02 <= 1 - kept[4] <= 0.12
    assert hit.start_deg[3] > 0 > hit.start_deg[1]


def test_way_grows_with_the_square_of_speed() -> None:
    """Twice the ball speed goes four times as far, hop, skid and roll alike."""
    one, two = roll_out(1.5, 1.0, 0.0, GREEN), roll_out(3.0, 1.0, 0.0, GREEN)
    assert two.distance_m == pytest.approx(4 * one.distance_m)


def test_faster_green_only_lengthens_the_roll() -> None:
    slow, fast = roll_out(3.0, 1.0, 0.0, Green(run_m=2.4)), roll_out(3.0, 1.0, 0.0, Green(run_m=3.6))
    assert fast.roll_m == pytest.approx(1.5 * slow.roll_m)
    assert fast.skid_m == slow.skid_m


def test_arrays_agree_with_single_putts() -> None:
    faces, speeds = np.array([[-2.0], [0.0], [3.0]]), np.array([-0.5, 0.0, 1.0])
    many = played(face_deg=faces, speed_mps=speeds)
    for row, face in enumerate(faces[:, 0]):
        for column, speed in enumerate(speeds):
            one = played(face_deg=face, speed_mps=speed)
            for field in fields(Putt):
                found = np.broadcast_to(getattr(many, field.name), (3, 3))[row, column]
                assert found == pytest.approx(getattr(one, field.name), abs=1e-12), field.name


def test_mirrored_stroke_is_the_mirrored_putt() -> None:
    """Face and path turned as far to the other side: the same way, as far to the other side."""
    one, other = played(face_deg=2.0, swing_direction_deg=3.0), played(face_deg=-2.0, swing_direction_deg=-3.0)
    assert one.path_deg == pytest.approx(3.0) and other.path_deg == pytest.approx(-3.0)
    assert one.start_deg > 2.0
    assert one.start_deg == pytest.approx(-other.start_deg) and one.side_m == pytest.approx(-other.side_m)
    assert one.distance_m == pytest.approx(other.distance_m)


def test_stroke_over_the_ball_misses_it() -> None:
    hit = played(arc_height_m=0.05)
    assert hit.ball_speed_mps == 0 and hit.distance_m == 0 and hit.side_m == 0


@pytest.mark.parametrize(("name", "value"), [("speed_mps", -1.7), ("face_deg", float("nan")), ("loft_deg", 95.0)])
def test_absurd_stroke_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=rf"{name} is .* give a number from") as raised:
        putt(replace(stroke(CLUB, "novice"), **{name: value}), CLUB.standard, CLUB)
    assert "\n" not in str(raised.value)


def test_absurd_green_is_refused() -> None:
    with pytest.raises(ValueError, match="run on the green is 0; give a number from"):
        roll_out(2.0, 0.0, 0.0, Green(run_m=0.0))
