"""How often shots that scatter about a mean stay inside limits: fairways, ellipses, putts.

Angular errors are taken as normal. Measured patterns have heavier tails (S. Ko, PhD thesis, Columbia
University, 2012), so a share far from the middle is an optimist's.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from arclore.engine.geometry.limits import within
from arclore.engine.quantities import BALL_DIAMETER_M, M_PER_INCH, Array, Number

HOLE_DIAMETER_M: Final = 4.25 * M_PER_INCH  # Rules of Golf, definition of the hole
RAMP_SPEED_MPS: Final = 1.83  # of a ball leaving the ramp that measures greens (B. Holmes 1991, from memory)

DRIVE_SPREAD_DEG: Final[dict[str, float]] = {"tour": 3.5, "averages 80": 6.0, "averages 100": 8.0}
"""Direction of drives off line by skill: middles of the ranges in M. Broadie, Every Shot Counts, 2014, figure
6.3, as a reader describes it (3 to 4, 4 to 9, 5 to 11 deg); whether they are standard deviations is not
stated."""

_erf = np.frompyfunc(math.erf, 1, 1)


def normal_below(standardised: Number) -> Array:
    """Share of a standard normal variable below a value."""
    erf = np.asarray(_erf(np.asarray(standardised, dtype=float) / math.sqrt(2.0)), dtype=float)
    share: Array = 0.5 * (1.0 + erf)
    return share


def share_inside(half_angle_deg: Number, spread_deg: Number, offset_deg: Number = 0.0) -> Array:
    """Share of shots within a half angle either side of the aim, for a standard deviation and a mean.

    Raises ValueError for an angle not in 0 to 90 or a spread not above 0.
    """
    half = within("half angle", half_angle_deg, 0.0, 90.0, "deg")
    spread = within("spread", spread_deg, 1e-9, 90.0, "deg")
    offset = within("mean offset", offset_deg, -90.0, 90.0, "deg")
    return normal_below((half - offset) / spread) - normal_below((-half - offset) / spread)


def half_angle_deg(width_m: Number, distance_m: Number) -> Array:
    """Half the angle under which a strip of a width, straddling the aim, is seen from a distance away."""
    width = within("width", width_m, 0.0, 1000.0, "m")
    return np.degrees(np.arctan2(width / 2.0, within("distance", distance_m, 1e-3, 1000.0, "m")))


def ellipse_factor(share: Number) -> Array:
    """Half axes, in standard deviations, of the ellipse holding a share of a normal scatter in a plane."""
    factor: Array = np.sqrt(-2.0 * np.log1p(-within("share", share, 0.0, 1.0 - 1e-12, "")))
    return factor


def putt_share(distance_m: Number, spread_deg: Number, offset_deg: Number = 0.0) -> Array:
    """Share of putts holed when only the direction errs: the ball must roll wholly over the hole.

    The directions scatter by a standard deviation about a mean offset from the middle of the hole.

    A. Gelman and D. Nolan, "A probability model for golf putting", Teaching Statistics 24(3), 2002.
    """
    distance = within("distance", distance_m, 0.0, 100.0, "m")
    room = (HOLE_DIAMETER_M - BALL_DIAMETER_M) / 2.0
    reach = np.degrees(np.arcsin(np.minimum(room / np.maximum(distance, room), 1.0)))
    return share_inside(reach, spread_deg, offset_deg)


def green_deceleration_mps2(run_m: Number, release_mps: Number = RAMP_SPEED_MPS) -> Array:
    """Even deceleration of a ball that leaves the ramp at a speed and rolls so far on a level green."""
    release = within("release speed", release_mps, 0.1, 20.0, "m/s")
    return release**2 / (2.0 * within("run on the green", run_m, 0.1, 20.0, "m"))
