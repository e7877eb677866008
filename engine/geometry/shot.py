"""From a swing in a set-up with a club to the shot: arc, strike, impact, flight in one call.

``deliver`` says what the club does at the ball, ``shot`` adds what the ball does. Both take arrays in any
field of the swing and the set-up and broadcast them. Results carry the model's own limits: +-1.5 deg and
+-3 cm.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from arclore.engine.geometry import arc, setup, strike
from arclore.engine.geometry.check import check, check_fields
from arclore.engine.geometry.club import Club, Head
from arclore.engine.geometry.impact import Impact, contact_normal, dot, impact, velocity_in_face
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.strike import CONTACTS, TURFS, side_of_face
from arclore.engine.quantities import BALL_RADIUS_M, Array, Codes, Mask, Number

if TYPE_CHECKING:
    from arclore.engine.geometry.air import Air
    from arclore.engine.geometry.ball import BallModel
    from arclore.engine.geometry.flight import Accuracy
    from arclore.engine.geometry.ground import SurfaceName

__all__ = ["CONTACTS", "TURFS", "Delivered", "Shot", "Swing", "deliver", "fault_free", "shot", "side_of_face"]

CLOSING_DEG_PER_M = 60.0
"""How fast the face closes along the arc: 1,800 to 3,600 deg/s over the head's speed is 40 to 80 deg per
metre of travel (a biomechanist's figure in a popular article, seen at second hand); the middle of that
range."""


CHUNK = 10_000  # shots worked at a time


@dataclass(frozen=True)
class Swing:
    """A swing as it runs in the club's standard set-up. Angles in deg, + right; every field may be an
    array.

    ``low_point_m`` is against the inside of the lead heel, + toward the target. ``arc_height_m`` is the
    sole's height above the ground at the bottom of the arc: 0 brushes, negative goes into the ground. Face
    and loft are those at the club's standard ball position. ``plane_deg`` and ``arc_radius_m`` are the
    club's where None.
    """

    swing_direction_deg: Number
    low_point_m: Number
    arc_height_m: Number
    face_deg: Number
    loft_deg: Number
    strike_toe_m: Number
    speed_mps: Number
    plane_deg: Number | None = None
    arc_radius_m: Number | None = None
    closing_deg_per_m: Number = CLOSING_DEG_PER_M


@dataclass(frozen=True)
class Delivered:
    """What the club does at the ball; arrays. Speed and loft are those left after any ground before the
    ball.
    """

    swing_direction_deg: Array  # the arc's base line, aim included: where the divot points
    attack_deg: Array
    path_deg: Array
    face_deg: Array
    dynamic_loft_deg: Array
    low_point_m: Array  # against the ball
    arc_height_m: Array
    sole_height_m: Array  # at the ball
    strike_toe_m: Array
    strike_up_m: Array
    speed_mps: Array
    turf_before_m: Array
    tee_depth_m: Array  # how far below the top of the tee the sole passes; 0 off turf
    contact: Codes  # int8, index into CONTACTS
    plane_deg: Array
    arc_radius_m: Array
    turn_toe_deg: Array  # of the contact's normal where an edge or the neck met the ball
    turn_up_deg: Array


@dataclass(frozen=True)
class Shot(Delivered):
    """A delivery and what came of it; flight fields are None where the flight, or the run, was not asked for."""

    normal_speed_mps: Array
    incidence_deg: Array
    restitution: Array
    sliding: Mask
    ball_speed_mps: Array
    launch_deg: Array
    start_deg: Array
    backspin_rpm: Array
    axis_tilt_deg: Array
    turf: Codes  # int8, index into TURFS
    turf_depth_m: Array
    turf_start_m: Array
    turf_end_m: Array
    carry_m: Array | None = None
    side_m: Array | None = None
    curve_m: Array | None = None
    apex_m: Array | None = None
    total_m: Array | None = None


def fault_free(club: Club, level: str) -> Swing:
    """The swing that in the club's standard set-up gives the level's delivery, path 0, a square face, a
    centred strike.
    """
    given = club.delivery[level]
    standard = club.standard
    low_point = arc.low_point_from_attack(given.attack_deg, club.arc_radius_m, club.plane_deg)
    loft = np.radians(given.loft_deg)
    touch = standard.tee_height_m + BALL_RADIUS_M * (1.0 - np.sin(loft))
    sole = touch - club.head.face_centre_m * np.cos(loft)
    return Swing(
        swing_direction_deg=float(arc.swing_direction_for_path(0.0, given.attack_deg, club.plane_deg)),
        low_point_m=float(low_point + standard.ball_position_m),
        arc_height_m=float(sole - arc.rise_m(low_point, club.arc_radius_m, club.plane_deg)),
        face_deg=0.0,
        loft_deg=given.loft_deg,
        strike_toe_m=0.0,
        speed_mps=given.speed_mps,
    )


def deliver(swing: Swing, set_up: SetUp, club: Club) -> Delivered:
    """What the club does at the ball. The swing's low point must lie on the arc (|low point| < radius)."""
    standard, head = club.standard, club.head
    radius = np.asarray(club.arc_radius_m if swing.arc_radius_m is None else swing.arc_radius_m, dtype=float)
    plane = np.asarray(club.plane_deg if swing.plane_deg is None else swing.plane_deg) - set_up.side_slope_deg
    shift = setup.low_point_shift_m(set_up, standard)
    low_point = np.asarray(swing.low_point_m + shift - set_up.ball_position_m)
    forward = (
        set_up.ball_position_m - standard.ball_position_m - shift
    )  # how much later on the arc the ball is met
    if not (np.abs(low_point) < radius).all():
        raise ValueError(
            "low_point_m: the ball lies off the arc; it must be nearer the low point than the arc's radius"
        )

    attack = arc.attack_from_low_point(low_point, radius, plane)
    attack_standard = arc.attack_from_low_point(low_point + forward, radius, plane)
    direction = np.asarray(swing.swing_direction_deg + set_up.aim_deg + set_up.body_aim_deg)
    path = arc.path_deg(direction, attack, plane)
    loft = swing.loft_deg + (attack - attack_standard) + setup.loft_shift_deg(set_up, standard, club.length_m)
    arc_height = np.asarray(swing.arc_height_m + setup.arc_height_shift_m(set_up, standard))
    ground = strike.plough(arc_height, low_point, radius, plane, swing.speed_mps, head)
    loft = loft - strike.TURF_LOFT_DEG * (1.0 - ground.speed_share)
    tip = set_up.side_slope_deg + np.asarray(set_up.lie_error_deg)
    face = (
        swing.face_deg
        - swing.closing_deg_per_m * np.asarray(forward)
        + set_up.aim_deg
        + set_up.face_aim_deg
        + setup.lie_face_deg(loft, tip)
    )
    sole = arc_height + arc.rise_m(low_point, radius, plane)
    toe = swing.strike_toe_m + setup.strike_shift_m(set_up, standard)
    met = strike.meet_ball(sole, set_up.tee_height_m, loft, toe, head)
    contact = np.where(
        (ground.turf_before_m > strike.FAT_M) & (met.contact != strike.MISS), strike.FAT, met.contact
    )
    on_tee = np.asarray(set_up.tee_height_m) > 0
    values = {
        "swing_direction_deg": direction,
        "attack_deg": attack + set_up.slope_deg,
        "path_deg": path,
        "face_deg": face,
        "dynamic_loft_deg": loft + set_up.slope_deg,
        "low_point_m": low_point,
        "arc_height_m": arc_height,
        "sole_height_m": sole,
        "strike_toe_m": toe,
        "strike_up_m": met.strike_up_m,
        "speed_mps": swing.speed_mps * ground.speed_share,
        "turf_before_m": ground.turf_before_m,
        "tee_depth_m": np.where(on_tee, np.maximum(set_up.tee_height_m - sole, 0.0), 0.0),
        "contact": contact.astype(np.int8),
        "plane_deg": plane,
        "arc_radius_m": radius,
        "turn_toe_deg": met.turn_toe_deg,
        "turn_up_deg": met.turn_up_deg,
    }
    arrays = np.broadcast_arrays(*(np.asarray(value) for value in values.values()))
    return Delivered(**dict(zip(values, arrays, strict=True)))


def hit(delivered: Delivered, head: Head, friction: Number) -> tuple[Impact, Array]:
    """The impact of a delivery, and the restitution used: it falls with normal speed and off the centre."""

    toe = np.clip(delivered.strike_toe_m, -head.heel_edge_m, head.toe_edge_m)
    club = velocity_in_face(
        delivered.speed_mps,
        delivered.attack_deg,
        delivered.path_deg,
        delivered.face_deg,
        delivered.dynamic_loft_deg,
    )
    normal = contact_normal(
        toe, delivered.strike_up_m, head.bulge_m, head.roll_m, delivered.turn_toe_deg, delivered.turn_up_deg
    )
    restitution = head.restitution_at(dot(club, normal), toe, delivered.strike_up_m)
    struck = impact(
        speed_mps=delivered.speed_mps,
        attack_deg=delivered.attack_deg,
        path_deg=delivered.path_deg,
        face_deg=delivered.face_deg,
        dynamic_loft_deg=delivered.dynamic_loft_deg,
        head_mass_kg=head.mass_kg,
        head_inertia_kgm2=head.inertia_kgm2,
        head_depth_m=head.depth_m,
        strike_toe_m=toe,
        strike_up_m=delivered.strike_up_m,
        bulge_m=head.bulge_m,
        roll_m=head.roll_m,
        restitution=restitution,
        tangential_restitution=head.tangential_restitution,
        friction=friction,
        turn_toe_deg=delivered.turn_toe_deg,
        turn_up_deg=delivered.turn_up_deg,
        mass_centre_toe_m=head.mass_centre_toe_m,
        mass_centre_up_m=head.mass_centre_up_m,
    )
    return struck, restitution


def shot(
    swing: Swing,
    set_up: SetUp,
    club: Club,
    *,
    ball: BallModel | None = None,
    air: Air | None = None,
    surface: SurfaceName = "fairway",
    accuracy: Accuracy = "quick",
    flight: bool = True,
    run: bool = True,
    friction: Number | None = None,
) -> Shot:
    """One swing, or an array of them, to the end of the flight, and where ``run`` to where the ball comes to rest.

    ``friction`` replaces the head's dry, clean value (a wet or grassy face slides more). Where the head
    misses, or the face moves away from the ball, contact is "miss" and every number of the ball is 0. Large
    arrays are worked in chunks, so that beyond the result itself memory does not grow with their size.

    Raises ValueError in one line for a value outside its range or a ball that lies off the arc.
    """
    check_fields(swing)
    check_fields(set_up)
    mu = np.asarray(club.head.friction if friction is None else friction, dtype=float)
    check("friction", mu)
    given = [np.shape(value) for record in (swing, set_up) for value in vars(record).values()]
    shape = np.broadcast_shapes(mu.shape, *given)
    count = int(np.prod(shape, dtype=np.int64))
    fly_on = _Onward(ball, air, surface if run else None, accuracy) if flight else None
    if count <= CHUNK:
        return _play(swing, set_up, club, mu, fly_on)
    parts = []
    for first in range(0, count, CHUNK):
        rows = slice(first, first + CHUNK)
        parts.append(
            _play(_rows(swing, shape, rows), _rows(set_up, shape, rows), club, _row(mu, shape, rows), fly_on)
        )
    whole = {
        field.name: None
        if getattr(parts[0], field.name) is None
        else np.concatenate([getattr(part, field.name) for part in parts]).reshape(shape)
        for field in fields(Shot)
    }
    return Shot(**whole)  # type: ignore[arg-type]


def _row(value: Any, shape: tuple[int, ...], rows: slice) -> Any:
    """Some rows of a value broadcast to the shape; a plain number or None stays what it is."""
    return value if value is None or np.ndim(value) == 0 else np.broadcast_to(value, shape).reshape(-1)[rows]


def _rows(record: Any, shape: tuple[int, ...], rows: slice) -> Any:
    return replace(record, **{name: _row(value, shape, rows) for name, value in vars(record).items()})


class _Onward(NamedTuple):
    """What the flight is flown with."""

    ball: BallModel | None
    air: Air | None
    surface: SurfaceName | None  # None: to where it lands
    accuracy: Accuracy


def _play(swing: Swing, set_up: SetUp, club: Club, friction: Array, onward: _Onward | None) -> Shot:
    delivered = deliver(swing, set_up, club)
    grassy = delivered.turf_before_m > strike.FAT_M
    struck, restitution = hit(
        delivered, club.head, np.where(grassy, strike.GRASS_FRICTION_SHARE, 1.0) * friction
    )
    missed = (delivered.contact == strike.MISS) | (struck.normal_speed_mps <= 0.0)

    x, y, z = struck.head_velocity_mps
    push_deg = delivered.attack_deg - np.degrees(np.arctan2(z, np.hypot(x, y)))
    mark = strike.divot(
        delivered.sole_height_m,
        delivered.attack_deg - np.asarray(set_up.slope_deg),
        np.where(missed, 0.0, push_deg),
        delivered.turf_before_m,
        delivered.arc_radius_m,
        delivered.plane_deg,
    )
    values: dict[str, Any] = {field.name: getattr(delivered, field.name) for field in fields(Delivered)}
    values["contact"] = np.where(missed, strike.MISS, delivered.contact).astype(np.int8)
    values |= {name: np.where(missed, 0.0, getattr(struck, name)) for name in ("normal_speed_mps", *OF_BALL)}
    values |= {"incidence_deg": struck.incidence_deg, "restitution": restitution}
    values |= {"sliding": struck.sliding & ~missed, "turf": mark.turf, "turf_depth_m": mark.depth_m}
    values |= {"turf_start_m": mark.start_m, "turf_end_m": mark.end_m}
    if onward is not None:
        values |= _flight(values, onward)
    shape = np.broadcast_shapes(*(np.shape(value) for value in values.values()))
    return Shot(**{name: np.broadcast_to(value, shape) for name, value in values.items()})


OF_BALL = ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm", "axis_tilt_deg")


def _flight(values: dict[str, Any], onward: _Onward) -> dict[str, Array]:
    """Carry, side, curve, apex and total of the balls; one struck level or down runs from where it lies."""
    from arclore.engine.geometry.flight import fly  # here, so that a delivery alone loads no flight model

    ball_flight = fly(
        *(values[name] for name in OF_BALL), model=onward.ball, air=onward.air, accuracy=onward.accuracy
    )
    result = {name: getattr(ball_flight, name) for name in ("carry_m", "side_m", "curve_m", "apex_m")}
    if onward.surface is None:
        return result
    from arclore.engine.geometry.ground import run_out

    return result | {"total_m": run_out(ball_flight, onward.surface).total_m}
