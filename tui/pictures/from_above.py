"""From above, the target up the page: the club at the ball, and the flight.

Sideways is drawn STRETCH times as wide, or the few degrees that matter could not be seen; a flight far off
the line is drawn less so. The words beside the picture say how much.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from arclore.engine.geometry import arc
from arclore.engine.quantities import BALL_RADIUS_M, M_PER_YARD, Array, Handed
from arclore.tui.pictures.scene import Item, Line, Mark, Point, Scene, Style, Words, bounds, circle, curve
from arclore.tui.pictures.sentences import off_line
from arclore.tui.pictures.stroke import Flown, Stroke
from arclore.tui.units import METRIC, YARDS, Units

STRETCH = 3.0
WIDEST = 0.42  # of a flight's length, to either side, before it is stretched less
REACH_M = 0.36  # of the close picture, before and behind the ball
CLEAR_M = 0.03  # the words of a low point stand clear of the line of the face
FACE_M = 0.09  # half length of the line that stands for the face
FLIGHT_STYLES: tuple[Style, ...] = ("solid", "dashed")


def page(ahead: Array | float, right: Array | float, stretch: float = STRETCH) -> tuple[Array, Array]:
    """Places in target axes as places on the page."""
    return np.asarray(right) * stretch, np.asarray(ahead)


def along(angle_deg: float, length_m: float, stretch: float = STRETCH) -> Point:
    """The end on the page of a line from the ball, so long as drawn, that points ``angle_deg`` to the right."""
    x, y = stretch * np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    share = length_m / float(np.hypot(x, y))
    return float(x) * share, float(y) * share


def scale_words(stretch: float) -> str:
    return f"sideways drawn {stretch:g} times as wide" if stretch > 1.0 else "to scale"


def arc_from_above(stroke: Stroke, ahead_m: Array) -> tuple[Array, Array]:
    """Places (ahead, right) of the head, in m from the ball, at distances along the base line from the ball."""
    radius, plane, low = stroke.arc_radius_m, stroke.plane_deg, stroke.low_point_m
    turn = np.radians(stroke.swing_direction_deg)
    deepest = arc.spread_m(low, radius, plane)
    right = deepest - arc.spread_m(ahead_m - low, radius, plane)
    return ahead_m * np.cos(turn) - right * np.sin(turn), ahead_m * np.sin(turn) + right * np.cos(turn)


def at_ball(stroke: Stroke) -> Scene:
    """The head's way past the ball, where it was going there, where the face looked, and the low point."""
    low = stroke.low_point_m
    reach = max(REACH_M, abs(low) + 0.08)
    path, face = stroke.path_deg, stroke.face_deg
    tail, tip = along(path, -reach), along(path, 0.62 * reach)
    look = along(face, 0.86 * reach)
    way = page(*arc_from_above(stroke, np.linspace(-reach, reach, 49)))
    bottom = page(*arc.low_point_in_target_axes(low, stroke.swing_direction_deg, stroke.arc_radius_m, stroke.plane_deg))
    items: tuple[Item, ...] = (
        Line(((0.0, -reach), (0.0, reach)), "dotted"),
        Words((0.0, reach), "target", "middle"),
        curve(*way, "fine"),
        circle((0.0, 0.0), BALL_RADIUS_M),
        Line((tail, tip), "solid", arrow=True),
        Line(((0.0, 0.0), look), "dashed", arrow=True),
        Line(_face_line(look), "heavy"),
        Mark((float(bottom[0]), float(bottom[1])), "x"),
        *_labels(tail, look, (float(bottom[0]), float(bottom[1])), (float(way[0][-1]), float(way[1][-1]))),
    )
    half = max(0.24, abs(tail[0]), abs(look[0]), float(np.abs(way[0]).max()))
    return Scene(items, (-half, -reach), (half, reach), scale_words(STRETCH))


def _face_line(look: Point) -> tuple[Point, Point]:
    """A line square to the drawn direction ``look``, against the back of the ball."""
    x, y = (part / float(np.hypot(*look)) for part in look)
    back = (-BALL_RADIUS_M * x, -BALL_RADIUS_M * y)
    return (back[0] - FACE_M * y, back[1] + FACE_M * x), (back[0] + FACE_M * y, back[1] - FACE_M * x)


def _labels(tail: Point, look: Point, bottom: Point, end: Point) -> tuple[Words, ...]:
    gap = 0.022
    near = -2.0 * CLEAR_M < bottom[1] < CLEAR_M
    clear = 0.0 if not near else CLEAR_M if bottom[1] > 0.0 else -CLEAR_M

    def beside(at: Point, text: str, to_right: bool) -> Words:
        return Words((at[0] + (gap if to_right else -gap), at[1]), text, "start" if to_right else "end")

    return (
        beside((tail[0], tail[1] + 0.03), "going", tail[0] >= 0.0),
        beside(look, "looking", look[0] >= 0.0),
        beside((bottom[0], bottom[1] + clear), "low point", False),
        beside(_face_line(look)[0], "face", False),
        beside((end[0], end[1] - 0.02), "arc", end[0] > 0.0),
    )


def flight(balls: Sequence[Flown], handed: Handed, units: Units = METRIC) -> Scene:
    """One or two flights: start, curve, landing and run."""
    far = 1.06 * max(20.0, *(float(place) for ball in balls for place in (ball.way[0].max(), ball.rest[0])))
    off = max(abs(float(place)) for ball in balls for place in (*ball.way[1], ball.rest[1]))
    stretch = next((times for times in (STRETCH, 2.0) if times * off <= WIDEST * far), 1.0)
    items: list[Item] = [Line(((0.0, 0.0), (0.0, far)), "dotted"), Words((0.0, far), "target", "middle")]
    items += _distances(far, units)
    for ball, style in zip(balls, FLIGHT_STYLES, strict=False):
        x, y = page(ball.way[0], ball.way[1], stretch)
        landing = (float(x[-1]), float(y[-1]))
        rest = page(*ball.rest, stretch)
        others = [other.side_m for other in balls if other is not ball]
        text = ball.label if others else off_line(ball, handed, units)
        outward = all(ball.side_m >= other for other in others) if others else landing[0] >= 0.0
        gap = 0.02 * far if outward else -0.02 * far
        items += [
            curve(x, y, style),
            Line((landing, (float(rest[0]), float(rest[1]))), "fine"),
            Mark(landing, "x"),
            Words((landing[0] + gap, landing[1]), text, "start" if outward else "end"),
        ]
        if not others:
            items.append(Line(((0.0, 0.0), along(ball.start_deg, 0.45 * far, stretch)), "fine"))
    low, high = bounds(items)
    half = max(0.2 * far, -low[0], high[0])
    return Scene(tuple(items), (-half, 0.0), (half, far), scale_words(stretch))


def _distances(far: float, units: Units) -> list[Item]:
    """Ticks across the target line at round distances."""
    size = M_PER_YARD if units is YARDS else 1.0
    step = 50 if far / size > 90 else 10
    tick = 0.012 * far
    items: list[Item] = []
    for distance in range(step, int(0.94 * far / size), step):
        y = distance * size
        items += [
            Line(((-tick, y), (tick, y)), "fine"),
            Words((-1.6 * tick, y), f"{distance} {units.distance.sign}", "end"),
        ]
    return items
