"""A scene as lines of text: braille dots, or plain ASCII where a terminal can't show them. No colour is used."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import TypeVar

from arclore.tui.pictures.layout import cells, placed
from arclore.tui.pictures.scene import Line, Mark, Point, Scene, Style, Words
from plotille import Canvas

DASHES: dict[Style, tuple[float, float]] = {"dashed": (5.0, 3.0), "dotted": (1.0, 3.0), "fine": (1.0, 1.0)}
"""Dots drawn and left out; any other style is drawn through."""
LETTERS: dict[Style, str] = {"solid": "*", "heavy": "#", "dashed": "o", "dotted": ".", "fine": ","}
HEAD_DOTS = 5.0  # length of an arrow's head
BLANK = chr(0x2800)
Labelled = TypeVar("Labelled", Mark, Words)


def draw(scene: Scene, columns: int, most_rows: int = 30, *, ascii_only: bool = False) -> list[str]:
    """The scene in so many columns and at most so many rows, its proportions kept; lines have no trailing space.

    A character cell is taken to be twice as high as wide. Raises ValueError for less than 8 columns or 3 rows.
    """
    if columns < 8 or most_rows < 3:
        raise ValueError(f"a picture needs at least 8 columns and 3 rows, not {columns} and {most_rows}")
    wide, high = (scene.high[axis] - scene.low[axis] for axis in (0, 1))
    cell = max(wide / (columns - 1), high / (2 * (most_rows - 1)))
    rows = min(most_rows, math.ceil(high / (2.0 * cell)) + 1)
    middle = tuple(0.5 * (scene.low[axis] + scene.high[axis]) for axis in (0, 1))
    low = (middle[0] - 0.5 * columns * cell, middle[1] - rows * cell)
    top = (middle[0] + 0.5 * columns * cell, middle[1] + rows * cell)
    canvas = Canvas(columns, rows, low[0], low[1], top[0], top[1])
    for item in scene.items:
        if isinstance(item, Line):
            _line(canvas, item, cell, ascii_only)
    grid = [[" " if sign == BLANK else sign for sign in row] for row in canvas.plot("\n").split("\n")]

    def at(x: float, y: float) -> tuple[int, int]:
        column, row = int((x - low[0]) / cell), int((top[1] - y) / (2.0 * cell))
        return min(max(row, 0), rows - 1), min(max(column, 0), columns - 1)

    for item in scene.items:
        if isinstance(item, Mark):
            row, column = at(*item.at)
            grid[row][column] = item.sign
    words = [_snapped(item, low, cell) for item in scene.items if isinstance(item, Words)]
    marks = [_snapped(item, low, cell).at for item in scene.items if isinstance(item, Mark)]
    for label in placed(words, (cell, 2.0 * cell), low, top, marks):
        row, column = at(label.x + 0.01 * cell, label.y)
        _write(grid[row], column, label.text, ascii_only)
    return ["".join(row).rstrip() for row in grid]


def _snapped(item: Labelled, low: Point, cell: float) -> Labelled:
    """The item at the middle of its row, so that those of one row are known to meet."""
    row = math.floor((item.at[1] - low[1]) / (2.0 * cell))
    return replace(item, at=(item.at[0], low[1] + (2.0 * row + 1.0) * cell))


def _write(row: list[str], column: int, text: str, ascii_only: bool) -> None:
    """Lay a text over a row; a wide character takes the cell after it too."""
    for character in plain_text(text, ascii_only):
        width = cells(character)
        if column + width > len(row):
            return
        row[column : column + width] = [character] + [""] * (width - 1)
        column += width


def plain_text(text: str, ascii_only: bool) -> str:
    """The text, every character outside ASCII escaped where only ASCII can be shown."""
    return text.encode("ascii", "backslashreplace").decode("ascii") if ascii_only else text


def _line(canvas: Canvas, line: Line, cell: float, ascii_only: bool) -> None:
    dot = 0.5 * cell
    if not ascii_only:
        for start, end in _dashes(line.points, line.style, dot):
            canvas.line(*start, *end)
            if line.style == "heavy":
                over = (dot, 0.0) if abs(end[1] - start[1]) > abs(end[0] - start[0]) else (0.0, -dot)
                canvas.line(start[0] + over[0], start[1] + over[1], end[0] + over[0], end[1] + over[1])
    else:
        for start, end in _dashes(line.points, line.style, cell):
            _letters(canvas, start, end, LETTERS[line.style], dot)
    if line.arrow:
        _head(canvas, line, cell, ascii_only)


def _letters(canvas: Canvas, start: Point, end: Point, letter: str, dot: float) -> None:
    steps = max(1, math.ceil(math.dist(start, end) / dot))
    for step in range(steps + 1):
        share = step / steps
        canvas.point(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]), marker=letter)


def _head(canvas: Canvas, line: Line, cell: float, ascii_only: bool) -> None:
    tip = line.points[-1]
    before = next((p for p in reversed(line.points[:-1]) if math.dist(p, tip) > cell), line.points[0])
    turn = math.atan2(tip[1] - before[1], tip[0] - before[0])
    if ascii_only:
        canvas.point(*tip, marker=">^<v"[round(turn / (0.5 * math.pi)) % 4])
        return
    for side in (-0.5, 0.5):
        back = turn + math.pi + side
        reach = HEAD_DOTS * 0.5 * cell
        canvas.line(*tip, tip[0] + reach * math.cos(back), tip[1] + reach * math.sin(back))


def _dashes(points: tuple[Point, ...], style: Style, unit: float) -> Iterator[tuple[Point, Point]]:
    """The pieces of a line that are drawn, dash by dash through its corners."""
    if style not in DASHES:
        yield from pairwise(points)
        return
    on, off = (part * unit for part in DASHES[style])
    travelled = 0.0
    for start, end in pairwise(points):
        length = math.dist(start, end)
        if length == 0.0:
            continue

        def at(way: float, a: Point = start, b: Point = end, whole: float = length) -> Point:
            share = min(max(way / whole, 0.0), 1.0)
            return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])

        first = math.floor(travelled / (on + off))
        for count in range(first, math.ceil((travelled + length) / (on + off))):
            begin = count * (on + off) - travelled
            finish = begin + on - unit  # a dot has its own width
            if finish >= 0.0 and begin <= length:
                yield at(begin), at(finish)
        travelled += length
