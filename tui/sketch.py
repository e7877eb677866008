"""Two strokes side by side in few lines: from above, then face-on, as a pane of the desk shows them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest

from arclore.engine.quantities import Handed
from arclore.tui.pictures.face_on import face_on
from arclore.tui.pictures.from_above import at_ball
from arclore.tui.pictures.layout import cells
from arclore.tui.pictures.scene import Scene, framed_alike
from arclore.tui.pictures.stroke import Stroke
from arclore.tui.pictures.terminal import draw, plain_text

GAP = 2
ABOVE_ROWS, FACE_ON_ROWS = 13, 8
FACE_ON_COLUMNS = 34  # that a face-on picture needs to be read; with fewer, two stand one over the other
KEY = "solid: going; dashed: looking; heavy: face; x: low point"
ASCII_KEY = "*: going; o: looking; #: face; x: low point"


def sketch(strokes: Sequence[Stroke], handed: Handed, columns: int, plain: bool) -> list[str]:
    """The strokes, one or two, from above and face-on, each pair to one scale, in lines of at most so many columns."""
    share = _share(strokes, columns)
    names = [_name(stroke.label, share, plain) for stroke in strokes]
    lines = from_above(strokes, handed, columns, plain)
    stances = [stroke.stance for stroke in strokes if stroke.stance is not None]
    if len(stances) == len(strokes):
        scenes = _turned((face_on(stroke, stance) for stroke, stance in zip(strokes, stances, strict=True)), handed)
        wide = share if share >= FACE_ON_COLUMNS else columns
        drawn = [_trimmed(draw(scene, wide, FACE_ON_ROWS, ascii_only=plain)) for scene in scenes]
        named = [[n, *d] for n, d in zip(names, drawn, strict=True)]
        lines += ["", "Face-on", *(_beside(named, share) if wide == share else [row for part in named for row in part])]
    return [*lines, "", *_key(columns, plain)]


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


def _key(columns: int, plain: bool) -> list[str]:
    parts = (ASCII_KEY if plain else KEY).split("; ")
    lines = [""]
    for part in parts:
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
