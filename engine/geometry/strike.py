"""Where the head meets the ball and the ground, by the head's real edges.

Heights are above the ground line, which touches the underside of a ball lying on turf; the soil is SOIL_M
below it. The sole is the lowest part of the head; the face starts at its lower edge and ends at its upper
edge. A ball whose touching point would lie beyond an edge is met by that edge instead, and the line from
the edge to the ball's centre becomes the normal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from arclore.engine.geometry import arc
from arclore.engine.geometry.club import Head
from arclore.engine.quantities import BALL_RADIUS_M, Array, Codes, Number

CONTACTS = ("clean", "thin", "top", "fat", "sky", "miss")
CLEAN, THIN, TOP, FAT, SKY, MISS = range(6)
TURFS = ("none", "after", "deep", "behind")
SIDES = ("middle", "toe", "heel", "shank")

EDGE_BAND_M = 0.002  # the lower edge is rounded over about 2 mm: there the ball meets edge, not face
SOIL_M = 0.005  # a ball on a mown fairway rests on the leaf, its underside about 5 mm above the soil
FAT_M = BALL_RADIUS_M  # soil met closer to the ball's centre than this is met under the ball
DEEP_M = 0.015  # below the soil line; sound mid irons cut 5 to 13 mm (common practice, no source)
MIDDLE_SHARE = 1 / 3  # the middle third of the way to either edge is called the middle
HOSEL_TURN_LIMIT = 0.9  # sine of the greatest turn the rounded neck gives the ball
TURF_RESISTANCE_PA = 3e6  # pressure a moist fairway puts up against the sole's track (estimate)
LEAST_ENERGY_LEFT = 0.05  # a head that digs in is still carried on by the golfer
TURF_LOFT_DEG = 10.0  # taken off for the whole speed lost: the ground holds the sole while the hands go on
GRASS_FRICTION_SHARE = 0.5  # grass between face and ball: friction about halves (estimate)
PUSH_SHARE = 0.40
"""Share of a free head's downward push by the ball that shows in the divot: the shaft and the turf hold the
rest. Chosen so that a mid iron 4 deg down cuts 5 to 13 mm (common practice); a free head would dig 3 cm."""


@dataclass(frozen=True)
class Meeting:
    """The ball against the face: strike point, the angles an edge adds, and the kind of contact."""

    strike_up_m: Array
    turn_up_deg: Array  # normal of the contact minus the face's, up +
    turn_toe_deg: Array
    contact: Codes  # int8, index into CONTACTS; never FAT, which is the ground's doing


def meet_ball(sole_m: Number, tee_m: Number, loft_deg: Number, strike_toe_m: Number, head: Head) -> Meeting:
    """Where a head whose sole passes ``sole_m`` above the ground meets a ball teed at ``tee_m``."""
    loft = np.radians(loft_deg)
    ball = np.asarray(tee_m) + BALL_RADIUS_M
    low = sole_m + (head.face_centre_m - head.face_half_height_down_m) * np.cos(loft)
    high = sole_m + (head.face_centre_m + head.face_half_height_up_m) * np.cos(loft)
    flat = np.sin(loft) + 0.0 * np.asarray(sole_m)
    slope = np.clip(flat, (ball - high) / BALL_RADIUS_M, (ball - low) / BALL_RADIUS_M)
    missed = np.abs(slope) > 1.0
    slope = np.clip(slope, -1.0, 1.0)
    height = ball - BALL_RADIUS_M * slope
    strike_up = np.where(missed, 0.0, (height - sole_m) / np.cos(loft) - head.face_centre_m)
    turn_up = np.where(missed, 0.0, np.degrees(np.arcsin(slope) - loft))

    toe = np.asarray(strike_toe_m, dtype=float)
    past_toe = np.maximum(toe - head.toe_edge_m, 0.0) / BALL_RADIUS_M
    past_heel = np.maximum(-toe - head.heel_edge_m, 0.0) / BALL_RADIUS_M
    missed = missed | (past_toe > 1.0) | (past_heel > 2.0)  # the neck is about a ball's radius wide
    # past the toe the ball is met by the edge; at the heel the hollow before the neck throws it the same way
    turn_toe = np.degrees(
        np.arcsin(np.minimum(past_toe, 1.0)) + np.arcsin(np.minimum(past_heel, HOSEL_TURN_LIMIT))
    )

    contact = np.full(np.broadcast(slope, toe).shape, CLEAN, dtype=np.int8)
    contact = np.where(strike_up < EDGE_BAND_M - head.face_half_height_down_m, THIN, contact)
    contact = np.where((slope <= 0.0) & (slope < np.sin(loft) - 1e-12), TOP, contact)
    contact = np.where(strike_up > head.face_half_height_up_m - 1e-9, SKY, contact)
    contact = np.where(missed, MISS, contact).astype(np.int8)
    return Meeting(strike_up, turn_up, turn_toe, contact)


@dataclass(frozen=True)
class Ground:
    """What the head does in the ground before it reaches the ball."""

    turf_before_m: Array  # where the sole goes under, behind the ball; 0 = not before the ball
    energy_lost_j: Array
    speed_share: Array  # of the head's speed that is left at the ball


def plough(
    arc_height_m: Number,
    low_point_m: Number,
    arc_radius_m: Number,
    plane_deg: Number,
    speed_mps: Number,
    head: Head,
) -> Ground:
    """Ground before the ball, from the free arc: entry, and the work of cutting a track as wide as the
    sole.
    """
    depth = np.maximum(-SOIL_M - np.asarray(arc_height_m), 0.0)
    half = arc.half_chord_m(depth, arc_radius_m, plane_deg)
    ball = -np.asarray(low_point_m)  # along the base line from the bottom of the arc
    before = np.maximum(ball + half, 0.0) * (half > 0)
    area = arc.area_below_m2(depth, ball, arc_radius_m, plane_deg)
    work = TURF_RESISTANCE_PA * head.sole_width_m * area
    energy = 0.5 * head.mass_kg * np.square(speed_mps)
    left = np.maximum(1.0 - work / energy, LEAST_ENERGY_LEFT)
    return Ground(before, energy * (1.0 - left), np.sqrt(left))


@dataclass(frozen=True)
class Divot:
    """The mark in the turf, from the ball: + ahead. All 0 where the turf is not marked."""

    turf: Codes  # int8, index into TURFS
    depth_m: Array
    start_m: Array
    end_m: Array


def divot(
    sole_m: Number,
    attack_deg: Number,
    push_deg: Number,
    turf_before_m: Number,
    arc_radius_m: Number,
    plane_deg: Number,
) -> Divot:
    """The mark after a hit that pushed the head down by ``push_deg``; ``sole_m`` and attack are those at
    the ball.

    After the ball the sole follows a parabola with the arc's own bend, started at the attack angle less
    PUSH_SHARE of the push. Before it the arc is free; one that bottoms out there is deepest there.
    """
    free = np.tan(np.radians(attack_deg))
    slope = np.tan(np.radians(np.asarray(attack_deg) - PUSH_SHARE * np.asarray(push_deg)))
    bend = np.sin(np.radians(plane_deg)) / np.asarray(arc_radius_m)
    in_soil = -SOIL_M - np.asarray(sole_m)  # at the ball, + below the soil line
    bottom = np.maximum(-slope / bend, 0.0)
    after = np.maximum(in_soil - slope * bottom - 0.5 * bend * bottom**2, 0.0)
    behind = np.asarray(turf_before_m) > FAT_M
    before = np.where(behind, np.maximum(in_soil + 0.5 * np.maximum(free, 0.0) ** 2 / bend, 0.0), 0.0)
    depth = np.maximum(after, before)
    turf = np.where(depth > DEEP_M, 2, np.where(depth > 0.0, 1, 0))
    turf = np.where(behind, 3, turf).astype(np.int8)
    start = np.where(behind, -np.asarray(turf_before_m), np.maximum(bottom - np.sqrt(2.0 * after / bend), 0.0))
    leaving = np.where(behind & (in_soil < 0.0), free, slope)
    end = (np.sqrt(np.maximum(leaving**2 + 2.0 * bend * in_soil, 0.0)) - leaving) / bend
    return Divot(turf, *(np.where(turf > 0, value, 0.0) for value in (depth, start, end)))


def side_of_face(strike_toe_m: Number, head: Head) -> Array:
    """Name of the side of the face the ball met, from SIDES; beyond the heel edge the neck meets it: a
    shank.
    """
    toe = np.asarray(strike_toe_m, dtype=float)
    code = np.where(toe > MIDDLE_SHARE * head.toe_edge_m, 1, 0)
    code = np.where(toe < -MIDDLE_SHARE * head.heel_edge_m, 2, code)
    code = np.where(toe < -head.heel_edge_m, 3, code)
    return np.asarray(SIDES)[code]
