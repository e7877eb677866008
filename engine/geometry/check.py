"""The allowed range of every input, said once, and the one line a person gets when a value is outside it.

The ranges are wide: they keep out slips of the hand and numbers for which the model means nothing, not poor
golf. Checks sit at the boundary (``shot`` and the command line); the formulas below trust their input.
"""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
from arclore.engine.geometry.limits import within
from numpy.typing import ArrayLike

LIMITS: dict[str, tuple[float, float]] = {
    # swing
    "swing_direction_deg": (-60.0, 60.0),
    "low_point_m": (-0.8, 0.8),
    "arc_height_m": (-0.3, 0.5),
    "face_deg": (-80.0, 80.0),
    "path_deg": (-80.0, 80.0),
    "attack_deg": (-40.0, 40.0),
    "loft_deg": (-30.0, 80.0),
    "dynamic_loft_deg": (-30.0, 80.0),
    "strike_toe_m": (-0.15, 0.15),
    "strike_up_m": (-0.15, 0.15),
    "speed_mps": (0.5, 80.0),
    "plane_deg": (20.0, 85.0),
    "arc_radius_m": (0.5, 3.0),
    "closing_deg_per_m": (-300.0, 300.0),
    # set-up
    "ball_position_m": (-0.6, 0.6),
    "tee_height_m": (0.0, 0.1016),  # a tee may be 4 in at most (R&A Equipment Rules, part 6)
    "aim_deg": (-60.0, 60.0),
    "body_aim_deg": (-60.0, 60.0),
    "face_aim_deg": (-60.0, 60.0),
    "tilt_deg": (-20.0, 30.0),
    "stance_width_m": (0.0, 1.2),
    "handle_m": (-0.4, 0.4),
    "ball_distance_m": (-0.4, 0.4),
    "side_slope_deg": (-25.0, 25.0),
    "slope_deg": (-25.0, 25.0),
    "lie_error_deg": (-15.0, 15.0),
    # head and contact
    "head_mass_kg": (0.05, 1.0),
    "head_depth_m": (-0.02, 0.15),
    "bulge_m": (0.16, float("inf")),  # radii, infinite for a flat face; above any strike point
    "roll_m": (0.16, float("inf")),
    "restitution": (0.0, 1.0),
    "tangential_restitution": (-1.0, 1.0),
    "friction": (0.0, 3.0),
}

UNITS = {"deg": "deg", "m": "m", "mps": "m/s", "kg": "kg"}


def check(name: str, value: ArrayLike) -> None:
    """Raise ValueError in one line if a number of ``value`` (or of an array) is not finite or outside its
    range.
    """
    low, high = LIMITS[name]
    within(name, np.asarray(value, dtype=float), low, high, UNITS.get(name.rsplit("_", 1)[-1], ""))


def check_fields(record: Any) -> None:
    """Check every field of a dataclass that has a range; a field that is None means "the club's own"."""
    for field in dataclasses.fields(record):
        value = getattr(record, field.name)
        if field.name in LIMITS and value is not None:
            check(field.name, value)


def check_inertia(inertia_kgm2: ArrayLike) -> None:
    """Raise ValueError unless the three moments are positive and could belong to a solid body.

    Of a rigid body no moment about one axis exceeds the sum of the other two (they are sums of squares of
    distances); a one per cent margin lets rounded data through.
    """
    moments = np.asarray(inertia_kgm2, dtype=float)
    if moments.shape[-1:] != (3,) or not np.isfinite(moments).all():
        raise ValueError(
            "head_inertia_kgm2 must be three finite numbers: about the toe, up and face-normal axes"
        )
    if (moments <= 0).any():
        raise ValueError(
            f"head_inertia_kgm2 holds {moments.min():g}: every moment of inertia must be above 0"
        )
    if (moments > 0.1).any():
        raise ValueError(
            f"head_inertia_kgm2 holds {moments.max():g}: it must not exceed 0.1 (a million g cm2)"
        )
    if (2 * moments.max(axis=-1) > 1.01 * moments.sum(axis=-1)).any():
        raise ValueError("head_inertia_kgm2: no moment can exceed the sum of the other two in a solid head")
