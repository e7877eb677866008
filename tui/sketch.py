"""Two strokes side by side in few lines: from above, then face-on, as a pane of the desk shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest

from arclore.engine.quantities import Handed
from arclore.tui.pictures.from_above import at_ball
from arclore.tui.pictures.ground import GREEN, ground
from arclore.tui.pictures.layout import cells
from arclore.tui.pictures.scene import Scene, framed_alike
from arclore.tui.pictures.stroke import Stroke
from arclore.tui.pictures.terminal import draw, plain_text

GAP = 2
ABOVE_ROWS, FACE_ON_ROWS = 13, 8
FACE_ON_COLUMNS = 34  # that a face-on picture needs to be read; with fewer, two stand one over the other
KEY = "solid: going; dashed: looking; heavy: face; x: low point"
ASCII_KEY = "*: going; o: looking; #: face; x: low point"
GREEN_KEY = "putt: dashed: sliding; solid: rolling; x: stops"
ASCII_GREEN_KEY = "putt: o: sliding; *: rolling; x: stops"


def sketch(strokes: Sequence[Stroke], handed: Handed, columns: int, plain: bool) -> list[str]:
    """The strokes, one or two, from above and face-on, each pair to one scale, in lines of at most so many columns."""
    below = on_ground(strokes, handed, columns, plain)
    lines = from_above(strokes, handed, columns, plain)
    keys = _key(ASCII_KEY if plain else KEY, columns)
    if all(stroke.rolled for stroke in strokes):
        keys += _key(ASCII_GREEN_KEY if plain else GREEN_KEY, columns)
    return [*lines, *(["", *below] if below else []), "", *keys]


def on_ground(strokes: Sequence[Stroke], handed: Handed, columns: int, plain: bool) -> list[str]:
    """The second picture of a sketch alone: face-on with the ground or sand, or a putt on the green."""
    found = ground(strokes)
    if found is None:
        return []
    title, scenes = found
    share = _share(strokes, columns)
    on_green = title == GREEN
    wide = share if on_green or share >= FACE_ON_COLUMNS else columns
    rows = ABOVE_ROWS if on_green else FACE_ON_ROWS
    drawn = [_trimmed(draw(scene, wide, rows, ascii_only=plain)) for scene in _turned(scenes, handed)]
    named = [[_name(stroke.label, share, plain), *d] for stroke, d in zip(strokes, drawn, strict=True)]
    heading = "The putt, the hole up the page" if on_green else "Face-on"
    return [heading, *(_beside(named, share) if wide == share else [row for part in named for row in part])]


def from_above(strokes: Sequence[Stroke], handed: Handed, columns: int, plain: bool) -> list[str]:
    """The first picture of a sketch alone."""
    share = _share(strokes, columns)
    drawn = [draw(scene, share, ABOVE_ROWS, ascii_only=plain) for scene in _turned(map(at_ball, strokes), handed)]
    seen = [[_name(stroke.label, share, plain), *rows] for stroke, rows in zip(strokes, drawn, strict=True)]
    return ["From above, the target up the page", *_beside(seen, share)]


def _share(strokes: Sequence[Stroke], columns: int) -> int:
    return (columns - GAP * (len(strokes) - 1)) // len(strokes)


def _turned(scenes: Iterable[Scene], handed: Handed) -> list[Scene]:
    return [scene.mirrored() if handed == "left" else scene for scene in framed_alike(scenes)]


def _name(text: str, columns: int, plain: bool) -> str:
    return plain_text(text, plain)[:columns]


def _key(key: str, columns: int) -> list[str]:
    lines = [""]
    for part in key.split("; "):
        joined = f"{lines[-1]}; {part}" if lines[-1] else part
        lines[-1:] = [joined] if len(joined) <= columns else [lines[-1], part]
    return lines


def _trimmed(rows: list[str]) -> list[str]:
    """The drawing without the empty rows over it."""
    first = next((place for place, row in enumerate(rows) if row), 0)
    return rows[first:]


def _beside(parts: Sequence[list[str]], share: int) -> list[str]:
    """Parts next to each other, each in its share of the columns."""
    rows = zip_longest(*parts, fillvalue="")
    return [(" " * GAP).join(part + " " * (share - cells(part)) for part in row).rstrip() for row in rows]
