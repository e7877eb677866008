"""A plate as plain text: sentences wrapped over pictures, side by side where the width allows."""

from __future__ import annotations

from itertools import zip_longest

from arclore.engine.library.problems import printable
from arclore.tui.pictures.layout import cells, wrapped
from arclore.tui.pictures.plate import NARROW, Panel, Plate
from arclore.tui.pictures.terminal import draw, plain_text

GAP = 3  # columns between panels
NARROWEST = 24
MOST_WIDENING = 1.35  # a panel grows no further than this times the columns it needs
TALLEST = 26


def as_text(plate: Plate, columns: int, *, ascii_only: bool = False) -> list[str]:
    """The plate in so many columns (at least 24); no line is longer."""
    columns = max(columns, NARROWEST)
    lines = _wrapped(plate.title, columns, ascii_only)
    for row in plate.rows:
        needed = sum(panel.columns for panel in row) + GAP * (len(row) - 1)
        if needed <= columns:
            share = min(MOST_WIDENING, (columns - GAP * (len(row) - 1)) / (needed - GAP * (len(row) - 1)))
            panels = [_panel(panel, int(panel.columns * share), ascii_only) for panel in row]
            lines += ["", *_beside(panels)]
        else:
            for panel in row:
                width = min(columns, int(panel.columns * (1.6 if panel.columns == NARROW else MOST_WIDENING)))
                words, drawing = _panel(panel, width, ascii_only)
                lines += ["", *words, *drawing]
    return lines


def _panel(panel: Panel, columns: int, ascii_only: bool) -> tuple[list[str], list[str]]:
    """Words and drawing of a panel."""
    words = _wrapped(f"{panel.title} ({panel.scene.scale})", columns, ascii_only)
    for sentence in panel.sentences:
        words += _wrapped(sentence, columns, ascii_only)
    return words, draw(panel.scene, columns, TALLEST, ascii_only=ascii_only)


def _wrapped(text: str, columns: int, ascii_only: bool) -> list[str]:
    return wrapped(plain_text(printable(text), ascii_only), columns)


def _beside(panels: list[tuple[list[str], list[str]]]) -> list[str]:
    """Panels next to each other, their drawings beginning on one line."""
    most = max(len(words) for words, _ in panels)
    columns = [[*words, *[""] * (most - len(words)), *drawing] for words, drawing in panels]
    widths = [max(map(cells, column)) for column in columns]
    return [
        (" " * GAP).join(line + " " * (width - cells(line)) for line, width in zip(row, widths, strict=True)).rstrip()
        for row in zip_longest(*columns, fillvalue="")
    ]
