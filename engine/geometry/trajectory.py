"""Newton's law for the flying ball, stepped for many shots at once.

Each shot has its own frame: first axis along the launch velocity, second along the lift at launch, third
along the spin axis, which stays fixed in space. There the lift is a quarter turn of two components, which
halves the work. The classical fourth-order Runge-Kutta method steps velocity and spin, each shot with its own
step; the place follows from the same stages. A shot that meets the ground inside a step is carried there by a
shorter step of the same method, so that hardly any interpolation error is left in the landing.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt
from arclore.engine.geometry.ball import BallModel
from arclore.engine.quantities import GRAVITY_MPS2, Array

Index = npt.NDArray[np.intp]

POOL: Final = 8192  # shots stepped together: small enough for the processor's second cache
LONGEST_FLIGHT_S: Final = 60.0
SHORTEST_STEP_S: Final = 1e-3
TINY: Final = 1e-12  # keeps a division defined for air at rest; far below what matters


class Stride(NamedTuple):
    """Longest step (s); steps in the time of a flight in a vacuum; step as a share of the time in which the
    forces turn around (short where the ball hangs in the wind)."""

    longest_s: float
    in_vacuum: float
    turning: float


@dataclass(frozen=True, slots=True)
class Shots:
    """What does not change in flight; the last axis of every array counts the shots.

    Vectors (first axis of three) are components in each shot's own frame.
    """

    gravity: Array
    forward: Array  # the level direction to the target
    wind: Array | None  # at the height to which the shear refers
    drag_area: Array  # air density x cross-section / (2 x mass), 1/m
    reynolds_per_mps: Array
    spin_gain_per_m: Array  # share of spin, negative for a decay
    slope: Array | None  # rise of the ground for each metre toward the target
    drag: Array | None  # constant coefficients in place of the model's, times the drag area
    lift: Array | None
    model: BallModel
    shear: float

    def only(self, which: Index) -> Shots:
        """The same for some of the shots (``take`` keeps rows contiguous, which indexing does not)."""
        rows = {item.name: getattr(self, item.name) for item in fields(self)}
        return replace(self, **{name: row.take(which, axis=-1) for name, row in rows.items() if np.ndim(row)})

    def height(self, vector: Array) -> Array:
        """Component of a vector away from the (sloping) ground, its gradient straight up being one."""
        height: Array = np.einsum("in,in->n", vector, self.gravity)
        height *= -1.0 / GRAVITY_MPS2
        if self.slope is not None:
            height -= self.slope * self.ahead(vector)
        return height

    def rise(self, vector: Array) -> Array:
        """Component of a vector straight up."""
        rise: Array = np.einsum("in,in->n", vector, self.gravity)
        rise *= -1.0 / GRAVITY_MPS2
        return rise

    def ahead(self, vector: Array) -> Array:
        """Component of a vector along the target line."""
        ahead: Array = np.einsum("in,in->n", vector, self.forward)
        return ahead


@dataclass(frozen=True, slots=True)
class Landed:
    """Place, velocity (3, n), spin as surface speed (m/s) and time of the first landing; apex above the
    launch and its place along the target line."""

    place: Array
    velocity: Array
    spin_mps: Array
    time_s: Array
    apex_m: Array
    apex_x_m: Array


class _Bracket:
    """The step in which each shot meets something, kept by its start until all have met it.

    It is then solved for all shots at once; doing so while the others fly would cost far more.
    """

    def __init__(self, motion: Array) -> None:
        count = motion.shape[1]
        self.motion, self.place, self.rate = motion.copy(), np.zeros((3, count)), np.zeros((4, count))
        self.step, self.time = np.zeros(count), np.zeros(count)

    def keep(self, to: Index, which: Index, *flying: Array) -> None:
        """Keep motion, place, rate, step and time of some of the flying shots."""
        rooms = (self.motion, self.place, self.rate, self.step, self.time)
        for room, values in zip(rooms, flying, strict=True):
            room[..., to] = values.take(which, axis=-1)


def travel(motion: Array, height_m: Array, shots: Shots, stride: Stride) -> Landed:
    """Fly shots from the origin, ``height_m`` above the ground, until each has landed.

    ``motion`` holds the launch velocity (rows 0 to 2) and the spin as surface speed (row 3).
    Raises ValueError if any is still in the air after a minute.
    """
    rising = shots.height(motion[:3])
    vacuum_s = (rising + np.sqrt(rising**2 + 2.0 * GRAVITY_MPS2 * height_m)) / GRAVITY_MPS2
    landing, apex = _Bracket(motion), _Bracket(motion)
    # A shot launched into the ground stays where it is: its step is zero.
    airborne, first_s = np.flatnonzero(vacuum_s > 0.0), vacuum_s / stride.in_vacuum
    _fly(airborne, motion, height_m, first_s, shots, stride, landing, apex)
    return _land(landing, apex, height_m, shots)


def _fly(
    queue: Index,
    start: Array,
    height_m: Array,
    first_s: Array,
    shots: Shots,
    stride: Stride,
    landing: _Bracket,
    apex: _Bracket,
) -> None:
    """Step the queued shots, a pool at a time that is topped up as they land, and keep the brackets."""
    where, queue = queue[:POOL], queue[POOL:]
    flying, motion, place = shots.only(where), start.take(where, axis=1), np.zeros((3, where.size))
    time, height, climb = np.zeros(where.size), height_m[where], shots.rise(start[:3])[where]
    shortest = first_s[where]
    aloft = np.ones(where.size, dtype=bool)
    while where.size:
        rate = _rate(motion, place, flying)
        # A ball that lift holds up far longer than a vacuum would is given ever longer steps.
        step = np.minimum(np.maximum(shortest, time / 6.0), stride.longest_s)
        turning = stride.turning * _turning_s(motion, rate, flying)
        step = np.minimum(step, np.maximum(turning, SHORTEST_STEP_S, out=turning), out=step)
        new_motion, new_place = _step(motion, place, rate, step, flying)
        new_climb = flying.rise(new_motion[:3])
        over = np.flatnonzero((climb > 0.0) & (new_climb <= 0.0) & aloft)
        if apex.step[where[over]].any():  # a ball that the wind or its lift makes rise again
            known = shots.only(where[over]).rise(apex.place[:, where[over]])
            over = over[flying.only(over).rise(place[:, over]) >= known]
        if over.size:
            apex.keep(where[over], over, motion, place, rate, step, time)
        down = np.flatnonzero((height + flying.height(new_place) < 0.0) & aloft)
        if down.size:
            landing.keep(where[down], down, motion, place, rate, step, time)
            aloft[down] = False
        time += step
        motion, place, climb = new_motion, new_place, new_climb
        staying = int(np.count_nonzero(aloft))
        if time.max() > LONGEST_FLIGHT_S and (time[aloft] > LONGEST_FLIGHT_S).any():
            raise ValueError(f"a ball has not landed after {LONGEST_FLIGHT_S:g} s; give less lift or wind")
        if staying < 0.75 * where.size:
            fresh, queue = queue[: POOL - staying], queue[POOL - staying :]
            on = np.flatnonzero(aloft)
            where = np.concatenate([where[on], fresh])
            flying = shots.only(where)
            motion = np.concatenate([motion.take(on, axis=1), start.take(fresh, axis=1)], axis=1)
            place = np.concatenate([place.take(on, axis=1), np.zeros((3, fresh.size))], axis=1)
            time = np.concatenate([time[on], np.zeros(fresh.size)])
            climb = flying.rise(motion[:3])
            height, shortest = height_m[where], first_s[where]
            aloft = np.ones(where.size, dtype=bool)


def _rate(motion: Array, place: Array, shots: Shots) -> Array:
    """Acceleration (rows 0 to 2) and change of the spin's surface speed (row 3)."""
    air = motion[:3]
    if shots.wind is not None:
        wind = shots.wind
        if shots.shear:
            wind = wind * ((1.0 + np.maximum(shots.height(place), 0.0)) / 11.0) ** shots.shear
        air = air - wind
    along, lifted, sideways = air
    square = along * along
    square += lifted * lifted
    squared = sideways * sideways
    squared += square
    squared += TINY
    speed = np.sqrt(squared)
    np.sqrt(square, out=square)
    spin = motion[3]
    if shots.drag is None:
        pull = shots.model.pull(shots.reynolds_per_mps * speed, speed, spin)
        pull *= shots.drag_area
    else:
        pull = shots.drag * speed
    if shots.lift is None:
        push = shots.model.push(squared, square, spin)
        push *= shots.drag_area
    else:
        push = shots.lift * squared
        square += TINY
        push /= square
    rate = np.empty_like(motion)
    np.multiply(air, pull, out=rate[:3])
    np.subtract(shots.gravity, rate[:3], out=rate[:3])
    rate[0] -= push * lifted
    rate[1] += push * along
    np.multiply(speed, spin, out=rate[3])
    rate[3] *= shots.spin_gain_per_m
    return rate


def _turning_s(motion: Array, rate: Array, shots: Shots) -> Array:
    """Time scale on which the forces turn: speed square to the spin axis over the acceleration."""
    air = motion[:2] if shots.wind is None else motion[:2] - shots.wind[:2]
    square = np.einsum("in,in->n", air, air)
    square /= np.einsum("in,in->n", rate[:3], rate[:3]) + TINY
    turning: Array = np.sqrt(square, out=square)
    return turning


def _step(motion: Array, place: Array, rate: Array, step: Array, shots: Shots) -> tuple[Array, Array]:
    """One classical Runge-Kutta step from ``motion`` and ``place``, where the rate of change is ``rate``."""
    half = 0.5 * step
    sheared = shots.shear and shots.wind is not None

    def onward(stage: Array, before: Array, share: Array) -> tuple[Array, Array]:
        trial = stage * share
        trial += motion
        return trial, place + share * before[:3] if sheared else place

    trial, spot = onward(rate, motion, half)
    second = _rate(trial, spot, shots)
    trial, spot = onward(second, trial, half)
    third = _rate(trial, spot, shots)
    trial, spot = onward(third, trial, step)
    new_motion = _rate(trial, spot, shots)  # the fourth stage, soon the new motion
    second += third
    new_motion += second
    second += rate
    new_motion += second
    new_motion *= step / 6.0
    new_motion += motion
    new_place = second[:3]
    new_place *= step / 6.0
    new_place += motion[:3]
    new_place *= step
    new_place += place
    return new_motion, new_place


def _land(landing: _Bracket, apex: _Bracket, height_m: Array, shots: Shots) -> Landed:
    """Carry all shots to where they cross the ground within the step kept for each.

    The zero of the cubic through both ends tells how long a shorter step must be; what that step misses is
    made up by one of Newton's corrections.
    """
    motion, place, step = landing.motion, landing.place, landing.step
    new_motion, new_place = _step(motion, place, landing.rate, step, shots)
    start, end = height_m + shots.height(place), height_m + shots.height(new_place)
    begin, square, cube = _cubic(start, end, shots.height(motion[:3]), shots.height(new_motion[:3]), step)
    share = np.ones_like(step)
    for _ in range(5):  # from the far end, so that a ball on the ground at the start does not land there
        value = start + share * (begin + share * (square + share * cube))
        fall = begin + share * (2.0 * square + 3.0 * share * cube)
        share = np.clip(share - value / np.minimum(fall, -TINY), 0.0, 1.0)
    took = share * step
    motion, place = _step(motion, place, landing.rate, took, shots)
    rest = (height_m + shots.height(place)) / np.maximum(-shots.height(motion[:3]), TINY)
    rest = np.where(step > 0.0, rest, 0.0)
    rate = _rate(motion, place, shots)
    place += rest * (motion[:3] + 0.5 * rest * rate[:3])
    motion += rest * rate
    top, top_x = _top(apex, shots)
    last, last_x = shots.rise(place), shots.ahead(place)
    rises = (last > top) & (last > 0.0) & (step > 0.0)  # into a hill, before any apex
    top, top_x = np.where(top > 0.0, (top, top_x), 0.0)  # else the launch is the highest point
    return Landed(
        place=place,
        velocity=motion[:3],
        spin_mps=motion[3],
        time_s=landing.time + took + rest,
        apex_m=np.where(rises, last, top),
        apex_x_m=np.where(rises, last_x, top_x),
    )


def _top(apex: _Bracket, shots: Shots) -> tuple[Array, Array]:
    """Height and way along the target line at the top of the cubic through both ends of the steps kept."""
    motion, place, step = apex.motion, apex.place, apex.step
    new_motion, new_place = _step(motion, place, apex.rate, step, shots)
    low, x = shots.rise(place), shots.ahead(place)
    begin, square, cube = _cubic(
        low, shots.rise(new_place), shots.rise(motion[:3]), shots.rise(new_motion[:3]), step
    )
    # Of the two zeros of begin + 2 square s + 3 cube s^2, the one that stays finite as the cube vanishes.
    root = np.sqrt(np.maximum(square * square - 3.0 * cube * begin, 0.0))
    share = begin / np.maximum(root - square, TINY)
    x_begin, x_square, x_cube = _cubic(
        x, shots.ahead(new_place), shots.ahead(motion[:3]), shots.ahead(new_motion[:3]), step
    )
    return (
        low + share * (begin + share * (square + share * cube)),
        x + share * (x_begin + share * (x_square + share * x_cube)),
    )


def _cubic(start: Array, end: Array, begin: Array, finish: Array, step: Array) -> tuple[Array, Array, Array]:
    """Factors of the share of a step, its square and its cube, from both ends and the speeds there."""
    begin, finish, way = begin * step, finish * step, end - start
    return begin, 3.0 * way - 2.0 * begin - finish, begin + finish - 2.0 * way
