"""A putt from above, the target up the page: the line it started on, where it began to roll, where it stopped."""

from __future__ import annotations

import numpy as np
from arclore.tui.pictures.from_above import STRETCH, scale_words
from arclore.tui.pictures.scene import Item, Line, Mark, Point, Scene, Words
from arclore.tui.pictures.stroke import Rolled, Stroke

LEAST_HALF = 0.26  # of the length, to either side: room for the words
WIDEST = 0.42  # of the length, to either side, before it is stretched less


def on_green(stroke: Stroke, rolled: Rolled) -> Scene:
    """One putt on a level green, beside the line to the hole."""
    far = 1.08 * max(rolled.distance_m, rolled.hole_m, 1.0)
    stretch = next((times for times in (STRETCH, 2.0) if times * abs(rolled.side_m) <= WIDEST * far), 1.0)
    turn = np.radians(stroke.flown.start_deg)
    gap = 0.03 * far

    def after(distance_m: float) -> Point:
        return stretch * distance_m * float(np.sin(turn)), distance_m * float(np.cos(turn))

    rolls, stops = after(rolled.slid_m), after(rolled.distance_m)
    to_right = stops[0] >= 0.0
    items: list[Item] = [
        Line(((0.0, 0.0), (0.0, far)), "dotted"),
        Mark((0.0, rolled.hole_m), "o"),
        Words((-gap if to_right else gap, rolled.hole_m), "hole", "end" if to_right else "start"),
    ]
    if rolled.distance_m > 0.0:
        items += [
            Line(((0.0, 0.0), rolls), "dashed"),
            Line((rolls, stops), "solid", arrow=True),
            Mark(rolls, "+"),
            Mark(stops, "x"),
            Words((rolls[0] + (gap if to_right else -gap), rolls[1]), "rolls", "start" if to_right else "end"),
            Words((stops[0] + (gap if to_right else -gap), stops[1]), "stops", "start" if to_right else "end"),
        ]
    half = max(LEAST_HALF * far, abs(stops[0]))
    return Scene(tuple(items), (-half, 0.0), (half, far), scale_words(stretch))
