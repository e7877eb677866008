"""The flight of the ball: drag, lift, spin decay and wind, for one shot or a million.

The spin axis stays fixed in space; the spin falls by a fixed share for each metre through the air.
Inside, vectors are (x toward the target, y to the left, z up); public lateral figures are
positive to the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from arclore.engine.geometry.air import Air
from arclore.engine.geometry.ball import SPIN_DECAY_PER_M, BallModel
from arclore.engine.geometry.limits import within
from arclore.engine.geometry.trajectory import Shots, Stride, travel
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

CHUNK: Final = 16_384  # shots prepared together: keeps the memory flat however many are asked for
AREA_PER_MASS: Final = np.pi * BALL_RADIUS_M**2 / (2.0 * BALL_MASS_KG)


STRIDES: Final[dict[str, Stride]] = {"quick": Stride(0.9, 4.0, 0.3), "fine": Stride(0.5, 6.0, 0.15)}


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
    if accuracy not in STRIDES:
        raise ValueError(f"accuracy is {accuracy!r}; give one of {', '.join(STRIDES)}")
    air = air or Air()
    numbers["density"] = np.asarray(air.density_kgm3, dtype=float)
    numbers["viscosity"] = np.asarray(air.viscosity_pas, dtype=float)
    shape = np.broadcast_shapes(*(number.shape for number in numbers.values()))
    flat = {
        name: number if number.ndim == 0 else np.broadcast_to(number, shape).reshape(-1)
        for name, number in numbers.items()
    }
    count = int(np.prod(shape, dtype=np.int64))
    rows = np.empty((ROWS, count))
    for first in range(0, count, CHUNK):
        part = slice(first, min(first + CHUNK, count))
        chunk = {name: number if number.ndim == 0 else number[part] for name, number in flat.items()}
        _fly_chunk(chunk, model or BallModel(), air.wind_shear_exponent, STRIDES[accuracy], rows[:, part])
    return _flight(rows.reshape((ROWS, *shape)), np.broadcast_to(numbers["start_deg"], shape))


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


# Rows of what is kept of a landed shot.
PLACE, VELOCITY, AXIS, SPIN, TIME, APEX, APEX_X = slice(0, 3), slice(3, 6), slice(6, 9), 9, 10, 11, 12
ROWS: Final = 13


def _fly_chunk(given: dict[str, Array], model: BallModel, shear: float, stride: Stride, out: Array) -> None:
    """Fly one chunk of flat arrays and write its rows into ``out`` (ROWS, n)."""
    count = out.shape[1]
    drag_area = given["density"] * AREA_PER_MASS

    def row(number: Array) -> Array:
        return np.broadcast_to(number, (count,))

    def constant(name: str) -> Array | None:
        return row(given[name] * drag_area) if name in given else None

    frame = _frame(given, count)
    motion = np.zeros((4, count))
    motion[0] = given["ball_speed_mps"]
    motion[3] = np.abs(given["backspin_rpm"]) * (RAD_PER_S_PER_RPM * BALL_RADIUS_M)
    along, across = row(given["wind_along_mps"]), row(given["wind_across_mps"])
    shots = Shots(
        gravity=-GRAVITY_MPS2 * frame[:, 2],
        forward=frame[:, 0],
        wind=along * frame[:, 0] - across * frame[:, 1] if along.any() or across.any() else None,
        drag_area=row(drag_area),
        reynolds_per_mps=row(given["density"] * BALL_DIAMETER_M / given["viscosity"]),
        spin_gain_per_m=row(-given["spin_decay_per_m"]),
        slope=row(np.tan(np.radians(given["slope_deg"]))) if given["slope_deg"].any() else None,
        drag=constant("drag_coefficient"),
        lift=constant("lift_coefficient"),
        model=model,
        shear=shear,
    )
    landed = travel(motion, row(given["launch_height_m"]), shots, stride)
    out[PLACE] = np.einsum("ijn,in->jn", frame, landed.place)
    out[VELOCITY] = np.einsum("ijn,in->jn", frame, landed.velocity)
    out[AXIS] = frame[2]
    out[SPIN] = landed.spin_mps / (RAD_PER_S_PER_RPM * BALL_RADIUS_M)
    out[TIME] = landed.time_s
    out[APEX] = landed.apex_m
    out[APEX_X] = landed.apex_x_m


def _frame(given: dict[str, Array], count: int) -> Array:
    """Axes of the shots' own frames, (axis, world component, shot): launch, lift at launch, spin."""
    launch, start, tilt = (np.radians(given[name]) for name in ("launch_deg", "start_deg", "axis_tilt_deg"))
    frame = np.empty((3, 3, count))
    frame[0, 0] = np.cos(launch) * np.cos(start)
    frame[0, 1] = -np.cos(launch) * np.sin(start)
    frame[0, 2] = np.sin(launch)
    # Pure backspin turns about the level axis that points right of the launch direction; tilting it by a
    # positive angle lowers that end. Topspin turns about the opposite axis.
    sign = np.where(given["backspin_rpm"] < 0.0, -1.0, 1.0)
    level, lowered = sign * np.cos(tilt), sign * np.sin(tilt)
    frame[2, 0] = lowered * np.sin(launch) * np.cos(start) - level * np.sin(start)
    frame[2, 1] = -lowered * np.sin(launch) * np.sin(start) - level * np.cos(start)
    frame[2, 2] = -lowered * np.cos(launch)
    frame[1] = np.cross(frame[2], frame[0], axis=0)
    return frame


def _flight(rows: Array, start_deg: Array) -> Flight:
    """The public record from the rows of landed shots."""
    x, y, _ = rows[PLACE]
    vx, vy, vz = rows[VELOCITY]
    level = np.hypot(vx, vy)
    start = np.radians(start_deg)
    return Flight(
        carry_m=x,
        side_m=0.0 - y,
        curve_m=-y * np.cos(start) - x * np.sin(start),
        apex_m=rows[APEX],
        apex_x_m=rows[APEX_X],
        time_s=rows[TIME],
        landing_deg=np.degrees(np.arctan2(-vz, level)),
        landing_speed_mps=np.hypot(level, vz),
        spin_rpm=rows[SPIN],
        landing_velocity_mps=rows[VELOCITY],
        spin_axis=rows[AXIS],
    )
