"""Where words go, for any renderer: kept inside the frame and off one another, a whole line at a time."""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from arclore.engine.library.problems import printable, shortened
from arclore.tui.pictures.scene import OTHER_END, Anchor, Point, Words

LONGEST = 40  # characters of one label
SHARE_BEFORE = {"start": 0.0, "middle": 0.5, "end": 1.0}
LINES_TRIED = (0, -1, 1, -2, 2, -3, 3)


UNIT_AFTER_NUMBER = re.compile(r"(?<=\d) (?=(?:m|cm|mm|in|yd|ft|deg|rpm|mph)\b)")
HELD, FILLER = "\N{NO-BREAK SPACE}", "\ue000"


def wrapped(text: str, columns: int) -> list[str]:
    """A text, harmless, in lines of so many columns; a number keeps its unit beside it."""
    held = UNIT_AFTER_NUMBER.sub(HELD, printable(text))
    if cells(held) > len(held):  # a wide character is wrapped as two, which a line's end may part
        held = "".join(sign + FILLER * (cells(sign) - 1) for sign in held)
        columns -= 1
    lines = textwrap.wrap(held, columns, break_on_hyphens=False)
    return [line.replace(HELD, " ").replace(FILLER, "") for line in lines]


@dataclass(frozen=True)
class Placed:
    """A label's text, harmless, with its left end and the middle of its height."""

    text: str
    x: float
    y: float
    width: float


def cells(text: str) -> int:
    """Columns of a terminal that a text takes: East Asian wide characters take two."""
    return sum(1 + (unicodedata.east_asian_width(character) in "WF") for character in text)


def placed(
    words: Iterable[Words], letter: tuple[float, float], low: Point, high: Point, marks: Iterable[Point] = ()
) -> list[Placed]:
    """Every label inside the frame and clear of its marks, on their other side if need be.

    One that would touch another moves up or down. ``letter`` is the width and height of one character in the
    units of the frame.
    """
    marks = tuple(marks)
    result: list[Placed] = []
    for word in words:
        text = shortened(word.text, LONGEST)
        width = cells(text) * letter[0]
        ends = [_left_end(word, anchor, width, letter, marks) for anchor in (word.anchor, OTHER_END[word.anchor])]
        x = next((end for end in ends if low[0] <= end <= high[0] - width), ends[0])
        x = max(min(x, high[0] - width), low[0])
        edges = low[1] + 0.5 * letter[1], high[1] - 0.5 * letter[1]
        tries = [word.at[1] + lines * letter[1] for lines in LINES_TRIED]
        inside = [y for y in tries if edges[0] - 0.1 * letter[1] <= y <= edges[1] + 0.1 * letter[1]]
        spots = [Placed(text, x, y, width) for y in inside]
        free = (spot for spot in spots if not any(_meet(spot, other, letter) for other in result))
        anyway = Placed(text, x, min(max(word.at[1], edges[0]), edges[1]), width)
        result.append(next(free, anyway))
    return result


def _left_end(
    word: Words, anchor: Anchor, width: float, letter: tuple[float, float], marks: tuple[Point, ...]
) -> float:
    """Where a label begins, moved on from a mark that it would cover; a centred one stays."""
    x = word.at[0] - SHARE_BEFORE[anchor] * width
    for mark in marks:
        if abs(mark[1] - word.at[1]) < 0.6 * letter[1] and x - 2 * letter[0] < mark[0] < x + width + 2 * letter[0]:
            if anchor == "start":
                x = max(x, mark[0] + 2 * letter[0])
            elif anchor == "end":
                x = min(x, mark[0] - 2 * letter[0] - width)
    return x


def _meet(a: Placed, b: Placed, letter: tuple[float, float]) -> bool:
    """Whether two labels would be read as one: on the same line with less than a letter between them."""
    apart = max(a.x - b.x - b.width, b.x - a.x - a.width)
    return apart < 0.99 * letter[0] and abs(a.y - b.y) < 0.99 * letter[1]
