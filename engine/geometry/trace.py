"""The way of one ball through the air, point by point: what a drawing needs and a landing does not tell."""

from __future__ import annotations

from typing import Final

import numpy as np
from arclore.engine.geometry.air import Air
from arclore.engine.geometry.ball import BallModel
from arclore.engine.geometry.flight import Flight, fly
from arclore.engine.quantities import Array

SCREEN_DEG: Final = 45.0  # the steepest ground that ``fly`` takes
STEEPEST_LAUNCH_DEG: Final = 44.0


def trace(
    ball_speed_mps: float,
    launch_deg: float,
    start_deg: float = 0.0,
    backspin_rpm: float = 0.0,
    axis_tilt_deg: float = 0.0,
    *,
    points: int = 65,
    air: Air | None = None,
    model: BallModel | None = None,
    slope_deg: float = 0.0,
    **conditions: float | None,
) -> Array:
    """Places of one ball from launch to first landing, in m: (ahead, right, up) by ``points``.

    Takes what ``fly`` takes, plain numbers only; ``conditions`` are its coefficients and wind by name. A
    screen that rises by 45 deg toward the target is moved out ahead of the ball, and each point is where the
    ball meets it, as exact as ``fly``: a flight less steep than the screen meets it once. A steeper launch,
    and a wind that changes with the height above that screen, are drawn as smooth curves through launch, apex
    and landing instead, good to a few metres. A ball that lands at once stays at the launch. Raises
    ValueError as ``fly`` does.
    """
    launch = (ball_speed_mps, launch_deg, start_deg, backspin_rpm, axis_tilt_deg)
    end = fly(*launch, air=air, model=model, slope_deg=slope_deg, **conditions)  # type: ignore[arg-type]
    ground = float(end.carry_m) * np.tan(np.radians(slope_deg))
    sheared = air is not None and air.wind_shear_exponent != 0.0
    if launch_deg > STEEPEST_LAUNCH_DEG or sheared or float(end.carry_m) <= 0.0:
        return _through_apex(end, launch_deg, start_deg, ground, points)
    screen = np.linspace(0.0, float(end.carry_m) - ground, points)[1:-1]
    met = fly(
        *launch,
        air=air,
        model=model,
        launch_height_m=screen,
        slope_deg=SCREEN_DEG,
        **conditions,  # type: ignore[arg-type]
    )
    way = np.zeros((3, points))
    way[:, 1:-1] = met.carry_m, met.side_m, met.carry_m - screen
    way[:, -1] = end.carry_m, end.side_m, ground
    return way


def _through_apex(end: Flight, launch_deg: float, start_deg: float, ground: float, points: int) -> Array:
    """Two cubics, level at the apex, with the slopes of launch and landing; sideways a parabola."""
    carry, top, height = float(end.carry_m), float(end.apex_x_m), float(end.apex_m)
    share = np.linspace(0.0, 1.0, points)
    ahead = carry * share
    up = np.zeros(points)
    if 0.0 < top < carry:
        rising = np.minimum(ahead / top, 1.0)
        falling = np.clip((carry - ahead) / (carry - top), 0.0, 1.0)
        climb = _cubic(rising, height, top * np.tan(np.radians(launch_deg)))
        drop = ground + _cubic(falling, height - ground, (carry - top) * np.tan(np.radians(float(end.landing_deg))))
        up = np.where(ahead < top, climb, drop)
    straight = ahead * np.tan(np.radians(start_deg))
    return np.stack([ahead, straight + (float(end.side_m) - straight[-1]) * share**2, up])


def _cubic(share: Array, height: float, slope: float) -> Array:
    """From 0 with ``slope`` (per share) up to ``height``, level there; kept from overshooting its top."""
    slope = min(slope, 3.0 * height)
    cubic: Array = share * (slope + share * ((3.0 * height - 2.0 * slope) + share * (slope - 2.0 * height)))
    return cubic
