"""A club as numbers: the head that meets the ball, the standard set-up, and what fault-free players deliver
with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from arclore.engine.geometry.setup import SetUp
from arclore.engine.quantities import Array, Number

Level = Literal["novice", "intermediate", "skilled"]
LEVELS: tuple[Level, ...] = ("novice", "intermediate", "skilled")

RESTITUTION_SPEED_MPS = 40.0  # the normal speed at which a head's restitution is stated
RESTITUTION_FALL_PER_MPS = 0.0029
"""Loss of restitution for each m/s of normal speed: Penner, Reports on Progress in Physics 2003, after Chou
et al. (from memory). It is the ball's part, so it is the same for every head."""


@dataclass(frozen=True)
class Head:
    """A club head. Axes: toe, up the face, out of the face; lengths in m; strike points are against the
    face centre.

    The face centre is the spot that a centred strike meets; ``face_centre_m`` is how far up the face from
    the sole it lies. The edges are distances from it. ``mass_centre_toe_m`` and ``_up_m`` say how far the
    centre of mass, projected onto the face, lies from it. ``bulge_m`` and ``roll_m`` are radii, infinite
    for a flat face.
    """

    mass_kg: float
    inertia_kgm2: tuple[float, float, float]  # about the toe, up and face-normal axes at the centre of mass
    depth_m: float  # centre of mass behind the face
    restitution: float  # centred, at RESTITUTION_SPEED_MPS
    friction: float  # dry, clean face and ball
    face_centre_m: float
    face_half_height_up_m: float
    face_half_height_down_m: float
    toe_edge_m: float
    heel_edge_m: float  # from here the neck of the club meets the ball
    bulge_m: float = np.inf
    roll_m: float = np.inf
    tangential_restitution: float = 0.0
    restitution_off_centre_per_m2: float = (
        0.0  # restitution lost per square metre of distance from the centre
    )
    mass_centre_toe_m: float = 0.0
    mass_centre_up_m: float = 0.0
    sole_width_m: float = 0.05  # width of the track the sole cuts in the turf

    def restitution_at(self, normal_speed_mps: Number, strike_toe_m: Number, strike_up_m: Number) -> Array:
        """Normal restitution at this normal speed and strike point, kept within 0.3 and 0.95."""
        off = np.square(strike_toe_m) + np.square(strike_up_m)
        fall = RESTITUTION_FALL_PER_MPS * (np.asarray(normal_speed_mps) - RESTITUTION_SPEED_MPS)
        return np.clip(self.restitution - fall - self.restitution_off_centre_per_m2 * off, 0.3, 0.95)


@dataclass(frozen=True)
class Delivery:
    """What a fault-free player of a level delivers: head speed, attack angle, dynamic loft."""

    speed_mps: float
    attack_deg: float
    loft_deg: float


@dataclass(frozen=True)
class Club:
    """One club: its own build, the plane and arc it is swung on, its standard set-up and fault-free
    deliveries.
    """

    id: str
    family: str
    loft_deg: float
    lie_deg: float
    length_m: float
    plane_deg: float
    arc_radius_m: float
    head: Head
    standard: SetUp
    delivery: Mapping[str, Delivery] = field(default_factory=dict)
    played_from: Literal["tee", "turf", "sand", "green"] = "turf"
