"""Sand: where the sole enters and how deep it runs, splash, dig and blade, and input that makes no sense."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry.club import LEVELS
from arclore.engine.geometry.sand import (
    RESULTS,
    SAND_KG_PER_M3,
    SOUND_ENTRY_M,
    STAYS_IN_M,
    Splash,
    splash,
    splash_swing,
)
from arclore.engine.geometry.strike import CONTACTS
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.read import read_yaml
from scipy.integrate import quad

document, _ = read_yaml(Path(__file__).parents[2] / "kb" / "clubs" / "sand.yaml")
assert document is not None
CLUB = club_from_entry(document.value)
YARD = 0.9144


def played(level: str = "intermediate", **changes: Any) -> Splash:
    swing = splash_swing(CLUB, level)
    moved = {name: getattr(swing, name) + np.asarray(change) for name, change in changes.items()}
    return splash(replace(swing, **moved), CLUB.standard, CLUB)


def result(hit: Splash) -> str:
    return RESULTS[int(hit.result)]


@pytest.mark.parametrize("level", LEVELS)
def test_splash_without_a_fault(level: str) -> None:
    """Entry 5 to 10 cm behind the ball at -10 to -4 deg, mark 15 to 30 cm long, dynamic loft 52 to 65, launch 35 to 50
    deg, backspin 2,000 to 6,000 rpm: common practice, no source.
    """
    hit = played(level)
    assert result(hit) == "splash"
    assert hit.entry_m == pytest.approx(SOUND_ENTRY_M, abs=1e-9) and 0.05 <= hit.entry_m <= 0.10
    assert -10 <= hit.entry_attack_deg <= -4 and hit.entry_attack_deg == pytest.approx(
        CLUB.delivery[level].attack_deg, abs=0.05
    )
    assert 0.15 <= hit.mark_m <= 0.30
    assert 52 <= hit.dynamic_loft_deg <= 65 and 35 <= hit.launch_deg <= 50
    assert 2000 <= hit.backspin_rpm <= 6000
    assert hit.path_deg == pytest.approx(0, abs=1e-9) and hit.side_m == pytest.approx(0, abs=1e-9)
    assert 8 * YARD <= hit.carry_m <= 16 * YARD


def test_face_never_touches_the_ball_of_a_splash() -> None:
    """The top of the leading edge passes below the ball's underside wherever the head is under the ball."""
    hit = played()
    assert hit.sole_height_m < 0
    assert hit.entry_m > 0.0213


def test_depth_and_entry_against_the_circle() -> None:
    """Entry and depth by walking round the tilted circle in small steps, not by the closed forms."""
    hit = played(arc_height_m=-0.006, low_point_m=-0.02)
    turn = np.radians(np.linspace(-40, 40, 400_001))
    along = CLUB.arc_radius_m * np.sin(turn) + float(hit.low_point_m)
    height = CLUB.arc_radius_m * (1 - np.cos(turn)) * np.sin(np.radians(CLUB.plane_deg)) + float(hit.arc_height_m)
    inside = np.flatnonzero(height <= 0)
    assert hit.entry_m == pytest.approx(-along[inside[0]], abs=2e-5)
    assert hit.mark_m == pytest.approx(along[inside[-1]] - along[inside[0]], abs=4e-5)
    assert hit.depth_m == pytest.approx(-height.min(), abs=1e-9)


def test_sand_swept_against_quadrature() -> None:
    """Mass between surface and arc from the entry to the ball, integrated by scipy over the circle itself."""
    hit = played(arc_height_m=-0.008)
    radius, plane = CLUB.arc_radius_m, np.radians(CLUB.plane_deg)

    def depth(x: float) -> float:
        from_bottom = x - float(hit.low_point_m)
        return float(hit.depth_m) - radius * (1 - np.sqrt(1 - (from_bottom / radius) ** 2)) * float(np.sin(plane))

    area = quad(depth, -float(hit.entry_m), 0.0)[0]
    assert hit.sand_kg == pytest.approx(SAND_KG_PER_M3 * CLUB.head.sole_width_m * area, rel=0.01)


def test_further_behind_or_deeper_goes_less_far_until_it_stays_in() -> None:
    """Entry 14 cm behind in deep sand stays in (common practice, no source)."""
    back = played(low_point_m=np.linspace(0.0, -0.09, 10))
    assert (np.diff(back.entry_m) > 0).all() and (np.diff(back.carry_m) < 0).all()
    assert RESULTS[back.result[0]] == "splash" and RESULTS[back.result[-1]] == "digs"
    deep = played(arc_height_m=np.linspace(0.0, -0.025, 10))
    assert (np.diff(deep.depth_m) > 0).all() and (np.diff(deep.carry_m) < 0).all()
    assert RESULTS[deep.result[-1]] == "digs"
    both = played(low_point_m=-0.02, arc_height_m=-0.012)
    assert both.entry_m > 0.14 and result(both) == "digs"


def test_shallow_or_high_meets_the_ball_and_flies_the_green() -> None:
    """An arc that does not reach the sand lets the edge meet the ball: twice the carry or more, and lower."""
    thin = played(arc_height_m=0.018)
    usual = played()
    assert result(thin) == "blade" and thin.depth_m == 0 and thin.entry_m == 0
    assert CONTACTS[int(thin.contact)] == "thin"
    assert thin.carry_m > 2 * usual.carry_m and thin.launch_deg < usual.launch_deg - 10


def test_entering_under_the_ball_is_a_blade() -> None:
    hit = played(low_point_m=0.065)
    assert hit.entry_m < 0.0213 and result(hit) == "blade"


def test_arc_above_the_ball_misses_it() -> None:
    hit = played(arc_height_m=0.08)
    assert result(hit) == "miss" and hit.ball_speed_mps == 0 and hit.carry_m == 0


def test_less_loft_digs_and_more_loft_glides() -> None:
    """A face less open lets the leading edge down (common practice: closed digs, open glides)."""
    depth = played(loft_deg=[-12.0, -6.0, 0.0, 4.0]).depth_m
    assert (np.diff(depth) < 0).all()


def test_slow_swing_leaves_it_in() -> None:
    """20 to 40 % off the speed: less and less carry, in the end it stays in."""
    slow = played(speed_mps=-21.0 * np.array([0.0, 0.2, 0.4, 0.5]))
    assert (np.diff(slow.carry_m) < 0).all()
    assert RESULTS[slow.result[0]] == "splash" and RESULTS[slow.result[-1]] == "digs"
    assert slow.carry_m[-1] < STAYS_IN_M


def test_momentum_is_never_made() -> None:
    """Head, swept sand and ball after the splash hold no more momentum than the head before it."""
    hit = played(low_point_m=np.linspace(-0.1, 0.03, 14))
    there = hit.result < 2
    after = (CLUB.head.mass_kg + hit.sand_kg) * hit.speed_mps * CLUB.head.mass_kg / (CLUB.head.mass_kg + hit.sand_kg)
    assert (hit.ball_speed_mps[there] < (after / CLUB.head.mass_kg)[there]).all()


def test_arrays_agree_with_single_swings() -> None:
    lows, heights = np.array([[-0.05], [0.0], [0.07]]), np.array([-0.02, 0.0, 0.03])
    many = played(low_point_m=lows, arc_height_m=heights)
    for row, low in enumerate(lows[:, 0]):
        for column, height in enumerate(heights):
            one = played(low_point_m=low, arc_height_m=height)
            for field in fields(Splash):
                found = np.broadcast_to(getattr(many, field.name), (3, 3))[row, column]
                assert found == pytest.approx(getattr(one, field.name), rel=1e-6, abs=1e-6), field.name


def test_wild_swings_stay_finite() -> None:
    rng = np.random.default_rng(5)
    spread = {"low_point_m": 0.08, "arc_height_m": 0.03, "face_deg": 12, "loft_deg": 5, "strike_toe_m": 0.03}
    hit = played("novice", **{name: rng.normal(0, sd, 2000) for name, sd in spread.items()})
    for field in fields(Splash):
        assert np.isfinite(np.asarray(getattr(hit, field.name), dtype=float)).all(), field.name
    assert len(np.unique(hit.result)) == len(RESULTS)


@pytest.mark.parametrize(("name", "value"), [("speed_mps", -3.0), ("loft_deg", 95.0), ("arc_height_m", float("nan"))])
def test_absurd_swing_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=rf"{name} is .* give a number from") as raised:
        splash(replace(splash_swing(CLUB, "novice"), **{name: value}), CLUB.standard, CLUB)
    assert "\n" not in str(raised.value)
