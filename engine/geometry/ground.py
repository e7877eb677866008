"""From the first landing to rest: bounces, then roll.

A bounce is that of a rigid ball with friction off a plane tilted against the ball, the more the faster and
flatter it comes in: the turf gives way and its dent faces the ball. Form and first numbers after A. R.
Penner, "The run of a golf ball", Canadian Journal of Physics 80, 2002 (numbers from memory). Between bounces
the ball falls freely and loses a little speed to the air: the hops are low and slow. Measured bounces fit a
rigid theory only in part (S. Biber and others, Sports Engineering 26, 2023), so a run is good for its size
and its order between surfaces, not for the metre.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from arclore.engine.geometry.flight import Flight
from arclore.engine.geometry.limits import within
from arclore.engine.quantities import BALL_RADIUS_M, GRAVITY_MPS2, RAD_PER_S_PER_RPM, Array, Number

SurfaceName = Literal["soft", "fairway", "firm"]

MOST_BOUNCES: Final = 20
AIR_DRAG_PER_M: Final = 0.005  # share of speed that air takes in a metre: C_D 0.26 at sea level
LAST_BOUNCE_MPS: Final = 1.0  # a slower rebound, a hop of about 5 cm, is rolling in grass
REFERENCE_DEG: Final = 44.4  # angle of incidence and speed into the turf at which a dent's tilt is stated
REFERENCE_MPS: Final = 18.6 * np.cos(np.radians(REFERENCE_DEG))
UP: Final = np.array([[0.0], [0.0], [1.0]])
FLAT: Final = np.array([[True], [True], [False]])


@dataclass(frozen=True, slots=True)
class Surface:
    """Turf: share of the reference rebound, tilt of the dent at the reference impact, frictions."""

    rebound: float
    dent_deg: float
    friction: float
    rolling: float


# "fairway" keeps the remembered numbers of Penner's paper for the bounce; the other two and all rolling
# frictions are plain estimates (common practice: a firm fairway adds some ten yards to a drive, a soft one
# stops it).
SURFACES: Final[dict[str, Surface]] = {
    "soft": Surface(rebound=0.6, dent_deg=22.0, friction=0.45, rolling=0.35),
    "fairway": Surface(rebound=1.0, dent_deg=15.4, friction=0.40, rolling=0.25),
    "firm": Surface(rebound=1.25, dent_deg=11.0, friction=0.35, rolling=0.15),
}


@dataclass(frozen=True, slots=True)
class Run:
    """What follows the landing; arrays of the flight's shape.

    bounces counted; bounce_m and roll_m along the target line from the first landing (negative when spin
    draws the ball back); total_m carry and run together; side_m of the resting ball across the target line (+
    right); first_bounce_rpm backspin just after the first bounce (negative: topspin).
    """

    bounces: Array
    bounce_m: Array
    roll_m: Array
    total_m: Array
    side_m: Array
    first_bounce_rpm: Array


def rebound_share(normal_mps: Array) -> Array:
    """Normal restitution on the reference turf against the speed (m/s) into it (Penner 2002, from memory)."""
    speed = np.minimum(normal_mps, 20.0)
    return np.where(normal_mps < 20.0, 0.510 - 0.0375 * speed + 0.000903 * speed**2, 0.120)


def rigid_bounce(
    velocity: Array, spin: Array, normal: Array, restitution: Number, friction: Number
) -> tuple[Array, Array]:
    """Velocity (m/s) and spin (rad/s) after a rigid sphere meets a fixed plane; vectors along the first axis.

    ``normal`` points away from the plane. The contact grips when friction allows it, else slides all through.
    """
    into = -np.sum(velocity * normal, axis=0)
    slip = velocity + into * normal - BALL_RADIUS_M * np.cross(spin, normal, axis=0)
    slip_speed = np.sqrt(np.sum(slip * slip, axis=0))
    sliding = friction * (1.0 + restitution) * into / np.maximum(slip_speed, 1e-12)
    change = -np.minimum(2.0 / 7.0, sliding) * slip
    after = velocity + (1.0 + restitution) * into * normal + change
    return after, spin - 2.5 / BALL_RADIUS_M * np.cross(normal, change, axis=0)


def run_out(flight: Flight, surface: SurfaceName = "fairway", *, slope_deg: float = 0.0) -> Run:
    """Bounce and roll of landed shots on one of three surfaces; the ground rises toward the target by
    slope_deg.

    Raises ValueError for an unknown surface, or ground so steep that no ball stops on it.
    """
    if surface not in SURFACES:
        raise ValueError(f"surface is {surface!r}; give one of {', '.join(SURFACES)}")
    turf = SURFACES[surface]
    tilt = np.radians(float(within("ground slope", slope_deg, -45.0, 45.0, "deg")))
    if np.tan(abs(tilt)) >= turf.rolling:
        steepest = np.degrees(np.arctan(turf.rolling))
        raise ValueError(
            f"ground slope is {slope_deg:g} deg; a ball stops on {surface} up to {steepest:.1f} deg"
        )
    shape = flight.carry_m.shape
    cos, sin = np.cos(tilt), np.sin(tilt)
    turn = np.array([[cos, 0.0, sin], [0.0, 1.0, 0.0], [-sin, 0.0, cos]])
    velocity = turn @ flight.landing_velocity_mps.reshape(3, -1)
    spin = turn @ (flight.spin_axis * (flight.spin_rpm * RAD_PER_S_PER_RPM)).reshape(3, -1)
    gravity = GRAVITY_MPS2 * np.array([[-sin], [0.0], [-cos]])

    heading, moved = velocity, np.zeros_like(velocity)
    bounces, first_rpm = np.zeros((2, velocity.shape[1]))
    hopping = velocity[2] < -LAST_BOUNCE_MPS
    for number in range(MOST_BOUNCES):
        if not hopping.any():
            break
        after, spun = _bounce(velocity, spin, turf)
        velocity, spin = np.where(hopping, after, velocity), np.where(hopping, spun, spin)
        bounces += hopping
        if number == 0:
            first_rpm = np.where(hopping, _backspin_rpm(heading, spin), 0.0)
        hopping &= velocity[2] > LAST_BOUNCE_MPS
        aloft_s = np.where(hopping, -2.0 * velocity[2] / gravity[2], 0.0)
        slowed = 1.0 + AIR_DRAG_PER_M * np.hypot(velocity[0], velocity[1]) * aloft_s
        moved += velocity * aloft_s / np.sqrt(slowed) + 0.5 * gravity * aloft_s**2
        velocity = np.where(FLAT, velocity / slowed, velocity) + gravity * aloft_s
    bounce = turn.T @ moved
    roll = turn.T @ _roll(velocity, spin, turf, tilt)
    carry, side = flight.carry_m, flight.side_m
    bounce_m, roll_m = bounce[0].reshape(shape), roll[0].reshape(shape)
    return Run(
        bounces=bounces.reshape(shape),
        bounce_m=bounce_m,
        roll_m=roll_m,
        total_m=carry + bounce_m + roll_m,
        side_m=side - (bounce[1] + roll[1]).reshape(shape),
        first_bounce_rpm=first_rpm.reshape(shape),
    )


def _bounce(velocity: Array, spin: Array, turf: Surface) -> tuple[Array, Array]:
    """Velocity and spin after one bounce off the dent that each ball makes.

    The published form has the whole speed in place of the speed into the turf; the two agree at the reference
    impact, but the whole speed would stop a skimming ball dead.
    """
    level = np.hypot(velocity[0], velocity[1])
    incidence = np.arctan2(level, -velocity[2])
    tilt = np.radians(turf.dent_deg / REFERENCE_DEG) * np.degrees(incidence) * (-velocity[2] / REFERENCE_MPS)
    tilt = np.clip(tilt, 0.0, incidence)  # the dent cannot face further than straight back at the ball
    heading = np.where(FLAT, velocity / np.maximum(level, 1e-12), 0.0)
    normal = np.cos(tilt) * UP - np.sin(tilt) * heading
    into = -np.sum(velocity * normal, axis=0)
    restitution = turf.rebound * rebound_share(into)
    return rigid_bounce(velocity, spin, normal, restitution, turf.friction)


def _backspin_rpm(velocity: Array, spin: Array) -> Array:
    """Part of the spin about the level axis to the right of the direction of travel."""
    level = np.maximum(np.hypot(velocity[0], velocity[1]), 1e-12)
    backspin: Array = (spin[0] * velocity[1] - spin[1] * velocity[0]) / level / RAD_PER_S_PER_RPM
    return backspin


def _roll(velocity: Array, spin: Array, turf: Surface, tilt: float) -> Array:
    """Way rolled (3, n): the slip left goes at once, then friction and slope stop the ball in a line."""
    flat = np.where(FLAT, velocity, 0.0)
    slip = flat - BALL_RADIUS_M * np.cross(spin, UP, axis=0)
    rolling = flat - 2.0 / 7.0 * slip
    speed = np.sqrt(np.sum(rolling * rolling, axis=0))
    uphill = rolling[0] / np.maximum(speed, 1e-12)
    slowing = GRAVITY_MPS2 * (turf.rolling * np.cos(tilt) + np.sin(tilt) * uphill)
    length = np.log1p(AIR_DRAG_PER_M * speed**2 / slowing) / (2.0 * AIR_DRAG_PER_M)
    way: Array = rolling / np.maximum(speed, 1e-12) * length
    return way
