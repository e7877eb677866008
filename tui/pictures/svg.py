"""A plate as SVG: black on white, line styles and words carry the meaning, made to print.

The elements are built as a tree, so every text is escaped; it holds no style sheet, no ids and no links, and
may stand in a page beside others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from xml.etree import ElementTree

from arclore.engine.library.problems import printable
from arclore.tui.pictures.layout import placed, wrapped
from arclore.tui.pictures.plate import Panel, Plate
from arclore.tui.pictures.scene import Line, Mark, Point, Scene, Style, Words

NAMESPACE = "http://www.w3.org/2000/svg"
FONT = "Georgia, 'DejaVu Serif', 'Liberation Serif', serif"
WIDTH, MARGIN, GAP = 900.0, 28.0, 36.0
TEXT, TITLE, LINE = 14.0, 20.0, 19.0  # sizes of letters and the distance of lines
LETTER = 0.56  # mean width of a letter over its size, on the safe side
TALLEST = 430.0  # of one scene
STROKES: dict[Style, tuple[float, str]] = {
    "solid": (1.7, ""),
    "heavy": (3.2, ""),
    "dashed": (1.9, "8 5"),
    "dotted": (1.5, "1.5 5"),
    "fine": (0.8, "3 2"),
}


def as_svg(*plates: Plate) -> str:
    """The plates one under another as one SVG document, without an XML declaration."""
    root = ElementTree.Element("svg", {"xmlns": NAMESPACE, "role": "img", "font-family": FONT, "fill": "black"})
    ElementTree.SubElement(root, "title").text = printable(plates[0].title)
    told = [words for plate in plates for row in plate.rows for panel in row for words in panel.sentences]
    if told:
        ElementTree.SubElement(root, "desc").text = printable(" ".join(told))
    paper = ElementTree.SubElement(root, "rect", {"fill": "white"})
    y = MARGIN
    for plate in plates:
        for line in _lines(plate.title, WIDTH - 2 * MARGIN, TITLE):
            y += 1.2 * TITLE
            _text(root, MARGIN, y, line, TITLE)
        for row in plate.rows:
            y = _row(root, row, y + GAP * 0.6)
        y += GAP
    y -= GAP
    size = {"width": _number(WIDTH), "height": _number(y + MARGIN)}
    paper.attrib.update(size)
    root.attrib.update({**size, "viewBox": f"0 0 {size['width']} {size['height']}"})
    return ElementTree.tostring(root, encoding="unicode") + "\n"


def _row(root: ElementTree.Element, row: tuple[Panel, ...], top: float) -> float:
    """Draw panels side by side, their pictures level with each other; the y below the lowest."""
    room = WIDTH - 2 * MARGIN - GAP * (len(row) - 1)
    needed = sum(panel.columns for panel in row)
    widths = [room * panel.columns / needed for panel in row]
    if len(row) == 1:
        widths = [min(room, 760.0)]
    captions = [
        [
            _lines(f"{panel.title} ({panel.scene.scale})", width, TEXT),
            [line for sentence in panel.sentences for line in _lines(sentence, width, TEXT)],
        ]
        for panel, width in zip(row, widths, strict=True)
    ]
    drawings = top + LINE * (0.6 + max(len(name) + len(told) for name, told in captions))
    x, bottom = MARGIN, drawings
    for panel, width, caption in zip(row, widths, captions, strict=True):
        y = top
        for lines, slant in zip(caption, ("italic", "normal"), strict=True):
            for line in lines:
                y += LINE
                _text(root, x, y, line, TEXT, **{"font-style": slant})
        bottom = max(bottom, _scene(root, panel.scene, x, drawings, width))
        x += width + GAP
    return bottom


@dataclass(frozen=True)
class _View:
    """Page metres to the drawing's pixels."""

    scale: float
    left: float
    top: float
    low: Point
    high: Point

    def at(self, point: Point) -> Point:
        return self.left + (point[0] - self.low[0]) * self.scale, self.top + (self.high[1] - point[1]) * self.scale


def _scene(root: ElementTree.Element, scene: Scene, x: float, y: float, width: float) -> float:
    """Draw a scene into this width; the y below it, with the room for words at its edges."""
    wide, tall = (scene.high[axis] - scene.low[axis] for axis in (0, 1))
    scale = min(width / wide, TALLEST / tall)
    room = 0.5 * (width - wide * scale)
    border = 0.5 * TEXT
    view = _View(scale, x + room, y + border, scene.low, scene.high)
    group = ElementTree.SubElement(root, "g")
    for item in scene.items:
        if isinstance(item, Line):
            _line(group, item, view)
        elif isinstance(item, Mark):
            _mark(group, item, view)
    words = [item for item in scene.items if isinstance(item, Words)]
    low = (scene.low[0] - room / scale, scene.low[1] - border / scale)
    high = (scene.high[0] + room / scale, scene.high[1] + border / scale)
    marks = [item.at for item in scene.items if isinstance(item, Mark)]
    halo = {"stroke": "white", "stroke-width": "4", "stroke-linejoin": "round", "paint-order": "stroke"}
    for label in placed(words, (LETTER * TEXT / scale, 1.15 * TEXT / scale), low, high, marks):
        at = view.at((label.x + 0.5 * label.width, label.y))
        _text(group, at[0], at[1] + 0.35 * TEXT, label.text, TEXT, **{"text-anchor": "middle", **halo})
    return y + tall * scale + 2.0 * border


def _line(group: ElementTree.Element, line: Line, view: _View) -> None:
    width, dash = STROKES[line.style]
    points = [view.at(point) for point in line.points]
    attributes = {
        "points": " ".join(f"{_number(x)},{_number(y)}" for x, y in points),
        "fill": "none",
        "stroke": "black",
        "stroke-width": _number(width),
        "stroke-linecap": "butt" if dash else "round",
        "stroke-linejoin": "round",
    }
    if dash:
        attributes["stroke-dasharray"] = dash
    ElementTree.SubElement(group, "polyline", attributes)
    if line.arrow:
        _head(group, points)


def _head(group: ElementTree.Element, points: list[Point]) -> None:
    tip = points[-1]
    before = next((point for point in reversed(points[:-1]) if math.dist(point, tip) > 6.0), points[0])
    turn = math.atan2(tip[1] - before[1], tip[0] - before[0])
    corners = [tip]
    for side in (-0.32, 0.32):
        back = turn + math.pi + side
        corners.append((tip[0] + 13.0 * math.cos(back), tip[1] + 13.0 * math.sin(back)))
    shape = " ".join(f"{_number(x)},{_number(y)}" for x, y in corners)
    ElementTree.SubElement(group, "polygon", {"points": shape, "fill": "black"})


def _mark(group: ElementTree.Element, mark: Mark, view: _View) -> None:
    x, y = view.at(mark.at)
    size = 5.0
    if mark.sign == "o":
        ElementTree.SubElement(
            group,
            "circle",
            {"cx": _number(x), "cy": _number(y), "r": _number(size), "fill": "none", "stroke": "black"},
        )
        return
    arms = ((1, 1), (1, -1)) if mark.sign == "x" else ((1, 0), (0, 1))
    path = " ".join(
        f"M{_number(x - a * size)} {_number(y - b * size)}L{_number(x + a * size)} {_number(y + b * size)}"
        for a, b in arms
    )
    ElementTree.SubElement(group, "path", {"d": path, "stroke": "black", "stroke-width": "2"})


def _text(parent: ElementTree.Element, x: float, y: float, text: str, size: float, **more: str) -> None:
    attributes = {"x": _number(x), "y": _number(y), "font-size": _number(size), **more}
    ElementTree.SubElement(parent, "text", attributes).text = printable(text)


def _lines(text: str, width: float, size: float) -> list[str]:
    return wrapped(text, max(8, int(width / (LETTER * size * 0.92))))


def _number(value: float) -> str:
    """A finite number with at most two decimals. Raises ValueError for any other: no drawing holds a NaN."""
    if not math.isfinite(value):
        raise ValueError(f"a picture has a coordinate that is not a finite number: {value}")
    return f"{value:.2f}".rstrip("0").rstrip(".")
