"""A left-hander's numbers: sides are those that this golfer sees, so they change their sign on the way in and out."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from typing import Any

SIDED_FLAGS = (
    "swing_direction_deg",
    "face_deg",
    "path_deg",
    "aim_deg",
    "body_aim_deg",
    "face_aim_deg",
    "start_deg",
    "axis_tilt_deg",
    "wind_across_mps",
)
SIDED_RESULTS = (
    "swing_direction_deg",
    "path_shift_deg",
    "path_deg",
    "low_point_right_cm",
    "straight_swing_direction_deg",
    "face_deg",
    "face_to_path_deg",
    "start_deg",
    "axis_tilt_deg",
    "rifle_spin_rpm",
    "side_m",
    "curve_m",
    "total_side_m",
)


def mirrored_flags(given: argparse.Namespace) -> argparse.Namespace:
    """The flags as a right-hander's who makes the mirrored swing."""
    return argparse.Namespace(**_negated(vars(given), SIDED_FLAGS))


def mirrored_shot(shot: Mapping[str, Any]) -> dict[str, Any]:
    """The record of a right-hander's shot as the left-hander's it stands for, and the other way about."""
    return _negated(shot, SIDED_RESULTS)


def _negated(values: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: 0.0 - value if name in names and value is not None else value for name, value in values.items()}
