"""Frames, signs, units and handedness: the ground floor, said once.

Frame of a right-handed golfer: x toward the target, y to the golfer's left of the target line, z up.
Horizontal angles and lateral positions are positive to the *right* of the target in every public name.
Attack is positive when the head moves up, low point positive when it lies ahead of the ball, strike positive
toward the toe and up the face. Names carry their unit at the end (``attack_deg``, ``low_point_m``).

A left-hander is mirrored once, when a case is read, and once more when a result is written.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Mask = npt.NDArray[np.bool_]
Codes = npt.NDArray[np.int8]  # indices into a tuple of names
Number = float | Array
Handed = Literal["right", "left"]

GRAVITY_MPS2 = 9.80665  # standard gravity, ISO 80000-3
BALL_MASS_KG = 0.04593  # greatest mass the rules allow: 1.620 oz avoirdupois
BALL_DIAMETER_M = 0.04267  # least diameter the rules allow: 1.680 in
BALL_RADIUS_M = BALL_DIAMETER_M / 2
MPS_PER_MPH = 0.44704
M_PER_YARD = 0.9144
M_PER_FOOT = 0.3048
M_PER_INCH = 0.0254
RAD_PER_S_PER_RPM = np.pi / 30.0


def mirrored(side: str) -> str:
    """The same word seen by a golfer of the other hand: left and right swap, all else stays."""
    return {"left": "right", "right": "left"}.get(side, side)


def plain(value: Any, digits: int = 4) -> Any:
    """Numpy scalars and arrays as plain Python numbers, rounded, never ``-0.0`` and never NaN.

    Raises ValueError for a number that is not finite: no such number may leave a public function.
    """
    if isinstance(value, dict):
        return {key: plain(item, digits) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item, digits) for item in value]
    if isinstance(value, np.ndarray):
        return plain(value.tolist(), digits)
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    if isinstance(value, (int, np.integer)):
        return int(value)
    if isinstance(value, (float, np.floating)):
        if not np.isfinite(value):
            raise ValueError(f"a result is not a finite number: {value}")
        return round(float(value), digits) + 0.0
    return value
