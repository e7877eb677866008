"""Strike and ground against brute force: a ball pushed onto a sampled face, a circle scanned point by
point."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from arclore.engine.geometry import arc, strike
from arclore.engine.geometry.club import Head
from arclore.engine.quantities import BALL_RADIUS_M

HEAD = Head(
    mass_kg=0.26,
    inertia_kgm2=(6.5e-5, 2.5e-4, 2.9e-4),
    depth_m=0.006,
    restitution=0.79,
    friction=0.35,
    face_centre_m=0.013,
    face_half_height_up_m=0.032,
    face_half_height_down_m=0.0105,
    toe_edge_m=0.038,
    heel_edge_m=0.034,
)


def pushed_onto_face(sole: float, tee: float, loft_deg: float) -> tuple[float, float] | None:
    """Strike point (m up from the face centre) and normal's elevation (deg) of a ball met by a moving face,
    or None.

    The face is a row of points in the vertical plane. It moves level until the first point touches the
    ball: the one that is furthest forward against the ball's near side at its own height.
    """
    loft = math.radians(loft_deg)
    up = np.linspace(-HEAD.face_half_height_down_m, HEAD.face_half_height_up_m, 200_001)
    height = sole + (HEAD.face_centre_m + up) * math.cos(loft)
    back = -(HEAD.face_centre_m + up) * math.sin(loft)
    offset = (tee + BALL_RADIUS_M - height) / BALL_RADIUS_M
    reach = np.abs(offset) < 1
    if not reach.any():
        return None
    near_side = -BALL_RADIUS_M * np.sqrt(np.where(reach, 1 - offset**2, np.nan))
    first = int(np.nanargmin(near_side - back))
    return float(up[first]), math.degrees(math.asin(float(offset[first])))


@pytest.mark.parametrize("loft", [10.0, 26.0, 45.0])
@pytest.mark.parametrize("tee", [0.0, 0.02])
def test_strike_point_and_normal(loft: float, tee: float) -> None:
    for sole in np.linspace(-0.045, 0.075, 61):
        met = strike.meet_ball(sole, tee, loft, 0.0, HEAD)
        found = pushed_onto_face(float(sole), tee, loft)
        if found is None:
            assert int(met.contact) == strike.MISS
            continue
        point, elevation = found
        assert met.strike_up_m == pytest.approx(point, abs=2e-5)
        assert loft + met.turn_up_deg == pytest.approx(elevation, abs=0.05)
        assert (int(met.contact) == strike.TOP) == (elevation <= 0)


def test_contacts_follow_from_low_to_high() -> None:
    """As the head passes higher the ball meets crown, face, lower edge, the edge at its middle, then air."""
    codes = strike.meet_ball(np.linspace(-0.06, 0.075, 400), 0.02, 26.0, 0.0, HEAD).contact
    changes = [int(codes[0]), *(int(b) for a, b in pairwise(codes) if a != b)]
    assert changes == [strike.MISS, strike.SKY, strike.CLEAN, strike.THIN, strike.TOP, strike.MISS]


@pytest.mark.parametrize("low_point", [-0.12, -0.03, 0.05, 0.10, 0.16])
@pytest.mark.parametrize("height", [-0.004, -0.007, -0.012, -0.02])
def test_ground_before_the_ball(low_point: float, height: float) -> None:
    """The sole's circle scanned from behind the ball: where it goes under the soil, and how much it cuts."""
    radius, plane = 1.48, 61.0
    along = np.linspace(-0.5, 0.0, 500_001)  # from the ball
    angle = np.arcsin((along - low_point) / radius)
    sole = height + radius * (1 - np.cos(angle)) * math.sin(math.radians(plane))
    under = np.maximum(-strike.SOIL_M - sole, 0.0)
    ground = strike.plough(height, low_point, radius, plane, 35.0, HEAD)
    before = -along[under > 0].min() if (under > 0).any() else 0.0
    assert ground.turf_before_m == pytest.approx(before, abs=2e-6)
    area = float(np.sum(under) * (along[1] - along[0]))
    work = strike.TURF_RESISTANCE_PA * HEAD.sole_width_m * area
    energy = 0.5 * HEAD.mass_kg * 35.0**2
    assert ground.energy_lost_j == pytest.approx(
        min(work, (1 - strike.LEAST_ENERGY_LEFT) * energy), rel=0.02, abs=0.01
    )
    assert ground.speed_share == pytest.approx(math.sqrt(1 - float(ground.energy_lost_j) / energy))


def test_divot_of_the_free_arc_is_the_arc() -> None:
    """Without a push the mark is where the circle lies under the soil: entry, exit and depth."""
    radius, plane, height, low_point = 1.48, 61.0, -0.009, 0.12
    attack = float(arc.attack_from_low_point(low_point, radius, plane))
    sole = height + float(arc.rise_m(low_point, radius, plane))
    mark = strike.divot(sole, attack, 0.0, 0.0, radius, plane)
    half = float(arc.half_chord_m(0.004, radius, plane))
    assert mark.depth_m == pytest.approx(0.004, rel=0.03)
    assert mark.start_m == pytest.approx(low_point - half, abs=0.002)
    assert mark.end_m == pytest.approx(low_point + half, abs=0.002)
    pushed = strike.divot(sole, attack, 5.0, 0.0, radius, plane)
    assert pushed.depth_m > mark.depth_m and pushed.end_m > mark.end_m


@pytest.mark.parametrize("low_point", [-0.02, -0.08, -0.25])
def test_mark_of_an_arc_that_bottoms_out_behind_the_ball_is_the_arc(low_point: float) -> None:
    """Entry, exit and depth of the circle under the soil, whether it leaves the ground before the ball or past it."""
    radius, plane, height = 1.48, 61.0, -0.022
    attack = float(arc.attack_from_low_point(low_point, radius, plane))
    sole = height + float(arc.rise_m(low_point, radius, plane))
    half = float(arc.half_chord_m(0.017, radius, plane))
    mark = strike.divot(sole, attack, 0.0, half - low_point, radius, plane)
    assert strike.TURFS[int(mark.turf)] == "behind"
    assert mark.depth_m == pytest.approx(0.017, rel=0.03)
    assert mark.start_m == pytest.approx(low_point - half, abs=0.001)
    assert mark.end_m == pytest.approx(low_point + half, abs=0.004)


def test_deep_and_missing_marks() -> None:
    marks = strike.divot(np.array([0.02, 0.0, -0.005]), np.array([-4.0, -6.0, -9.0]), 0.0, 0.0, 1.48, 61.0)
    assert [strike.TURFS[code] for code in marks.turf] == ["none", "after", "deep"]
    assert marks.depth_m[0] == marks.start_m[0] == marks.end_m[0] == 0
