"""The head on an arc of a circle in an inclined plane: closed forms, exact, for floats and arrays.

The base line is the plane's horizontal direction, at ``swing_direction_deg`` (+ right of the target). The
arc angle is counted from the low point, negative before it. With plane T, radius R, arc angle F, attack a,
swing direction H:

    sin a = sin F sin T        path = H - asin(tan a / tan T)        low point ahead of the hit D = -R sin F

Limits: a real arc is no circle and its plane moves; take +-1.5 deg and +-3 cm as the model's own error.
Divots of real shots run deeper and further forward than the free arc (see ``strike``).

Sources: plane geometry, derived; the plane differs by club (Kwon et al., Sports Biomechanics 2012, 11(2)
127-148); the head's path near the ball is close to an ellipse arc (Morrison, McGrath, Wallace, J. Sports
Sciences 2017).
"""

from __future__ import annotations

import numpy as np
from arclore.engine.quantities import Array, Number

MODEL_ERROR_DEG = 1.5  # of attack and path, to be printed with results
MODEL_ERROR_M = 0.03  # of the low point


def arc_angle_deg(attack_deg: Number, plane_deg: Number) -> Array:
    """Arc angle of the hit past the low point (deg); NaN where the attack is steeper than the plane."""
    with np.errstate(invalid="ignore"):
        return np.degrees(np.arcsin(np.sin(np.radians(attack_deg)) / np.sin(np.radians(plane_deg))))


def attack_from_low_point(low_point_m: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """Attack angle (deg, + up) of a hit that the low point lies ``low_point_m`` ahead of; NaN off the arc."""
    with np.errstate(invalid="ignore"):
        return np.degrees(np.arcsin(-np.asarray(low_point_m) / arc_radius_m * np.sin(np.radians(plane_deg))))


def low_point_from_attack(attack_deg: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """Low point (m along the base line, + ahead of the ball) of a hit with this attack angle."""
    return np.asarray(-arc_radius_m * np.sin(np.radians(attack_deg)) / np.sin(np.radians(plane_deg)))


def path_shift_deg(attack_deg: Number, plane_deg: Number) -> Array:
    """Club path minus swing direction (deg, + right): hitting down moves the path right, up moves it left."""
    with np.errstate(invalid="ignore"):
        return -np.degrees(np.arcsin(np.tan(np.radians(attack_deg)) / np.tan(np.radians(plane_deg))))


def path_deg(swing_direction_deg: Number, attack_deg: Number, plane_deg: Number) -> Array:
    """Horizontal direction of travel of the head at the hit (deg, + right of the target)."""
    return np.asarray(swing_direction_deg + path_shift_deg(attack_deg, plane_deg))


def swing_direction_for_path(wanted_path_deg: Number, attack_deg: Number, plane_deg: Number) -> Array:
    """Swing direction (deg, + right) that gives the wanted path at this attack angle."""
    return np.asarray(wanted_path_deg - path_shift_deg(attack_deg, plane_deg))


def rise_m(low_point_m: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """Height of the hit above the bottom of the arc (m), from the low point against the ball."""
    cosine = np.sqrt(1.0 - np.minimum(np.square(np.asarray(low_point_m) / arc_radius_m), 1.0))
    return np.asarray(arc_radius_m * (1.0 - cosine) * np.sin(np.radians(plane_deg)))


def spread_m(low_point_m: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """How much further from the golfer the low point lies than the hit (m)."""
    return np.asarray(rise_m(low_point_m, arc_radius_m, plane_deg) / np.tan(np.radians(plane_deg)))


def low_point_in_target_axes(
    low_point_m: Number, swing_direction_deg: Number, arc_radius_m: Number, plane_deg: Number
) -> tuple[Array, Array]:
    """The low point seen from the ball in target axes: (ahead, right), both in m."""
    turn = np.radians(swing_direction_deg)
    away = spread_m(low_point_m, arc_radius_m, plane_deg)
    ahead = low_point_m * np.cos(turn) - away * np.sin(turn)
    right = low_point_m * np.sin(turn) + away * np.cos(turn)
    return np.asarray(ahead), np.asarray(right)


def plane_seen_deg(plane_deg: Number, swing_direction_deg: Number) -> Array:
    """Inclination of the plane as it looks from behind, down the target line (deg)."""
    return np.asarray(
        np.degrees(np.arctan(np.tan(np.radians(plane_deg)) * np.cos(np.radians(swing_direction_deg))))
    )


def half_chord_m(depth_m: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """Half of the length (m) over which the arc is within ``depth_m`` of its bottom, 0 where depth is not
    positive.
    """
    drop = np.clip(np.asarray(depth_m) / (arc_radius_m * np.sin(np.radians(plane_deg))), 0.0, 1.0)
    return np.asarray(arc_radius_m * np.sqrt(drop * (2.0 - drop)))


def area_below_m2(depth_m: Number, until_m: Number, arc_radius_m: Number, plane_deg: Number) -> Array:
    """Area (m2) between the ground's surface and an arc that goes ``depth_m`` under it, from where it enters.

    ``until_m`` is counted along the base line from the bottom of the arc, + ahead; beyond where the arc comes out again
    nothing is added. 0 where the arc stays above the surface or ``until_m`` lies before the entry. Parabola for circle.
    """
    depth = np.maximum(np.asarray(depth_m, dtype=float), 0.0)
    half = half_chord_m(depth, arc_radius_m, plane_deg)
    end = np.clip(until_m, -half, half)
    bend = np.sin(np.radians(plane_deg)) / (6.0 * np.asarray(arc_radius_m))
    return np.asarray(np.maximum(depth * (end + half) - bend * (end**3 + half**3), 0.0))
