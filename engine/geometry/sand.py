"""A splash from sand: where the sole goes in, how deep it goes, and what the sand it throws does to the ball.

The face never touches the ball in a sound splash: the sole enters behind it, passes beneath it, and the sand in between
carries it out. A ball lies with its underside level with the sand. The sole follows the swing's own arc, which in sand
is tight (see the radius in the club's entry); how deep it runs is the arc's height, and loft taken off lets the leading
edge run deeper.

What the ball does is an **estimate**, no source: the head shares its momentum with the sand it has swept up before the
ball, and the ball is thrown at a share of what is left, the smaller the more sand lies between. It is meant to be right
in direction and order only, and set so that a splash of the trade's entry and depth carries about 12 yards.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from arclore.engine.geometry import arc, setup, strike
from arclore.engine.geometry.check import check_fields
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.ground import run_out
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Delivered, Swing, deliver, hit
from arclore.engine.quantities import BALL_RADIUS_M, RAD_PER_S_PER_RPM, Array, Codes, Number

RESULTS = ("splash", "digs", "blade", "miss")
SPLASH, DIGS, BLADE, MISSED = range(4)

SOUND_ENTRY_M = 0.075  # behind the ball's centre: middle of the 5 to 10 cm of common practice, no source
BLADE_ENTRY_M = BALL_RADIUS_M  # sand entered later than this is entered under the ball: the edge meets the ball first
EDGE_LEVER_M = 0.025  # the leading edge lies so far ahead of the sole's lowest line (estimate)
SAND_KG_PER_M3 = 1600.0  # dry, loosely packed quartz sand, handbook range 1,440 to 1,680 (from memory)
BALL_SHARE = 0.95  # of the head's speed, for a ball with no sand between: carried along without a rebound (estimate)
CUSHION_M = 0.15  # that share falls by 1/e for so much sand between entry and ball (estimate)
LAUNCH_SHARE = 0.75  # of the delivered loft: sand leaves between the face's normal and the way of the sole (estimate)
FACE_SHARE = 0.6  # of the start line; the rest follows the path, more than off turf (estimate)
SPIN_RATIO = 0.6  # surface speed of the ball over its speed: some 2,500 rpm (estimate)
STAYS_IN_M = 4.0  # a ball that carries less does not clear the lip of a greenside bunker (estimate)


@dataclass(frozen=True)
class Splash(Delivered):
    """A swing through sand and what came of it; arrays. Entry is counted back from the ball's centre.

    ``sole_height_m`` and ``arc_height_m`` are below 0 in the sand. ``entry_m``, ``depth_m`` (at the bottom of the arc)
    and ``mark_m`` (length of the patch) are 0 where the sole never enters. ``sand_kg`` is what is swept up before the
    ball. Where the face or its edge meets the ball ("blade") the ball's numbers are those of that impact.
    """

    result: Codes  # int8, index into RESULTS
    entry_m: Array
    entry_attack_deg: Array
    depth_m: Array
    mark_m: Array
    sand_kg: Array
    ball_speed_mps: Array
    launch_deg: Array
    start_deg: Array
    backspin_rpm: Array
    axis_tilt_deg: Array
    carry_m: Array
    side_m: Array
    apex_m: Array
    total_m: Array  # with the run on mown grass


def splash_swing(club: Club, level: str) -> Swing:
    """The level's swing without a fault: path 0 at the ball, a square face, the usual entry behind the ball.

    The level's attack angle is taken where the sole enters; with the arc it gives the depth.
    """
    given = club.delivery[level]
    half = float(arc.low_point_from_attack(given.attack_deg, club.arc_radius_m, club.plane_deg))
    depth = float(arc.rise_m(half, club.arc_radius_m, club.plane_deg))
    low_point = half - SOUND_ENTRY_M
    attack = arc.attack_from_low_point(low_point, club.arc_radius_m, club.plane_deg)
    return Swing(
        swing_direction_deg=float(arc.swing_direction_for_path(0.0, attack, club.plane_deg)),
        low_point_m=low_point + float(club.standard.ball_position_m),
        arc_height_m=-depth - float(_edge_m(given.loft_deg, club)),
        face_deg=0.0,
        loft_deg=given.loft_deg,
        strike_toe_m=0.0,
        speed_mps=given.speed_mps,
    )


def _edge_m(loft_deg: Number, club: Club) -> Array:
    """How much higher (m) the head runs for loft beyond the club's own; below 0 where loft is taken off."""
    return np.asarray(EDGE_LEVER_M * np.sin(np.radians(np.asarray(loft_deg) - club.loft_deg)))


def splash(swing: Swing, set_up: SetUp, club: Club) -> Splash:
    """One swing through sand, or an array of them, to where the ball comes to rest.

    Raises ValueError in one line for a value outside its range or a ball that lies off the arc.
    """
    check_fields(swing)
    check_fields(set_up)
    delivered = _deliver(swing, set_up, club)
    radius, plane = delivered.arc_radius_m, delivered.plane_deg
    depth = np.maximum(-delivered.arc_height_m, 0.0)
    half = arc.half_chord_m(depth, radius, plane)
    entry = np.where(depth > 0.0, half - delivered.low_point_m, 0.0)
    swept = SAND_KG_PER_M3 * club.head.sole_width_m * arc.area_below_m2(depth, -delivered.low_point_m, radius, plane)

    bladed = (entry < BLADE_ENTRY_M) & (delivered.contact != strike.MISS)
    missed = (entry < BLADE_ENTRY_M) & (delivered.contact == strike.MISS)
    struck, _ = hit(delivered, club.head, strike.GRASS_FRICTION_SHARE * club.head.friction)
    missed |= bladed & (struck.normal_speed_mps <= 0.0)
    left = delivered.speed_mps * club.head.mass_kg / (club.head.mass_kg + swept)
    thrown = BALL_SHARE * np.exp(-np.maximum(entry, 0.0) / CUSHION_M) * left
    start = FACE_SHARE * delivered.face_deg + (1.0 - FACE_SHARE) * delivered.path_deg
    ball = {
        "ball_speed_mps": (struck.ball_speed_mps, thrown),
        "launch_deg": (struck.launch_deg, LAUNCH_SHARE * delivered.dynamic_loft_deg),
        "start_deg": (struck.start_deg, start),
        "backspin_rpm": (struck.backspin_rpm, SPIN_RATIO * thrown / BALL_RADIUS_M / RAD_PER_S_PER_RPM),
        "axis_tilt_deg": (struck.axis_tilt_deg, np.zeros_like(thrown)),
    }
    of_ball = {name: np.where(missed, 0.0, np.where(bladed, met, carried)) for name, (met, carried) in ball.items()}
    flown = fly(*of_ball.values())
    result = np.where(flown.carry_m < STAYS_IN_M, DIGS, SPLASH)
    result = np.where(missed, MISSED, np.where(bladed, BLADE, result)).astype(np.int8)
    values = {field.name: getattr(delivered, field.name) for field in fields(Delivered)}
    return Splash(
        **values,
        result=result,
        entry_m=entry,
        entry_attack_deg=np.where(depth > 0.0, arc.attack_from_low_point(half, radius, plane), 0.0),
        depth_m=depth,
        mark_m=2.0 * half,
        sand_kg=swept,
        **of_ball,
        carry_m=flown.carry_m,
        side_m=flown.side_m,
        apex_m=flown.apex_m,
        total_m=run_out(flown).total_m,
    )


def _deliver(swing: Swing, set_up: SetUp, club: Club) -> Delivered:
    """What the head does at the ball, with sand in place of turf: it costs nothing before the ball, and the strike is
    where the sole really passes.
    """
    above = deliver(replace(swing, arc_height_m=np.zeros_like(np.asarray(swing.arc_height_m))), set_up, club)
    height = np.asarray(swing.arc_height_m) + setup.arc_height_shift_m(set_up, club.standard)
    height = np.broadcast_to(height + _edge_m(above.dynamic_loft_deg, club), above.attack_deg.shape)
    sole = height + arc.rise_m(above.low_point_m, above.arc_radius_m, above.plane_deg)
    met = strike.meet_ball(sole, set_up.tee_height_m, above.dynamic_loft_deg, above.strike_toe_m, club.head)
    return replace(
        above,
        arc_height_m=height,
        sole_height_m=sole,
        strike_up_m=met.strike_up_m,
        turn_up_deg=met.turn_up_deg,
        turn_toe_deg=met.turn_toe_deg,
        contact=met.contact,
    )
