"""The strike on the face: a plain outline seen from the ball, its middle, and where the ball met it."""

from __future__ import annotations

import numpy as np
from arclore.engine.quantities import BALL_RADIUS_M
from arclore.tui.pictures.scene import Item, Line, Mark, Scene, Words, circle, curve
from arclore.tui.pictures.stroke import Stroke

ROUNDNESS = 0.62  # exponent of the rounded outline; 1 would be an ellipse, 0 a box


def on_face(stroke: Stroke) -> Scene:
    """Toe on the left of the page for a right-hander, as the ball sees the face."""
    head = stroke.head
    turn = np.linspace(0.0, 2.0 * np.pi, 61)
    across, up = (np.sign(part) * np.abs(part) ** ROUNDNESS for part in (np.cos(turn), np.sin(turn)))
    x = across * np.where(across > 0, head.heel_edge_m, head.toe_edge_m)
    y = up * np.where(up > 0, head.face_half_height_up_m, head.face_half_height_down_m)
    heel, top, low = head.heel_edge_m, head.face_half_height_up_m, -head.face_half_height_down_m
    neck = ((heel * 0.96, top * 0.35), (heel + 0.012, top + 0.012))
    items: list[Item] = [
        curve(x, y, "solid"),
        Line(neck, "heavy"),
        Mark((0.0, 0.0), "+"),
        Words((-head.toe_edge_m - 0.004, 0.0), "toe", "end"),
        Words((heel + 0.004, 0.0), "heel", "start"),
        Words((0.0, top + 0.006), "high", "middle"),
        Words((0.0, low - 0.006), "low", "middle"),
    ]
    if not stroke.missed:
        at = (0.0 - stroke.strike_toe_m, stroke.strike_up_m)
        items += [circle(at, 0.5 * BALL_RADIUS_M, "dashed"), Mark(at, "x")]
    room = 0.022
    return Scene(
        tuple(items),
        (-head.toe_edge_m - room, low - 0.014),
        (heel + room, max(top, stroke.strike_up_m) + 0.016),
        "to scale",
    )
