"""From what was seen back to what the club did, with how sure one may be.

Start line and axis tilt give face and path by the rigid gripping model: the launch lies in the plane of the
face normal and the path, the same share of the way for every direction (see ``start_share``).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from arclore.engine.quantities import BALL_MASS_KG, Array, Number


def arc_radius_from_pair(attack_deg: Number, low_point_m: Number, plane_deg: Number) -> Array:
    """Arc radius (m) of a student, from one measured attack angle and the low point of the same swing.

    R = -D sin T / sin a. Raises ValueError where the two have the same sign or attack is so near level (under
    half a degree) that a radius drawn from it means nothing.
    """
    attack, low_point = np.asarray(attack_deg, dtype=float), np.asarray(low_point_m, dtype=float)
    if not (np.abs(attack) >= 0.5).all():
        raise ValueError(
            "attack_deg is too level to tell the arc's radius; give a swing 0.5 deg up or down or more"
        )
    radius = -low_point * np.sin(np.radians(plane_deg)) / np.sin(np.radians(attack))
    if not (radius > 0).all():
        raise ValueError(
            "low_point_m must be ahead of the ball (+) where attack_deg is down (-), else behind it"
        )
    return np.asarray(radius)


def start_share(
    dynamic_loft_deg: Number,
    attack_deg: Number,
    head_mass_kg: Number,
    restitution: Number,
    tangential_restitution: Number = 0.0,
) -> Array:
    """Share of the face in the start line (0 to 1) of a centred, gripping hit with face and path nearly
    equal.

    F = 1 / (1 + [T/(N - T)] cos a / (cos L cos(L - a))), N = (1 + e)/(1 + m/M), T = (1 + e_t)/(3.5 + m/M):
    exact for small angles in the rigid model. Measured shares run from 0.61 to 0.83 over the clubs (Wood,
    Henrikson, Broadie, Proceedings 2018, 2(6) 249).
    """
    ratio = BALL_MASS_KG / np.asarray(head_mass_kg)
    along = (1.0 + np.asarray(restitution)) / (1.0 + ratio)
    across = (1.0 + np.asarray(tangential_restitution)) / (3.5 + ratio)
    loft, attack = np.radians(dynamic_loft_deg), np.radians(attack_deg)
    return np.asarray(
        1.0 / (1.0 + across / (along - across) * np.cos(attack) / (np.cos(loft) * np.cos(loft - attack)))
    )


@dataclass(frozen=True)
class FaceAndPath:
    """Face and path (deg, + right) and the standard deviation of each."""

    face_deg: Array
    path_deg: Array
    face_sd_deg: Array
    path_sd_deg: Array


def face_and_path(
    start_deg: Number,
    axis_tilt_deg: Number,
    dynamic_loft_deg: Number,
    attack_deg: Number,
    share: Number,
    *,
    start_sd_deg: Number = 1.0,
    tilt_sd_deg: Number = 4.0,
    share_sd: Number = 0.04,
) -> FaceAndPath:
    """Face and path of a centred strike, from its start line and the tilt of its spin axis.

    The spin axis is normal to the face normal and the path, so for a small angle between face and path
    tan(tilt) = (face - path) (cos L cos d + share sin L sin d) / sin(L - a), with loft L, attack a and launch
    d, taken ``share`` of the way from attack to loft. The start line, ``share`` of the way from path to face,
    then gives both. The deviations follow to first order from those of start, tilt and share, taken as
    independent; an off-centre strike is not in them. Against the full impact both come out within 0.05 deg
    for face and path up to 6 deg apart.
    """
    share = np.asarray(share)
    loft, attack = np.radians(dynamic_loft_deg), np.radians(attack_deg)
    launch = attack + share * (loft - attack)
    across = np.cos(loft) * np.cos(launch) + share * np.sin(loft) * np.sin(launch)
    per_tangent = np.degrees(np.sin(loft - attack) / across)
    tilt = np.radians(axis_tilt_deg)
    apart = per_tangent * np.tan(tilt)
    apart_sd = np.abs(per_tangent) / np.cos(tilt) ** 2 * np.radians(tilt_sd_deg)
    face = start_deg + (1.0 - share) * apart
    shared = np.square(start_sd_deg) + (apart * share_sd) ** 2
    return FaceAndPath(
        face_deg=np.asarray(face),
        path_deg=np.asarray(face - apart),
        face_sd_deg=np.sqrt(shared + ((1.0 - share) * apart_sd) ** 2),
        path_sd_deg=np.sqrt(shared + (share * apart_sd) ** 2),
    )
