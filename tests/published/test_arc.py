"""The arc against its closed forms, worked by hand, and against finite differences of a circle in space."""

from __future__ import annotations

import math

import numpy as np
import pytest
from arclore.engine.geometry import arc, setup
from hypothesis import given
from hypothesis import strategies as st

# Plane geometry, derived; exact. One row: radius m, plane, swing direction, attack (deg),
# then arc angle, path, low point, drop, spread, low point ahead and right (m), direction for path 0.
ARCS = [
    (1.60, 48, 0.0, 3.0, 4.0384, -2.7047, -0.1127, 0.0030, 0.0027, -0.1127, 0.0027, 2.7047),
    (1.60, 47, 0.0, -1.5, -2.0512, 1.3992, 0.0573, 0.0007, 0.0007, 0.0573, 0.0007, -1.3992),
    (1.45, 58, -2.5, -4.0, -4.7182, 0.0043, 0.1193, 0.0042, 0.0026, 0.1193, -0.0026, -2.5043),
    (1.35, 62, -3.0, -5.0, -5.6649, -0.3337, 0.1333, 0.0058, 0.0031, 0.1332, -0.0039, -2.6663),
    (1.30, 64, 4.0, -7.0, -7.7929, 7.4333, 0.1763, 0.0108, 0.0053, 0.1755, 0.0175, -3.4333),
    (1.50, 45, 0.0, -5.0, -7.0801, 5.0191, 0.1849, 0.0081, 0.0081, 0.1849, 0.0081, -5.0191),
    (1.60, 48, -2.0, 0.0, 0.0, -2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
]
planes = st.floats(35, 75)
radii = st.floats(1.0, 2.0)
angles = st.floats(-12, 12)


@pytest.mark.parametrize("row", ARCS)
def test_worked_arcs(row: tuple[float, ...]) -> None:
    radius, plane, direction, attack, angle, path, low, drop, spread, ahead, right, straight = row
    assert arc.arc_angle_deg(attack, plane) == pytest.approx(angle, abs=1e-4)
    assert arc.path_deg(direction, attack, plane) == pytest.approx(path, abs=1e-4)
    point = arc.low_point_from_attack(attack, radius, plane)
    assert point == pytest.approx(low, abs=1e-4)
    assert arc.rise_m(point, radius, plane) == pytest.approx(drop, abs=1e-4)
    assert arc.spread_m(point, radius, plane) == pytest.approx(spread, abs=1e-4)
    assert arc.low_point_in_target_axes(point, direction, radius, plane) == pytest.approx(
        (ahead, right), abs=1e-4
    )
    assert arc.swing_direction_for_path(0.0, attack, plane) == pytest.approx(straight, abs=1e-4)


def test_plane_seen_down_the_line() -> None:
    assert arc.plane_seen_deg(48, 10) == pytest.approx(47.5635, abs=1e-4)
    assert arc.plane_seen_deg(60, 20) == pytest.approx(58.4333, abs=1e-4)


@given(plane=planes, radius=radii, direction=angles, attack=angles)
def test_arc_is_a_circle_in_space(plane: float, radius: float, direction: float, attack: float) -> None:
    """Positions on the circle, differenced, against every closed form."""
    tilt, turn = math.radians(plane), math.radians(direction)

    def position(angle: float) -> np.ndarray:
        along, up_plane = radius * math.sin(angle), -radius * math.cos(angle)
        base = np.array([along, up_plane * math.cos(tilt), up_plane * math.sin(tilt)])
        spin = np.array(
            [[math.cos(turn), math.sin(turn), 0], [-math.sin(turn), math.cos(turn), 0], [0, 0, 1]]
        )
        return spin @ base

    angle = math.radians(float(arc.arc_angle_deg(attack, plane)))
    step = 1e-6
    moving = (position(angle + step) - position(angle - step)) / (2 * step)
    assert math.degrees(math.asin(moving[2] / np.linalg.norm(moving))) == pytest.approx(attack, abs=1e-5)
    seen = math.degrees(math.atan2(-moving[1], moving[0]))
    assert arc.path_deg(direction, attack, plane) == pytest.approx(seen, abs=1e-5)
    away = position(0.0) - position(angle)
    point = arc.low_point_from_attack(attack, radius, plane)
    ahead, right = arc.low_point_in_target_axes(point, direction, radius, plane)
    assert (ahead, -right) == pytest.approx((away[0], away[1]), abs=1e-9)
    assert arc.rise_m(point, radius, plane) == pytest.approx(-away[2], abs=1e-9)
    assert arc.attack_from_low_point(point, radius, plane) == pytest.approx(attack, abs=1e-9)


@given(plane=planes, radius=radii, direction=angles)
def test_level_hit_has_no_shift(plane: float, radius: float, direction: float) -> None:
    assert arc.path_deg(direction, 0.0, plane) == pytest.approx(direction, abs=1e-12)
    assert arc.low_point_from_attack(0.0, radius, plane) == pytest.approx(0.0, abs=1e-12)


@given(plane=planes, radius=radii)
def test_further_down_is_further_right_and_ahead(plane: float, radius: float) -> None:
    attack = np.linspace(10, -10, 41)
    assert (np.diff(arc.path_deg(0.0, attack, plane)) > 0).all()
    assert (np.diff(arc.low_point_from_attack(attack, radius, plane)) > 0).all()


@pytest.mark.parametrize(
    ("plane", "radius", "attack_per_cm", "path_per_cm"),
    [(48, 1.60, 0.2661, 0.2396), (62, 1.35, 0.3747, 0.1992)],
)
def test_rates_at_the_low_point(
    plane: float, radius: float, attack_per_cm: float, path_per_cm: float
) -> None:
    """Derived: d attack = sin T / R, d path = -cos T / R per unit of arc."""
    forward = np.array([-0.005, 0.005])
    attack = arc.attack_from_low_point(-forward, radius, plane)
    assert np.diff(attack) == pytest.approx(attack_per_cm, abs=1e-4)
    assert -np.diff(arc.path_deg(0.0, attack, plane)) == pytest.approx(path_per_cm, abs=1e-4)


@pytest.mark.parametrize(
    ("loft", "one", "two", "four"),
    [(34, 0.7, 1.35, 2.7), (46, 1.0, 2.1, 4.1), (56, 1.5, 3.0, 5.9), (10, 0.2, 0.35, 0.7)],
)
def test_lie_error_turns_a_lofted_face(loft: float, one: float, two: float, four: float) -> None:
    """A flat plate tipped about the target line: tan(face) = tan(loft) sin(tip); toe up looks left."""
    assert -setup.lie_face_deg(loft, np.array([1.0, 2.0, 4.0])) == pytest.approx([one, two, four], abs=0.06)
    tip, up = math.radians(3.0), math.radians(loft)
    normal = np.array([math.cos(up), math.sin(up) * math.sin(tip), math.sin(up) * math.cos(tip)])  # y is left
    assert setup.lie_face_deg(loft, 3.0) == pytest.approx(
        -math.degrees(math.atan2(normal[1], normal[0])), abs=1e-9
    )
