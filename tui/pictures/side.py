"""The flight from the side, to scale: launch, apex, landing and run; the target to the right of the page."""

from __future__ import annotations

from collections.abc import Sequence

from arclore.engine.quantities import M_PER_YARD
from arclore.tui.pictures.from_above import FLIGHT_STYLES
from arclore.tui.pictures.scene import Item, Line, Mark, Scene, Words, curve
from arclore.tui.pictures.stroke import Flown
from arclore.tui.units import METRIC, YARDS, Units

LOW_SHARE = 0.06  # of the distance; under the top of a lower flight is no room for words
LEAST_APEX_M = 0.5  # a lower flight has no top worth naming


def from_side(balls: Sequence[Flown], units: Units = METRIC) -> Scene:
    """One or two flights over the level ground."""
    far = max([ball.way[0].max() for ball in balls] + [ball.rest[0] for ball in balls] + [20.0])
    far = 1.08 * float(far)
    top = max([ball.apex_m for ball in balls] + [0.06 * far])
    highest = max(ball.apex_m for ball in balls)
    slope = max((ball.slope for ball in balls), key=abs)
    items: list[Item] = [Line(((0.0, 0.0), (far, far * slope)), "heavy"), *_distances(far, units)]
    for ball, style in zip(balls, FLIGHT_STYLES, strict=False):
        ahead, _, up = ball.way
        peak = int(up.argmax())
        at = (float(ahead[peak]), float(up[peak]))
        landing = (ball.carry_m, float(up[-1]))
        # under its top where another is as high, so that they are told apart
        above = -0.035 if LOW_SHARE * far < ball.apex_m < highest else 0.035
        items += [
            curve(ahead, up, style),
            Line((landing, (ball.rest[0], ball.rest[0] * slope)), "fine"),
            Mark(landing, "x"),
        ]
        if ball.apex_m >= LEAST_APEX_M:
            items += [
                Mark(at, "+"),
                Words((at[0], at[1] + above * far), _top(ball, units, len(balls) > 1), "middle"),
            ]
    low, high = min(0.0, far * slope), max(top, far * slope)
    return Scene(tuple(items), (0.0, low - 0.09 * far), (far, high + 0.07 * far), "to scale")


def _top(ball: Flown, units: Units, named: bool) -> str:
    height = f"{units.height.of(ball.apex_m)} high"
    return f"{ball.label}, {height}" if named else height


def _distances(far: float, units: Units) -> list[Item]:
    size = M_PER_YARD if units is YARDS else 1.0
    step = 50 if far / size > 90 else 10
    items: list[Item] = []
    for distance in range(step, int(far / size), step):
        x = distance * size
        items += [
            Line(((x, -0.012 * far), (x, 0.0)), "fine"),
            Words((x, -0.04 * far), f"{distance} {units.distance.sign}", "middle"),
        ]
    return items
