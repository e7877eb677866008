"""A free rigid head meets a ball: one impulse at one point, with Coulomb friction that grips or slides.

Everything is worked in the flat face frame at the face centre: toe, up, out of the face. That triad is
left-handed for a right-handed golfer; no formula used here in that frame cares, and the spin is formed in
the target frame, which is right-handed. The contact lies at r = (toe, up, depth) from the centre of mass.
With m, M the masses of ball and head, I the head's inertia, n the face normal at the contact (bulge, then
roll, turn it), J the impulse on the ball:

    A = (1/m + 1/M) 1 + (r_b^2 / I_b)(1 - n n') - [r] I^-1 [r]        contact velocity changes by A J
    grip:   A J = -(1 + e) n (n.w) - (1 + e_t) w_t                      w = velocity of ball against club
    slide:  J = J_n (n + mu s), s = -w_t/|w_t|, when gripping would need more than mu J_n

The shaft is left out: in half a millisecond it hardly acts (McNally, McPhee, Henrikson 2018 find slightly
more ball speed and less gear effect with it). Head rotation before the hit is left out too. Source: rigid-
body mechanics, derived; contact time of 0.4 to 0.5 ms (USGA, 2025) allows one impulse.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from arclore.engine.quantities import BALL_MASS_KG, BALL_RADIUS_M, RAD_PER_S_PER_RPM, Array, Mask, Number

Vector = tuple[Array, Array, Array]

BALL_INERTIA_KGM2 = 0.4 * BALL_MASS_KG * BALL_RADIUS_M**2  # uniform sphere: 83.63 g cm2
TINY_MPS = 1e-12  # slip slower than this has no direction


@dataclass(frozen=True)
class Impact:
    """What the ball and the head do after the hit; arrays. Vectors are (toward target, left, up)."""

    ball_speed_mps: Array
    launch_deg: Array
    start_deg: Array
    backspin_rpm: Array  # spin about the axis normal to the launch; negative = topspin
    axis_tilt_deg: Array  # of that axis, + curves right, within +-90
    rifle_spin_rpm: Array  # spin about the launch direction; the flight leaves it out
    incidence_deg: Array  # between the head's velocity and the face normal at the contact
    normal_speed_mps: Array
    sliding: Mask  # True where friction was too weak to stop the slip
    ball_velocity_mps: Vector
    ball_spin_rad_s: Vector
    head_velocity_mps: Vector
    head_turn_rad_s: Vector  # about toe, up, out (counted right-handed about those axes as written)
    energy_lost_j: Array


def vector(a: Number, b: Number, c: Number) -> Vector:
    return np.asarray(a, dtype=float), np.asarray(b, dtype=float), np.asarray(c, dtype=float)


def dot(a: Vector, b: Vector) -> Array:
    return np.asarray(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


def cross(a: Vector, b: Vector) -> Vector:
    return (
        np.asarray(a[1] * b[2] - a[2] * b[1]),
        np.asarray(a[2] * b[0] - a[0] * b[2]),
        np.asarray(a[0] * b[1] - a[1] * b[0]),
    )


def scaled(a: Vector, factor: Number) -> Vector:
    return vector(a[0] * factor, a[1] * factor, a[2] * factor)


def plus(a: Vector, b: Vector) -> Vector:
    return vector(a[0] + b[0], a[1] + b[1], a[2] + b[2])


def direction(up_deg: Number, right_deg: Number) -> Vector:
    """Unit vector (toward target, left, up) at an elevation and a horizontal angle, + right."""
    up, right = np.radians(up_deg), np.radians(right_deg)
    return (
        np.asarray(np.cos(up) * np.cos(right)),
        np.asarray(-np.cos(up) * np.sin(right)),
        np.asarray(np.sin(up) + 0.0 * right),
    )


def face_frame(loft_deg: Number, face_deg: Number) -> tuple[Vector, Vector, Vector]:
    """Toe, up and out axes of a flat face in (toward target, left, up), the toe axis level."""
    out = direction(loft_deg, face_deg)
    face = np.radians(face_deg)
    toe = (np.asarray(-np.sin(face)), np.asarray(-np.cos(face)), np.asarray(0.0 * face))
    return toe, cross(toe, out), out


def normal_in_face(turn_toe_rad: Number, turn_up_rad: Number) -> Vector:
    """The face normal in the face frame after a turn toward the toe, then a turn up."""
    return (
        np.asarray(np.sin(turn_toe_rad) + 0.0 * np.asarray(turn_up_rad)),
        np.asarray(np.cos(turn_toe_rad) * np.sin(turn_up_rad)),
        np.asarray(np.cos(turn_toe_rad) * np.cos(turn_up_rad)),
    )


def _inverse_mass(
    n: Vector, r: Vector, head_mass_kg: Number, inertia: Vector
) -> tuple[Array, Array, Array, Array, Array, Array]:
    """The symmetric matrix A as (tt, uu, oo, tu, to, uo)."""
    bt, bu, bo = (1.0 / part for part in inertia)
    roll = BALL_RADIUS_M**2 / BALL_INERTIA_KGM2
    base = 1.0 / BALL_MASS_KG + 1.0 / np.asarray(head_mass_kg) + roll
    rt, ru, ro = r
    return (
        base - roll * n[0] ** 2 + bu * ro**2 + bo * ru**2,
        base - roll * n[1] ** 2 + bt * ro**2 + bo * rt**2,
        base - roll * n[2] ** 2 + bt * ru**2 + bu * rt**2,
        -roll * n[0] * n[1] - bo * rt * ru,
        -roll * n[0] * n[2] - bu * rt * ro,
        -roll * n[1] * n[2] - bt * ru * ro,
    )


def _apply(a: Sequence[Array], v: Vector) -> Vector:
    tt, uu, oo, tu, to, uo = a
    return (
        np.asarray(tt * v[0] + tu * v[1] + to * v[2]),
        np.asarray(tu * v[0] + uu * v[1] + uo * v[2]),
        np.asarray(to * v[0] + uo * v[1] + oo * v[2]),
    )


def _solve(a: Sequence[Array], b: Vector) -> Vector:
    """Solve the symmetric 3 x 3 systems by cofactors; A is positive definite, so the determinant is too."""
    tt, uu, oo, tu, to, uo = a
    cofactors = (
        uu * oo - uo * uo,
        tt * oo - to * to,
        tt * uu - tu * tu,
        to * uo - tu * oo,
        tu * uo - to * uu,
        tu * to - tt * uo,
    )
    determinant = tt * cofactors[0] + tu * cofactors[3] + to * cofactors[4]
    return scaled(_apply(cofactors, b), 1.0 / determinant)


def contact_normal(
    strike_toe_m: Number,
    strike_up_m: Number,
    bulge_m: Number,
    roll_m: Number,
    turn_toe_deg: Number = 0.0,
    turn_up_deg: Number = 0.0,
) -> Vector:
    """The face normal where the ball is met, in the flat face frame (toe, up, out)."""
    return normal_in_face(
        np.arcsin(np.asarray(strike_toe_m) / bulge_m) + np.radians(turn_toe_deg),
        np.arcsin(np.asarray(strike_up_m) / roll_m) + np.radians(turn_up_deg),
    )


def velocity_in_face(
    speed_mps: Number, attack_deg: Number, path_deg: Number, face_deg: Number, dynamic_loft_deg: Number
) -> Vector:
    """The head's velocity along the axes of its face (toe, up, out)."""
    club = scaled(direction(attack_deg, path_deg), speed_mps)
    return vector(*(dot(club, axis) for axis in face_frame(dynamic_loft_deg, face_deg)))


def impact(
    *,
    speed_mps: Number,
    attack_deg: Number,
    path_deg: Number,
    face_deg: Number,
    dynamic_loft_deg: Number,
    head_mass_kg: Number,
    head_inertia_kgm2: Sequence[Number] = (np.inf, np.inf, np.inf),
    head_depth_m: Number = 0.0,
    strike_toe_m: Number = 0.0,
    strike_up_m: Number = 0.0,
    bulge_m: Number = np.inf,
    roll_m: Number = np.inf,
    restitution: Number = 0.83,
    tangential_restitution: Number = 0.0,
    friction: Number = np.inf,
    turn_toe_deg: Number = 0.0,
    turn_up_deg: Number = 0.0,
    mass_centre_toe_m: Number = 0.0,
    mass_centre_up_m: Number = 0.0,
) -> Impact:
    """The hit, for numbers or arrays that broadcast. Face and loft are those of the flat face at its
    centre.

    Strike points are against the face centre, toward the toe and up. ``turn_toe_deg`` and ``turn_up_deg``
    turn the normal further than bulge and roll do (a rounded edge met by the ball). Infinite inertia = a
    head that can't turn. No range is checked here. Where the face moves away from the ball the result means
    nothing: check ``normal_speed_mps``.
    """
    toe, up, out = face_frame(dynamic_loft_deg, face_deg)
    club = scaled(direction(attack_deg, path_deg), speed_mps)
    slip = vector(-dot(club, toe), -dot(club, up), -dot(club, out))  # ball's contact point against club's
    n = contact_normal(strike_toe_m, strike_up_m, bulge_m, roll_m, turn_toe_deg, turn_up_deg)
    r = vector(
        np.asarray(strike_toe_m) - mass_centre_toe_m, np.asarray(strike_up_m) - mass_centre_up_m, head_depth_m
    )
    inertia = vector(*head_inertia_kgm2)
    a = _inverse_mass(n, r, head_mass_kg, inertia)

    normal = dot(slip, n)  # negative: they approach
    tangent = plus(slip, scaled(n, -normal))
    wanted = plus(
        scaled(n, -(1.0 + np.asarray(restitution)) * normal),
        scaled(tangent, -(1.0 + np.asarray(tangential_restitution))),
    )
    gripping = _solve(a, wanted)
    grip_n = dot(gripping, n)
    grip_t = plus(gripping, scaled(n, -grip_n))
    grip_size, slip_size = np.sqrt(dot(grip_t, grip_t)), np.sqrt(dot(tangent, tangent))
    sliding = grip_size > friction * grip_n
    # a contact that does not slip at first slides the way gripping would have pushed it
    slips = slip_size > TINY_MPS
    way = tuple(
        np.where(slips, -slip / np.maximum(slip_size, TINY_MPS), grip / np.maximum(grip_size, TINY_MPS))
        for slip, grip in zip(tangent, grip_t, strict=True)
    )
    along = plus(n, scaled(vector(*way), np.where(sliding, friction, 0.0)))
    slide_n = -(1.0 + np.asarray(restitution)) * normal / dot(n, _apply(a, along))
    j = vector(*(np.where(sliding, slide_n * s, g) for s, g in zip(along, gripping, strict=True)))
    return _result(
        j, n, r, inertia, club, (toe, up, out), np.asarray(head_mass_kg, dtype=float), sliding, -normal
    )


def _result(
    j: Vector,
    n: Vector,
    r: Vector,
    inertia: Vector,
    club: Vector,
    frame: tuple[Vector, Vector, Vector],
    head_mass_kg: Array,
    sliding: Mask,
    normal_speed: Array,
) -> Impact:
    def in_target_axes(v: Vector) -> Vector:
        return plus(plus(scaled(frame[0], v[0]), scaled(frame[1], v[1])), scaled(frame[2], v[2]))

    impulse = in_target_axes(j)
    ball = scaled(impulse, 1.0 / BALL_MASS_KG)
    spin = scaled(cross(in_target_axes(n), impulse), -BALL_RADIUS_M / BALL_INERTIA_KGM2)
    head = plus(club, scaled(impulse, -1.0 / head_mass_kg))
    torque = cross(r, scaled(j, -1.0))
    turn = vector(*(t / i for t, i in zip(torque, inertia, strict=True)))

    speed = np.sqrt(dot(ball, ball))
    level = np.hypot(ball[0], ball[1])
    start = np.arctan2(-ball[1], ball[0])
    right: Vector = (-np.sin(start), -np.cos(start), np.zeros_like(start))
    ahead = scaled(ball, 1.0 / np.maximum(speed, TINY_MPS))
    above = cross(right, ahead)
    back, side, rifle = dot(spin, right), -dot(spin, above), dot(spin, ahead)
    size = np.hypot(back, side)
    sign = np.where(back < -1e-9 * size, -1.0, 1.0)
    before = head_mass_kg * dot(club, club)
    after = BALL_MASS_KG * speed**2 + BALL_INERTIA_KGM2 * dot(spin, spin) + head_mass_kg * dot(head, head)
    cosine = normal_speed / np.maximum(np.sqrt(dot(club, club)), TINY_MPS)
    return Impact(
        ball_speed_mps=speed,
        launch_deg=np.degrees(np.arctan2(ball[2], level)),
        start_deg=np.degrees(start),
        backspin_rpm=sign * size / RAD_PER_S_PER_RPM,
        axis_tilt_deg=np.degrees(np.arctan2(sign * side, sign * back)),
        rifle_spin_rpm=rifle / RAD_PER_S_PER_RPM,
        incidence_deg=np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))),
        normal_speed_mps=normal_speed,
        sliding=sliding,
        ball_velocity_mps=ball,
        ball_spin_rad_s=spin,
        head_velocity_mps=head,
        head_turn_rad_s=turn,
        energy_lost_j=0.5 * (before - after - dot(torque, turn)),
    )
