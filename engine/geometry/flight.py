"""The flight of the ball: drag, lift, spin decay and wind, for one shot or a million.

Newton's law for the ball's centre is stepped by the classical fourth-order Runge-Kutta method, all shots of a
chunk together, each with its own step. A shot that crosses the apex or the ground inside a step is carried to
the event by a shorter step of the same method, so that no interpolation error is left in the result.

The spin axis stays fixed in space; the spin falls by a fixed share for each metre through the air.
Inside, vectors are (x toward the target, y to the left, z up); public lateral figures are positive to the
right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Final, Literal, NamedTuple

import numpy as np
from arclore.engine.geometry.air import Air
from arclore.engine.geometry.ball import SPIN_DECAY_PER_M, BallModel
from arclore.engine.geometry.limits import within
from arclore.engine.quantities import (
    BALL_DIAMETER_M,
    BALL_MASS_KG,
    BALL_RADIUS_M,
    GRAVITY_MPS2,
    RAD_PER_S_PER_RPM,
    Array,
    Number,
)

Accuracy = Literal["quick", "fine"]
Mask = np.typing.NDArray[np.bool_]

LONGEST_FLIGHT_S: Final = 60.0
CHUNK: Final = 4096  # shots stepped together: the work arrays of a chunk stay in the processor's second cache
AREA_PER_MASS: Final = np.pi * BALL_RADIUS_M**2 / (2.0 * BALL_MASS_KG)
TINY: Final = 1e-12  # keeps a division defined for air at rest; far below what matters


class _Steps(NamedTuple):
    """Longest step (s), steps in the time a ball would fly in a vacuum, and share of the time in which the
    forces turn around, which is short where the ball hangs in the wind."""

    longest_s: float
    in_vacuum: float
    turning: float


STEPS: Final[dict[str, _Steps]] = {"quick": _Steps(0.9, 4.0, 0.3), "fine": _Steps(0.3, 10.0, 0.1)}
SHORTEST_S: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Flight:
    """Where and how the ball first lands; every field an array of the shape of the broadcast inputs.

    carry_m along the target line, side_m across it (+ right), curve_m from the vertical plane of the launch
    direction (+ right), apex_m above the launch point and apex_x_m where it is; landing_deg below the
    horizontal. landing_velocity_mps and spin_axis have a first axis of three: x to the target, y to the left,
    z up. A ball launched into the ground (no height, launch not above the slope) lands at once where it lies:
    all distances and the time are 0.
    """

    carry_m: Array
    side_m: Array
    curve_m: Array
    apex_m: Array
    apex_x_m: Array
    time_s: Array
    landing_deg: Array
    landing_speed_mps: Array
    spin_rpm: Array
    landing_velocity_mps: Array
    spin_axis: Array


@dataclass(frozen=True, slots=True)
class _Shots:
    """What does not change in flight, for the shots still in the air; one number a shot in each row."""

    axis: Array
    wind: Array
    drag_area: Array  # air density x cross-section / (2 x mass), 1/m
    reynolds_per_mps: Array
    decay_per_m: Array
    slope: Array  # rise of the ground for each metre toward the target
    drag: Array | None
    lift: Array | None
    model: BallModel
    shear: float

    def only(self, which: Mask | np.typing.NDArray[np.intp]) -> _Shots:
        """The same for some of the shots."""
        rows = {item.name: getattr(self, item.name) for item in fields(self)}
        return replace(self, **{name: row[..., which] for name, row in rows.items() if np.ndim(row)})


def fly(
    ball_speed_mps: Number,
    launch_deg: Number,
    start_deg: Number = 0.0,
    backspin_rpm: Number = 0.0,
    axis_tilt_deg: Number = 0.0,
    *,
    air: Air | None = None,
    model: BallModel | None = None,
    drag_coefficient: Number | None = None,
    lift_coefficient: Number | None = None,
    spin_decay_per_m: Number | None = None,
    wind_along_mps: Number = 0.0,
    wind_across_mps: Number = 0.0,
    accuracy: Accuracy = "quick",
    launch_height_m: Number = 0.0,
    slope_deg: Number = 0.0,
) -> Flight:
    """Fly shots from launch to first landing; every number may be an array, all broadcast together.

    ball_speed_mps, launch_deg above the horizontal, start_deg right of the target, backspin_rpm (all of the
    spin, about the tilted axis; negative is topspin) and axis_tilt_deg in the plane normal to the launch
    direction (+ curves right). wind_along_mps > 0 blows toward the target, wind_across_mps > 0 to the right.
    drag_coefficient and lift_coefficient, when given, stand for the ball model's as constants. The ground is
    a plane that rises toward the target by slope_deg; the ball starts launch_height_m above it. accuracy
    "fine" is within 0.01 m and "quick" within 0.25 m of a reference integration.

    Raises ValueError in one line for a number out of range or a ball still in the air after 60 s.
    """
    numbers = _checked(
        ball_speed_mps=ball_speed_mps,
        launch_deg=launch_deg,
        start_deg=start_deg,
        backspin_rpm=backspin_rpm,
        axis_tilt_deg=axis_tilt_deg,
        drag_coefficient=drag_coefficient,
        lift_coefficient=lift_coefficient,
        spin_decay_per_m=SPIN_DECAY_PER_M if spin_decay_per_m is None else spin_decay_per_m,
        wind_along_mps=wind_along_mps,
        wind_across_mps=wind_across_mps,
        launch_height_m=launch_height_m,
        slope_deg=slope_deg,
    )
    if accuracy not in STEPS:
        raise ValueError(f"accuracy is {accuracy!r}; give one of {', '.join(STEPS)}")
    air = air or Air()
    numbers["density"] = np.asarray(air.density_kgm3, dtype=float)
    numbers["viscosity"] = np.asarray(air.viscosity_pas, dtype=float)
    shape = np.broadcast_shapes(*(number.shape for number in numbers.values()))
    flat = {
        name: number if number.ndim == 0 else np.broadcast_to(number, shape).reshape(-1)
        for name, number in numbers.items()
    }
    count = int(np.prod(shape, dtype=np.int64))
    landed = np.empty((ROWS, count))
    for first in range(0, count, CHUNK):
        part = slice(first, min(first + CHUNK, count))
        chunk = {name: number if number.ndim == 0 else number[part] for name, number in flat.items()}
        _fly_chunk(chunk, model or BallModel(), air.wind_shear_exponent, STEPS[accuracy], landed[:, part])
    return _flight(landed.reshape((ROWS, *shape)), np.broadcast_to(numbers["start_deg"], shape))


RANGES: Final[dict[str, tuple[str, float, float, str]]] = {
    "ball_speed_mps": ("ball speed", 0.0, 150.0, "m/s"),
    "launch_deg": ("launch angle", -90.0, 90.0, "deg"),
    "start_deg": ("start direction", -180.0, 180.0, "deg"),
    "backspin_rpm": ("backspin", -20_000.0, 20_000.0, "rpm"),
    "axis_tilt_deg": ("axis tilt", -180.0, 180.0, "deg"),
    "drag_coefficient": ("drag coefficient", 0.0, 2.0, ""),
    "lift_coefficient": ("lift coefficient", -2.0, 2.0, ""),
    "spin_decay_per_m": ("spin decay", 0.0, 0.1, "per metre"),
    "wind_along_mps": ("wind along the target line", -50.0, 50.0, "m/s"),
    "wind_across_mps": ("wind across the target line", -50.0, 50.0, "m/s"),
    "launch_height_m": ("launch height", 0.0, 500.0, "m"),
    "slope_deg": ("ground slope", -45.0, 45.0, "deg"),
}


def _checked(**numbers: Number | None) -> dict[str, Array]:
    """The numbers that were given, as arrays inside their ranges."""
    result = {}
    for key, number in numbers.items():
        if number is not None:
            name, low, high, unit = RANGES[key]
            result[key] = within(name, number, low, high, unit)
    return result


# Rows of the state (position, velocity, spin in rad/s) and, after them, of what is kept of a landed shot.
X, Y, Z, VX, VY, VZ, SPIN = range(7)
TIME, APEX, APEX_X, AXIS = 7, 8, 9, slice(10, 13)
STATE: Final = slice(0, 7)
ROWS: Final = 13


def _fly_chunk(given: dict[str, Array], model: BallModel, shear: float, steps: _Steps, out: Array) -> None:
    """Fly one chunk of flat arrays and write the rows of the landed shots into ``out`` (ROWS, n)."""
    state, shots = _launch(given, model, shear, out.shape[1])
    out[APEX] = state[Z]
    out[APEX_X] = 0.0
    out[AXIS] = shots.axis
    rising = state[VZ] - shots.slope * state[VX]
    vacuum_s = (rising + np.sqrt(rising**2 + 2.0 * GRAVITY_MPS2 * state[Z])) / GRAVITY_MPS2
    out[STATE] = state
    out[TIME] = 0.0
    where = np.flatnonzero(vacuum_s > 0.0)
    state, shots = state[:, where], shots.only(where)
    first_s = vacuum_s[where] / steps.in_vacuum
    time = np.zeros(where.size)
    aloft = np.ones(where.size, dtype=bool)
    while where.size:
        # A ball that lift holds up far longer than a vacuum would is given ever longer steps.
        slope_now = _derivative(state, shots)
        step = np.minimum(np.maximum(first_s, time / 6.0), steps.longest_s)
        step = np.minimum(step, np.maximum(steps.turning * _turning_s(state, slope_now, shots), SHORTEST_S))
        after = _step(state, slope_now, step, shots)
        topped = aloft & (state[VZ] > 0.0) & (after[VZ] <= 0.0)
        if topped.any():
            at = np.flatnonzero(topped)
            top, _ = _meet(state[:, at], slope_now[:, at], after[:, at], step[at], shots.only(at), _climb)
            _raise_apex(out, where[at], top)
        down = aloft & (after[Z] < shots.slope * after[X])
        if down.any():
            at = np.flatnonzero(down)
            end, took = _meet(state[:, at], slope_now[:, at], after[:, at], step[at], shots.only(at), _height)
            out[STATE, where[at]] = end
            out[TIME, where[at]] = time[at] + took
            still_rising = end[VZ] > 0.0
            _raise_apex(out, where[at[still_rising]], end[:, still_rising])
            aloft &= ~down
        time += step
        state = after
        staying = int(np.count_nonzero(aloft))
        if staying < 0.8 * where.size:
            state, shots = state[:, aloft], shots.only(aloft)
            where, time, first_s, aloft = where[aloft], time[aloft], first_s[aloft], aloft[aloft]
        if staying and time[aloft].max() > LONGEST_FLIGHT_S:
            raise ValueError(
                f"flight: {staying} of {out.shape[1]} shots have not landed after {LONGEST_FLIGHT_S:g} s; "
                "give less lift or less wind"
            )
    out[APEX] -= given["launch_height_m"]


def _launch(given: dict[str, Array], model: BallModel, shear: float, count: int) -> tuple[Array, _Shots]:
    """State at launch (7, n) and the constants of the shots."""

    def row(number: Array) -> Array:
        return np.broadcast_to(number, (count,))

    launch, start, tilt = (np.radians(given[name]) for name in ("launch_deg", "start_deg", "axis_tilt_deg"))
    sign = np.where(given["backspin_rpm"] < 0.0, -1.0, 1.0)
    # Pure backspin turns about the level axis that points right of the launch direction; tilting it by a
    # positive angle lowers that end.
    level, lowered = sign * np.cos(tilt), sign * np.sin(tilt)
    axis = (
        lowered * np.sin(launch) * np.cos(start) - level * np.sin(start),
        -lowered * np.sin(launch) * np.sin(start) - level * np.cos(start),
        -lowered * np.cos(launch),
    )
    speed = given["ball_speed_mps"]
    state = np.empty((7, count))
    state[X] = 0.0
    state[Y] = 0.0
    state[Z] = given["launch_height_m"]
    state[VX] = speed * np.cos(launch) * np.cos(start)
    state[VY] = -speed * np.cos(launch) * np.sin(start)
    state[VZ] = speed * np.sin(launch)
    state[SPIN] = np.abs(given["backspin_rpm"]) * RAD_PER_S_PER_RPM
    density = given["density"]
    return state, _Shots(
        axis=np.stack([row(part) for part in axis]),
        wind=np.stack([row(given["wind_along_mps"]), row(0.0 - given["wind_across_mps"])]),
        drag_area=row(density * AREA_PER_MASS),
        reynolds_per_mps=row(density * BALL_DIAMETER_M / given["viscosity"]),
        decay_per_m=row(given["spin_decay_per_m"]),
        slope=row(np.tan(np.radians(given["slope_deg"]))),
        drag=row(given["drag_coefficient"]) if "drag_coefficient" in given else None,
        lift=row(given["lift_coefficient"]) if "lift_coefficient" in given else None,
        model=model,
        shear=shear,
    )


def _turning_s(state: Array, rate: Array, shots: _Shots) -> Array:
    """Time scale on which the forces turn: speed square to the spin axis, over the acceleration."""
    along, across = shots.wind
    ux, uy, uz = state[VX] - along, state[VY] - across, state[VZ]
    ax, ay, az = shots.axis
    on_axis = ax * ux + ay * uy + az * uz
    square = ux * ux + uy * uy + uz * uz - on_axis * on_axis
    pull = rate[VX] * rate[VX] + rate[VY] * rate[VY] + rate[VZ] * rate[VZ]
    turning: Array = np.sqrt(np.maximum(square, 0.0) / (pull + TINY))
    return turning


def _derivative(state: Array, shots: _Shots) -> Array:
    """Rates of change of the state: velocity, acceleration, loss of spin."""
    along, across = shots.wind
    if shots.shear:
        gain = ((1.0 + np.maximum(state[Z], 0.0)) / 11.0) ** shots.shear
        along, across = along * gain, across * gain
    ux, uy, uz = state[VX] - along, state[VY] - across, state[VZ]
    squared = ux * ux + uy * uy + uz * uz + TINY
    speed = np.sqrt(squared)
    spin = state[SPIN]
    ax, ay, az = shots.axis
    cx, cy, cz = ay * uz - az * uy, az * ux - ax * uz, ax * uy - ay * ux
    square = np.sqrt(cx * cx + cy * cy + cz * cz + TINY)
    if shots.drag is None or shots.lift is None:
        reynolds = shots.reynolds_per_mps * speed
        spin_ratio = BALL_RADIUS_M * spin / speed
    drag = shots.model.drag(reynolds, spin_ratio) if shots.drag is None else shots.drag
    # Only the part of the spin square to the air lifts: a bullet's spin does not.
    lift = shots.model.lift(reynolds, spin_ratio * square / speed) if shots.lift is None else shots.lift
    sideways = lift * shots.drag_area * squared / square
    against = drag * shots.drag_area * speed
    rate = np.empty_like(state)
    rate[:3] = state[3:6]
    rate[VX] = sideways * cx - against * ux
    rate[VY] = sideways * cy - against * uy
    rate[VZ] = sideways * cz - against * uz - GRAVITY_MPS2
    rate[SPIN] = -shots.decay_per_m * speed * spin
    return rate


def _step(state: Array, first: Array, step: Array, shots: _Shots) -> Array:
    """One classical Runge-Kutta step; ``first`` is the derivative at ``state``."""
    half = 0.5 * step
    second = _derivative(state + half * first, shots)
    third = _derivative(state + half * second, shots)
    fourth = _derivative(state + step * third, shots)
    second += third
    second *= 2.0
    second += first
    second += fourth
    second *= step / 6.0
    second += state
    return second


Event = Callable[[Array, Array, _Shots], tuple[Array, Array]]


def _height(state: Array, rate: Array, shots: _Shots) -> tuple[Array, Array]:
    """Height above the sloping ground and its rate."""
    return state[Z] - shots.slope * state[X], rate[Z] - shots.slope * rate[X]


def _climb(state: Array, rate: Array, shots: _Shots) -> tuple[Array, Array]:
    """Vertical speed and its rate: zero at the apex."""
    del shots
    return state[VZ], rate[VZ]


def _meet(
    state: Array, rate: Array, after: Array, step: Array, shots: _Shots, event: Event
) -> tuple[Array, Array]:
    """State and time at the zero of a falling quantity that changes sign within the step.

    The zero of the cubic through both ends tells how long a shorter step must be; what that step misses is
    made up by one of Newton's corrections.
    """
    start, start_rate = event(state, rate, shots)
    end, end_rate = event(after, _derivative(after, shots), shots)
    slope0, slope1 = start_rate * step, end_rate * step
    square = 3.0 * (end - start) - 2.0 * slope0 - slope1
    cube = slope0 + slope1 - 2.0 * (end - start)
    share = np.ones_like(step)
    for _ in range(6):  # from the far end, so that a ball on the ground at the start does not land there
        value = start + share * (slope0 + share * (square + share * cube))
        fall = slope0 + share * (2.0 * square + 3.0 * share * cube)
        share = np.clip(share - value / np.where(fall < 0.0, fall, -TINY), 0.0, 1.0)
    took = share * step
    met = _step(state, rate, took, shots)
    met_rate = _derivative(met, shots)
    miss, miss_rate = event(met, met_rate, shots)
    rest = -miss / np.where(miss_rate < 0.0, miss_rate, -np.inf)
    return met + rest * met_rate, took + rest


def _raise_apex(out: Array, where: np.typing.NDArray[np.intp], top: Array) -> None:
    """Keep the highest point of a flight (a strongly lifted ball may have several)."""
    higher = top[Z] > out[APEX, where]
    out[APEX, where[higher]] = top[Z, higher]
    out[APEX_X, where[higher]] = top[X, higher]


def _flight(rows: Array, start_deg: Array) -> Flight:
    """The public record from the rows of landed shots."""
    velocity = rows[VX : VZ + 1]
    level = np.hypot(rows[VX], rows[VY])
    start = np.radians(start_deg)
    return Flight(
        carry_m=rows[X],
        side_m=0.0 - rows[Y],
        curve_m=-rows[Y] * np.cos(start) - rows[X] * np.sin(start),
        apex_m=rows[APEX],
        apex_x_m=rows[APEX_X],
        time_s=rows[TIME],
        landing_deg=np.degrees(np.arctan2(-rows[VZ], level)),
        landing_speed_mps=np.hypot(level, rows[VZ]),
        spin_rpm=rows[SPIN] / RAD_PER_S_PER_RPM,
        landing_velocity_mps=velocity,
        spin_axis=rows[AXIS],
    )
