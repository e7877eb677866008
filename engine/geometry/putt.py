"""A putt on a level green: start line, hop, skid, pure roll, and the chance that it drops.

The start comes from the same arc and the same rigid impact as any other shot, with a putter's head. The ball hops for
as long as its launch lifts it, keeps nothing of the fall, slides until friction has set it rolling (a ball that leaves
without spin rolls at 5/7 of its speed) and then rolls out at the green's own even deceleration. Breaks are left out:
reading them is a matter of the eye, not of the stroke.

Sources: a sliding ball that comes to roll, C. B. Daish, The Physics of Ball Games, 1972 (from memory); speed of greens
in ``dispersion``. Friction is an estimate, so a skid is good for its size, not for the centimetre.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from arclore.engine.geometry.check import check_fields
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.dispersion import RAMP_SPEED_MPS, green_deceleration_mps2, putt_share
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Delivered, Swing, deliver, fault_free, hit
from arclore.engine.geometry.strike import MISS
from arclore.engine.quantities import (
    BALL_RADIUS_M,
    GRAVITY_MPS2,
    M_PER_FOOT,
    RAD_PER_S_PER_RPM,
    Array,
    Number,
)

__all__ = ["SCHOOL_SHEET_RELEASE_MPS", "Green", "Putt", "holed_share", "putt", "roll_out", "start_spread_deg", "stroke"]

SLIDING_FRICTION = 0.40  # of a ball on short grass; the same as for bounces on a fairway (estimate)
SCHOOL_SHEET_RELEASE_MPS = 6.4 * M_PER_FOOT
"""A governing body's school sheet lets the ball leave the ramp at 6.4 ft/s, a paper (Holmes 1991, from memory) at 6.0.
The paper's is taken; with the other a green of the same run is 14 % slower."""


@dataclass(frozen=True)
class Green:
    """A level green by how far (m) a ball runs that leaves the measuring ramp at ``release_mps``."""

    run_m: float = 10.0 * M_PER_FOOT
    release_mps: float = RAMP_SPEED_MPS

    @property
    def deceleration_mps2(self) -> float:
        return float(green_deceleration_mps2(self.run_m, self.release_mps))


@dataclass(frozen=True)
class Roll:
    """Where a putted ball is: lengths (m) along its own start line, and the speed (m/s) at which pure roll begins."""

    hop_m: Array
    skid_m: Array
    roll_m: Array
    rolling_mps: Array

    @property
    def distance_m(self) -> Array:
        return self.hop_m + self.skid_m + self.roll_m


@dataclass(frozen=True)
class Putt(Delivered):
    """A stroke and what came of it. ``distance_m`` is the whole way, ``side_m`` how far off the target line it ends
    (+ right). A ball that the head misses has zeros.
    """

    ball_speed_mps: Array
    launch_deg: Array
    start_deg: Array
    backspin_rpm: Array
    hop_m: Array
    skid_m: Array
    roll_m: Array
    distance_m: Array
    side_m: Array


def stroke(club: Club, level: str) -> Swing:
    """The level's stroke without a fault: path 0, a square face that stays square to its own arc."""
    closing = np.degrees(np.cos(np.radians(club.plane_deg))) / club.arc_radius_m
    return replace(fault_free(club, level), closing_deg_per_m=float(closing))


def roll_out(ball_speed_mps: Number, launch_deg: Number, backspin_rpm: Number, green: Green) -> Roll:
    """Hop, skid and roll of a ball; arrays broadcast. Backspin below 0 is overspin, which friction turns into speed."""
    launch = np.radians(np.asarray(launch_deg, dtype=float))
    level = np.asarray(ball_speed_mps) * np.cos(launch)
    hop = level * 2.0 * np.maximum(np.asarray(ball_speed_mps) * np.sin(launch), 0.0) / GRAVITY_MPS2
    spin = np.asarray(backspin_rpm) * RAD_PER_S_PER_RPM
    rolling = np.maximum(5.0 / 7.0 * level - 2.0 / 7.0 * BALL_RADIUS_M * spin, 0.0)
    skid = np.abs(level**2 - rolling**2) / (2.0 * SLIDING_FRICTION * GRAVITY_MPS2)
    return Roll(hop, skid, rolling**2 / (2.0 * green.deceleration_mps2), rolling)


def putt(swing: Swing, set_up: SetUp, club: Club, green: Green | None = None) -> Putt:
    """One stroke, or an array of them, until the ball lies still; the hole is not in the way.

    Raises ValueError in one line for a value outside its range or a ball that lies off the arc.
    """
    check_fields(swing)
    check_fields(set_up)
    delivered = deliver(swing, set_up, club)
    struck, _ = hit(delivered, club.head, club.head.friction)
    met = (delivered.contact != MISS) & (struck.normal_speed_mps > 0.0)
    speed, launch, start, spin = (
        np.where(met, value, 0.0)
        for value in (struck.ball_speed_mps, struck.launch_deg, struck.start_deg, struck.backspin_rpm)
    )
    run = roll_out(speed, launch, spin, green or Green())
    values = {field.name: getattr(delivered, field.name) for field in fields(Delivered)}
    values |= {"ball_speed_mps": speed, "launch_deg": launch, "start_deg": start, "backspin_rpm": spin}
    values |= {"hop_m": run.hop_m, "skid_m": run.skid_m, "roll_m": run.roll_m, "distance_m": run.distance_m}
    return Putt(**values, side_m=run.distance_m * np.sin(np.radians(start)))


def start_spread_deg(face_spread_deg: Number, path_spread_deg: Number, face_share: Number) -> Array:
    """Standard deviation of the start line (deg) from independent ones of face and path."""
    share = np.asarray(face_share)
    return np.asarray(np.hypot(share * face_spread_deg, (1.0 - share) * np.asarray(path_spread_deg)))


def holed_share(distance_m: Number, spread_deg: Number, start_deg: Number = 0.0) -> Array:
    """Share of putts that drop when only the start line errs, about a mean ``start_deg`` off the centre of the hole.

    Pace is taken as good enough. A. Gelman and D. Nolan, Teaching Statistics 24(3), 2002.
    """
    return putt_share(distance_m, spread_deg, start_deg)
