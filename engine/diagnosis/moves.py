"""A cause's moves, in the trade's units, laid on a swing and a set-up of the geometry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Swing
from arclore.engine.quantities import Array

SWING_FIELDS = {
    "swing_direction_deg": ("swing_direction_deg", 1.0),
    "low_point_cm": ("low_point_m", 0.01),
    "arc_height_mm": ("arc_height_m", 0.001),
    "face_deg": ("face_deg", 1.0),
    "loft_deg": ("loft_deg", 1.0),
    "strike_toe_mm": ("strike_toe_m", 0.001),
}
SET_UP_FIELDS = {
    "ball_position_cm": ("ball_position_m", 0.01),
    "tee_height_mm": ("tee_height_m", 0.001),
    "aim_deg": ("aim_deg", 1.0),
    "body_aim_deg": ("body_aim_deg", 1.0),
    "face_aim_deg": ("face_aim_deg", 1.0),
    "tilt_deg": ("tilt_deg", 1.0),
    "handle_cm": ("handle_m", 0.01),
    "ball_distance_cm": ("ball_distance_m", 0.01),
    "stance_width_cm": ("stance_width_m", 0.01),
    "lie_deg": ("lie_error_deg", 1.0),
    "side_slope_deg": ("side_slope_deg", 1.0),
    "slope_deg": ("slope_deg", 1.0),
}
Amounts = Mapping[str, float | Array]


def covers(clubs: Iterable[str], family: str) -> bool:
    """Whether a list of club families, with its group words, takes in this family."""
    groups = set(clubs)
    return family in groups or "all" in groups or ("full-swing" in groups and family in FULL_SWING)


FULL_SWING = ("driver", "fairway-wood", "hybrid", "long-iron", "mid-iron", "short-iron", "wedge")


def amounts(cause: Mapping[str, Any], family: str, field: str = "size") -> dict[str, float]:
    """What a cause moves with this club family: input -> amount. A later item for the same input wins."""
    result: dict[str, float] = {}
    for move in cause.get("moves" if field != "sd" else "adds_scatter", ()):
        if covers(move.get("clubs", cause["clubs"]), family):
            result[move["input"]] = float(move[field])
    return result


def moved(swing: Swing, set_up: SetUp, club: Club, change: Amounts) -> tuple[Swing, SetUp]:
    """The swing and set-up with a change of inputs laid on; values may be arrays that broadcast."""
    of_swing: dict[str, Any] = {}
    of_set_up: dict[str, Any] = {}
    for name, value in change.items():
        if name in SWING_FIELDS:
            field, scale = SWING_FIELDS[name]
            of_swing[field] = getattr(swing, field) + np.asarray(value) * scale
        elif name in SET_UP_FIELDS:
            field, scale = SET_UP_FIELDS[name]
            of_set_up[field] = getattr(set_up, field) + np.asarray(value) * scale
        elif name == "speed_percent":
            of_swing["speed_mps"] = swing.speed_mps * (1.0 + np.asarray(value) / 100.0)
        elif name == "plane_deg":
            of_swing["plane_deg"] = club.plane_deg + np.asarray(value)
    return replace(swing, **of_swing), replace(set_up, **of_set_up)


def against_ball_and_ground(lift_mm: Array, lift_against_ball_mm: Array) -> Array:
    """One height of the arc for both its meetings, where a change of tee parts them: the smaller shift, or none.

    A club that is lifted from the ground but sinks against a ball teed higher is neither thinner nor fatter for it.
    """
    apart = np.sign(lift_mm) != np.sign(lift_against_ball_mm)
    nearer = np.where(np.abs(lift_mm) < np.abs(lift_against_ball_mm), lift_mm, lift_against_ball_mm)
    return np.where(apart, 0.0, nearer)
