"""The flight of a sound strike: what path, face, loft and speed give where the face meets the ball well.

Words of direction and height are about such balls; a top, a shank or ground before the ball is told by its contact.
``Flight words`` of a delivery are its start (deg), bend (curve over distance) and height in the eye (log of apex over
carry).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.ground import run_out
from arclore.engine.geometry.shot import OF_BALL, Delivered, hit
from arclore.engine.geometry.strike import FAT_M, GRASS_FRICTION_SHARE, MISS, TURF_LOFT_DEG
from arclore.engine.quantities import Array, Number

ON_FACE = 0.9  # a sound strike stays within this share of the way to the neck or the toe


@dataclass(frozen=True)
class FlightWords:
    """What words of direction and height are read from; arrays. Sides + right; finish is side over carry."""

    start_deg: Array
    bend: Array
    finish: Array
    height_log: Array


def sound_strike(delivered: Delivered, club: Club, head_speed_mps: Number, up_m: Number = 0.0) -> FlightWords:
    """The flight words of a delivery as if the face's centre height met the ball and no ground came before it.

    The strike toward toe or heel stays, so gear effect stays too. head_speed_mps is the speed before any ground.
    up_m: how far above the face's centre height the ball is met instead.
    """
    head = club.head
    still = np.zeros_like(delivered.attack_deg)
    sound = replace(
        delivered,
        speed_mps=np.broadcast_to(np.asarray(head_speed_mps, dtype=float), still.shape),
        dynamic_loft_deg=sound_loft_deg(delivered, head_speed_mps),
        strike_toe_m=np.clip(delivered.strike_toe_m, -ON_FACE * head.heel_edge_m, ON_FACE * head.toe_edge_m),
        strike_up_m=still + up_m,
        turn_toe_deg=still,
        turn_up_deg=still,
        turf_before_m=still,
    )
    struck, _ = hit(sound, head, head.friction)
    flown = fly(struck.ball_speed_mps, struck.launch_deg, struck.start_deg, struck.backspin_rpm, struck.axis_tilt_deg)
    far = np.maximum(np.hypot(flown.carry_m, flown.side_m), 1.0)
    return FlightWords(
        start_deg=np.asarray(struck.start_deg),
        bend=flown.curve_m / far,
        finish=np.arctan2(flown.side_m, np.maximum(flown.carry_m, 1.0)),
        height_log=steepness_log(flown.apex_m, far),
    )


def sound_loft_deg(delivered: Delivered, head_speed_mps: Number) -> Array:
    """The loft of a delivery had no ground come before the ball. head_speed_mps: before any ground."""
    kept = delivered.speed_mps / np.asarray(head_speed_mps)
    return np.asarray(delivered.dynamic_loft_deg + TURF_LOFT_DEG * (1.0 - kept))


def steepness_log(apex_m: Array, carry_m: Array) -> Array:
    """Log of how high a flight stands in the eye."""
    return np.asarray(np.log(np.maximum(apex_m, 0.01) / np.maximum(carry_m, 1.0)))


def reach_m(delivered: Delivered, club: Club) -> Array:
    """How far a delivery sends the ball in all, run included, whatever the strike; 0 for a miss."""
    grassy = delivered.turf_before_m > FAT_M
    struck, _ = hit(delivered, club.head, np.where(grassy, GRASS_FRICTION_SHARE, 1.0) * club.head.friction)
    met = (delivered.contact != MISS) & (struck.normal_speed_mps > 0.0)
    flown = fly(*(np.where(met, getattr(struck, name), 0.0) for name in OF_BALL))
    return np.asarray(run_out(flown).total_m)
