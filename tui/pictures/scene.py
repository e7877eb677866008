"""A scene: lines, marks and words placed in metres on a page, x to the right and y up, ready for any renderer.

A scene knows nothing of pixels or characters. It is drawn for a right-handed golfer; ``mirrored`` makes it a
left-hander's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from arclore.engine.quantities import Array

Point = tuple[float, float]
Style = Literal["solid", "heavy", "dashed", "dotted", "fine"]
Anchor = Literal["start", "middle", "end"]
OTHER_END: dict[Anchor, Anchor] = {"start": "end", "middle": "middle", "end": "start"}


@dataclass(frozen=True)
class Line:
    """Points joined by straight lines. ``arrow`` puts a head on the last one."""

    points: tuple[Point, ...]
    style: Style = "solid"
    arrow: bool = False


@dataclass(frozen=True)
class Mark:
    """A small sign of the same size in every picture: a cross, a plus or a ring."""

    at: Point
    sign: Literal["x", "+", "o"]


@dataclass(frozen=True)
class Words:
    """Text beside a place: it starts, is centred or ends there."""

    at: Point
    text: str
    anchor: Anchor = "start"


Item = Line | Mark | Words


@dataclass(frozen=True)
class Scene:
    """What is drawn, the part of the page it fills (low corner, high corner), and a word on its scale."""

    items: tuple[Item, ...]
    low: Point
    high: Point
    scale: str = ""

    def mirrored(self) -> Scene:
        """The same for a golfer of the other hand: every x changes its sign, words keep their reading."""
        return replace(
            self,
            items=tuple(_mirrored(item) for item in self.items),
            low=(0.0 - self.high[0], self.low[1]),
            high=(0.0 - self.low[0], self.high[1]),
        )


def _mirrored(item: Item) -> Item:
    if isinstance(item, Line):
        return replace(item, points=tuple((0.0 - x, y) for x, y in item.points))
    x, y = item.at
    if isinstance(item, Words):
        return replace(item, at=(0.0 - x, y), anchor=OTHER_END[item.anchor])
    return replace(item, at=(0.0 - x, y))


def curve(x: Array, y: Array, style: Style = "solid", arrow: bool = False) -> Line:
    """A line through arrays of coordinates."""
    return Line(tuple(zip(np.asarray(x).tolist(), np.asarray(y).tolist(), strict=True)), style, arrow)


def circle(centre: Point, radius_m: float, style: Style = "solid") -> Line:
    """A closed line of 24 sides."""
    turn = np.linspace(0.0, 2.0 * np.pi, 25)
    return curve(centre[0] + radius_m * np.cos(turn), centre[1] + radius_m * np.sin(turn), style)


def bounds(items: Iterable[Item]) -> tuple[Point, Point]:
    """Low and high corner of all lines and marks and the places of words."""
    points = [point for item in items for point in (item.points if isinstance(item, Line) else (item.at,))]
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys)), (max(xs), max(ys))


def framed_alike(scenes: Iterable[Scene]) -> list[Scene]:
    """The scenes on one frame that holds them all, so that they are drawn to one scale."""
    scenes = list(scenes)
    low = (min(s.low[0] for s in scenes), min(s.low[1] for s in scenes))
    high = (max(s.high[0] for s in scenes), max(s.high[1] for s in scenes))
    return [replace(scene, low=low, high=high) for scene in scenes]
