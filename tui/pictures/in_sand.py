"""A splash, face-on and to scale: where the sole goes in, how deep it runs, and the ball that it passes beneath.

The target is to the right of a right-hander's page; the origin is the top of the sand under the ball.
"""

from __future__ import annotations

import numpy as np
from arclore.engine.geometry import arc
from arclore.engine.quantities import BALL_RADIUS_M
from arclore.tui.pictures.face_on import DEPTH_M, HATCH_M, HEAD_ROOM_M, LETTER_M, REACH_M, ROOM_M, UNDER_M
from arclore.tui.pictures.scene import Item, Line, Mark, Scene, Words, circle, curve
from arclore.tui.pictures.stroke import Sand, Stroke


def in_sand(stroke: Stroke, sand: Sand) -> Scene:
    """The sole's way through the sand under the ball."""
    low, heel = stroke.low_point_m, sand.lead_heel_m
    start, end = -sand.entry_m, sand.mark_m - sand.entry_m
    left = min(-REACH_M, low - ROOM_M, heel - ROOM_M, start - ROOM_M)
    right = max(REACH_M, low + ROOM_M, heel + ROOM_M, end + ROOM_M)
    x = np.linspace(left, right, 61)
    sole = sand.arc_height_m + arc.rise_m(x - low, stroke.arc_radius_m, stroke.plane_deg)
    bottom = (low, sand.arc_height_m)
    items: list[Item] = [
        Line(((left, 0.0), (right, 0.0)), "heavy"),
        curve(x, sole, "solid", arrow=True),
        circle((0.0, BALL_RADIUS_M), BALL_RADIUS_M),
        Mark(bottom, "x"),
        Line(((heel, 0.0), (heel, -UNDER_M)), "heavy"),
        Words((low, bottom[1] - LETTER_M), "low point", "middle"),
        Words((heel, -UNDER_M - 0.012), "lead heel", "start"),
        Words((left, -0.02), "sand", "start"),
    ]
    if sand.depth_m > 0.0:
        at = np.arange(start + HATCH_M / 2, end, HATCH_M)
        floor = sand.arc_height_m + arc.rise_m(at - low, stroke.arc_radius_m, stroke.plane_deg)
        items += [Line(((a, 0.0), (a, f)), "fine") for a, f in zip(at.tolist(), floor.tolist(), strict=True)]
        items += [Mark((start, 0.0), "+"), Words((start, 0.02), "in", "end"), Words((end, 0.02), "out", "start")]
    deep = min(-DEPTH_M, bottom[1] - 2 * LETTER_M)
    return Scene(tuple(items), (left, deep), (right, max(HEAD_ROOM_M, float(sole.max()) + 0.01)), "to scale")
