"""The set-up, and what a change of it does to the swing that stands in it.

A swing is stated as it runs in the club's *standard* set-up. The shifts here are counted from that
standard, so the standard set-up shifts nothing. Each rate is said once, with its reason; they are rounded
estimates built on common practice unless a source is named, and a coach may well find a golfer who answers
differently.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from arclore.engine.quantities import Array, Number

TILT_LEVER_M = 0.45  # the upper body turns about the hips; its centre is about 45 cm above them
STANCE_SHARE = (
    0.30  # the lead heel stays, the trail foot goes back: the middle moves half as far, the arc a bit less
)
HANDLE_LOW_POINT_SHARE = (
    0.40  # hands set ahead carry part of that lead into the strike, and the low point with them
)
HANDLE_LOFT_SHARE = 0.70  # ... and most of the loft it takes off
TEE_ARC_SHARE = 0.60  # the eye sees the ball: the golfer answers more than half of a change of tee height
TEE_LOW_POINT_PER_M = -2.8
"""Low point per metre of tee: 0.7 deg of attack for each cm of tee (a governing-body supported study of
college players, reported at second hand) over the driver's 0.25 deg for each cm of low point."""
DISTANCE_STRIKE_SHARE = 0.35  # standing off by 3 cm moves the strike about 1 cm: the arms reach for the rest


@dataclass(frozen=True)
class SetUp:
    """How the golfer stands to the ball. Lengths in m, angles in degrees; every field may be an array.

    ``aim_deg`` turns the whole golfer, ``body_aim_deg`` the body lines alone, ``face_aim_deg`` the face
    alone, all + right. ``side_slope_deg`` is + with the ball above the feet, ``slope_deg`` + uphill,
    ``lie_error_deg`` + toe up.
    """

    ball_position_m: Number  # ball centre against the inside of the lead heel, + toward the target
    tee_height_m: Number = 0.0  # ball's underside above the ground, 0 on turf
    tilt_deg: Number = 3.0  # upper body away from the target
    stance_width_m: Number = 0.35  # between the insides of the heels
    handle_m: Number = 0.0  # handle ahead of the ball +
    aim_deg: Number = 0.0
    body_aim_deg: Number = 0.0
    face_aim_deg: Number = 0.0
    ball_distance_m: Number = 0.0  # ball further from the golfer than standard +
    side_slope_deg: Number = 0.0
    slope_deg: Number = 0.0
    lie_error_deg: Number = 0.0


def low_point_shift_m(set_up: SetUp, standard: SetUp) -> Array:
    """How far this set-up moves the arc's low point against the lead heel (m, + toward the target)."""
    tilt = np.sin(np.radians(set_up.tilt_deg)) - np.sin(np.radians(standard.tilt_deg))
    shift = (
        -TILT_LEVER_M * tilt
        - STANCE_SHARE * (set_up.stance_width_m - standard.stance_width_m)
        + HANDLE_LOW_POINT_SHARE * (set_up.handle_m - standard.handle_m)
        + TEE_LOW_POINT_PER_M * (set_up.tee_height_m - standard.tee_height_m)
    )
    return np.asarray(shift)


def arc_height_shift_m(set_up: SetUp, standard: SetUp) -> Array:
    """How far the golfer lifts the bottom of the arc for a ball teed higher than standard (m, + up)."""
    return np.asarray(TEE_ARC_SHARE * (set_up.tee_height_m - standard.tee_height_m))


def loft_shift_deg(set_up: SetUp, standard: SetUp, length_m: Number) -> Array:
    """Dynamic loft added by where the handle is set (deg); a handle further ahead takes loft off."""
    lean = np.degrees(np.arctan((set_up.handle_m - standard.handle_m) / np.asarray(length_m)))
    return np.asarray(-HANDLE_LOFT_SHARE * lean)


def strike_shift_m(set_up: SetUp, standard: SetUp) -> Array:
    """How far the strike moves toward the toe (m) for the distance from the ball."""
    return np.asarray(DISTANCE_STRIKE_SHARE * (set_up.ball_distance_m - standard.ball_distance_m))


def lie_face_deg(loft_deg: Number, toe_up_deg: Number) -> Array:
    """Where a lofted face looks (deg, + right) when the head is tipped about the target line, toe up +.

    Exact rotation: tan(face) = -tan(loft) sin(tip); toe up looks left.
    """
    return np.asarray(np.degrees(np.arctan(-np.tan(np.radians(loft_deg)) * np.sin(np.radians(toe_up_deg)))))
