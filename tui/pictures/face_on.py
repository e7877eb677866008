"""Face-on, to scale: the arc, its low point, the ball on turf or tee, the ground, the mark in it, the lead heel.

Seen square to the arc's base line, the target to the right of a right-hander's page; the origin is the ground
under the ball.
"""

from __future__ import annotations

import numpy as np
from arclore.engine.geometry import arc
from arclore.engine.geometry.strike import SOIL_M
from arclore.engine.quantities import BALL_RADIUS_M, Array
from arclore.tui.pictures.scene import Item, Line, Mark, Point, Scene, Words, circle, curve
from arclore.tui.pictures.stroke import Stance, Stroke

REACH_M = 0.30
ROOM_M = 0.08
HEAD_ROOM_M = 0.105
UNDER_M = 0.022  # where the words under the ground begin, and the height of a line of them
LETTER_M = 0.024
DEPTH_M = UNDER_M + 2 * LETTER_M
HATCH_M = 0.012


def sole_height_m(stroke: Stroke, stance: Stance, ahead_m: Array | float) -> Array:
    """Height of the sole over the ground on the free arc, ``ahead_m`` of the ball along the base line."""
    from_bottom = np.asarray(ahead_m) - stroke.low_point_m
    return stance.arc_height_m + arc.rise_m(from_bottom, stroke.arc_radius_m, stroke.plane_deg)


def face_on(stroke: Stroke, stance: Stance) -> Scene:
    """The club's way through the ball and what it does to the ground."""
    low, tee, heel = stroke.low_point_m, stance.tee_height_m, stance.lead_heel_m
    left = min(-REACH_M, low - ROOM_M, heel - ROOM_M, stance.turf_start_m - ROOM_M)
    right = max(REACH_M, low + ROOM_M, heel + ROOM_M, stance.turf_end_m + ROOM_M)
    x = np.linspace(left, right, 61)
    sole = sole_height_m(stroke, stance, x)
    bottom = (low, stance.arc_height_m)
    items: list[Item] = [
        Line(((left, 0.0), (right, 0.0)), "heavy"),
        *_mark_in_turf(stance),
        curve(x, sole, "solid", arrow=True),
        circle((0.0, tee + BALL_RADIUS_M), BALL_RADIUS_M),
        *_face(stroke, stance),
        Mark(bottom, "x"),
        Line((bottom, (low, -UNDER_M)), "fine"),
        Line(((heel, 0.0), (heel, -UNDER_M)), "heavy"),
        Words((low, -UNDER_M - 0.012), "low point", "end" if low < heel else "start"),
        Words((heel, -UNDER_M - 0.012), "lead heel", "start" if low < heel else "end"),
        Words((left, -0.02), "ground", "start"),
    ]
    if tee > 0:
        items.append(Line(((0.0, 0.0), (0.0, tee)), "heavy"))
        items.append(Words((0.012, 0.45 * tee), "tee", "start"))
    top = max(HEAD_ROOM_M, tee + 2 * BALL_RADIUS_M + 0.02, float(sole.max()) + 0.01)
    return Scene(tuple(items), (left, min(-DEPTH_M, bottom[1] - LETTER_M)), (right, top), "to scale")


def _face(stroke: Stroke, stance: Stance) -> list[Item]:
    """The face, leaning by its loft, where it meets the ball, be it with an edge."""
    if stroke.missed:
        return []
    head, loft, strike = stroke.head, np.radians(stroke.dynamic_loft_deg), stroke.strike_up_m
    up = np.array([-np.sin(loft), np.cos(loft)])
    height = float(sole_height_m(stroke, stance, 0.0)) + (head.face_centre_m + strike) * np.cos(loft)
    below = np.clip((stance.tee_height_m + BALL_RADIUS_M - height) / BALL_RADIUS_M, -1.0, 1.0)
    touch = np.array([-BALL_RADIUS_M * np.sqrt(1.0 - below**2), height])
    ends = (-head.face_half_height_down_m - strike, head.face_half_height_up_m - strike)
    low, high = (touch + up * end for end in ends)
    return [
        Line((_point(low), _point(high)), "heavy"),
        Words((float(high[0]) - 0.012, float(high[1])), "face", "end"),
    ]


def _point(place: Array) -> Point:
    return float(place[0]), float(place[1])


def _mark_in_turf(stance: Stance) -> list[Item]:
    """The cut in the turf: its floor, hatched from the ground down."""
    if stance.turf == "none":
        return []
    start, end, depth = stance.turf_start_m, stance.turf_end_m, stance.turf_depth_m
    middle, half = 0.5 * (start + end), 0.5 * (end - start)
    if half <= 0.0:
        return []

    def floor(x: Array) -> Array:
        return -(depth + SOIL_M) * (1.0 - ((x - middle) / half) ** 2)

    x = np.linspace(start, end, 25)
    strokes = np.arange(start + HATCH_M / 2, end, HATCH_M)
    hatch = [
        Line(((at, 0.0), (at, down)), "fine")
        for at, down in zip(strokes.tolist(), floor(strokes).tolist(), strict=True)
    ]
    return [curve(x, floor(x), "solid"), *hatch, Words((end, -UNDER_M - 0.012), "turf cut", "start")]
