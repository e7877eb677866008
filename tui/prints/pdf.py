"""A sheet as a PDF. Type is made as large as fits; what does not fit at the smallest goes on, and is never cut."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from arclore.tui.prints.cards import WALL_COLUMNS, Card, Sheet

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "sans"
LEADING = 1.22
MM = 25.4 / 72  # of a point
SEVERAL_SHEETS_PT = 14.0  # on the wall, where one sheet can't hold all
NO_SHAPE = "?"


@dataclass(frozen=True)
class _Part:
    """A paragraph: its text, bold or not, its size against the card's, and the room above it in lines."""

    text: str
    bold: bool = False
    size: float = 1.0
    above: float = 0.0
    bar: bool = False


@dataclass(frozen=True)
class _Paper:
    """A page and the boxes that are filled on it, in mm; text keeps ``pad`` from a box's edge."""

    form: tuple[float, float]  # width and height
    boxes: tuple[tuple[float, float, float, float], ...]  # left, top, width, height
    pad: float
    sizes: tuple[float, ...]  # of type, the largest first


def wall_paper(cards: int) -> _Paper:
    """A sheet of A3 in columns, for so many cards."""
    count, gap = min(max(cards, 1), WALL_COLUMNS), 8.1
    width = (396 - gap * (count - 1)) / count
    boxes = tuple((12 + (width + gap) * n, 32.0, width, 237.0) for n in range(count))
    return _Paper((420, 297), boxes, 0, tuple(range(60, 10, -1)))


POCKET = _Paper(
    (297, 210),
    tuple((74.25 * column, 105.0 * row, 74.25, 105.0) for row in range(2) for column in range(4)),
    4.5,
    (9.5, 9, 8.5, 8, 7.5, 7, 6.5),
)


def as_pdf(sheet: Sheet, form: str) -> tuple[bytes, int]:
    """The PDF for the ``wall`` or the ``pocket``, and how many letters in it have no shape in its font."""
    from fpdf import FPDF

    paper = wall_paper(len(sheet.cards)) if form == "wall" else POCKET
    pdf = FPDF(unit="mm", format=(paper.form[1], paper.form[0]), orientation="landscape")
    pdf.set_title(sheet.title)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.c_margin = 0
    spec = find_spec("font_source_sans_pro")
    assert spec is not None
    assert spec.origin is not None
    for style, name in (("", "Regular"), ("B", "Bold")):
        pdf.add_font(FONT, style, Path(spec.origin).parent / "files" / f"SourceSansPro-{name}.ttf")
    pdf.add_page()  # text can be measured on a page only
    writer = _Writer(pdf)
    if form == "wall":
        _wall(writer, sheet, paper)
    else:
        _pocket(writer, sheet, paper)
    return bytes(pdf.output()), writer.missing


class _Writer:
    """Puts parts on a page, and says beforehand how high they come to be."""

    def __init__(self, pdf: FPDF) -> None:
        from fpdf.fonts import TTFFont

        self.pdf = pdf
        self.missing = 0
        font = pdf.fonts[FONT]
        assert isinstance(font, TTFFont)
        self.shapes = set(font.cmap)
        self.widths: dict[tuple[str, bool], float] = {}

    def height(self, parts: Iterable[_Part], width: float, size: float) -> float:
        """How high the parts stand at this size of type, in mm."""
        return sum(_line(part, size) * (len(self._lines(part, width, size)) + part.above) for part in parts)

    def put(self, parts: Iterable[_Part], left: float, top: float, width: float, size: float) -> float:
        """Write the parts; returns where they end."""
        for part in parts:
            self.missing += sum(ord(c) not in self.shapes for c in part.text)
            top = self._write(part, left, top, width, size)
        return top

    def _write(self, part: _Part, left: float, top: float, width: float, size: float) -> float:
        lines, line, indent = self._lines(part, width, size), _line(part, size), _indent(part, size)
        top += line * part.above
        if part.bar:
            self.pdf.set_fill_color(0)
            self.pdf.rect(left, top, indent / 4, line * len(lines), style="F")
        self.pdf.set_font(FONT, "B" if part.bold else "", part.size * size)
        for number, text in enumerate(lines):
            shown = "".join(c if ord(c) in self.shapes else NO_SHAPE for c in text)
            if shown.strip():
                self.pdf.set_xy(left + indent, top + number * line)
                self.pdf.cell(text=shown, h=line)
        return top + line * len(lines)

    def _lines(self, part: _Part, width: float, size: float) -> list[str]:
        """The text in lines no wider than that; a word that is wider is parted."""
        room = (width - _indent(part, size)) / (part.size * size * MM)
        space = self._width(" ", part.bold)
        lines, used = [""], 0.0
        for word in part.text.split(" "):
            wide = self._width(word, part.bold)
            if used and used + space + wide > room:
                lines.append("")
                used = 0.0
            if wide > room:
                *whole, word = self._parted(word, part.bold, room)
                lines[-1:] = [*whole, ""]
                wide = self._width(word, part.bold)
            lines[-1] += f" {word}" if used else word
            used += wide + (space if used else 0.0)
        return lines

    def _parted(self, word: str, bold: bool, room: float) -> list[str]:
        pieces, used = [""], 0.0
        for letter in word:
            wide = self._width(letter, bold)
            if pieces[-1] and used + wide > room:
                pieces.append("")
                used = 0.0
            pieces[-1] += letter
            used += wide
        return pieces

    def _width(self, word: str, bold: bool) -> float:
        """How wide a word is against the size of its type."""
        if (word, bold) not in self.widths:
            self.pdf.set_font(FONT, "B" if bold else "", 100)
            shown = "".join(c if ord(c) in self.shapes else NO_SHAPE for c in word)
            self.widths[word, bold] = self.pdf.get_string_width(shown) / (100 * MM)
        return self.widths[word, bold]


def _line(part: _Part, size: float) -> float:
    return part.size * size * MM * LEADING


def _indent(part: _Part, size: float) -> float:
    """What a bar beside the text takes."""
    return size * MM if part.bar else 0.0


def _wall(writer: _Writer, sheet: Sheet, paper: _Paper) -> None:
    blocks = [_wall_parts(card, sheet.own_care(card)) for card in sheet.cards] or [[_Part("Nothing is approved yet.")]]
    pages = _laid(writer, blocks, paper)
    left, width = paper.boxes[0][0], paper.form[0] - 2 * paper.boxes[0][0]
    for number, columns in enumerate(pages, start=1):
        if number > 1:
            writer.pdf.add_page()
        more = f"  Sheet {number} of {len(pages)}." if len(pages) > 1 else ""
        writer.put([_Part(sheet.title, True), _Part(sheet.about + more, size=0.6)], left, 10, width, 22)
        for box, column in zip(paper.boxes, columns, strict=False):
            top = box[1]
            for block in column:
                writer.pdf.set_line_width(0.6)
                writer.pdf.line(box[0], top, box[0] + box[2], top)
                top = writer.put(block.parts, box[0], top, box[2], block.size)
        writer.put([_Part(" ".join(sheet.always), bar=True)], left, 272, width, 11.5)


@dataclass(frozen=True)
class _Block:
    """The parts of one card, the size of their type, and how high they stand."""

    parts: list[_Part]
    size: float
    height: float


def _laid(writer: _Writer, cards: Sequence[list[_Part]], paper: _Paper) -> list[list[list[_Block]]]:
    """The columns of each page, at the largest size at which one page holds all; where none does, of more pages."""
    width, room = paper.boxes[0][2:]

    def block(parts: list[_Part], size: float) -> _Block:
        while (height := writer.height(parts, width, size)) > room:
            size *= 0.9  # a card that is higher than the sheet stands smaller by itself
        return _Block(parts, size, height)

    def pages(size: float) -> list[list[list[_Block]]]:
        return _columns([block(parts, size) for parts in cards], room, len(paper.boxes))

    found = pages(_largest(paper.sizes, lambda size: len(pages(size)) == 1))
    return found if len(found) == 1 else pages(SEVERAL_SHEETS_PT)


def _columns(blocks: Sequence[_Block], height: float, each: int) -> list[list[list[_Block]]]:
    """The blocks column by column, so many a page, none of them parted."""
    columns: list[list[_Block]] = [[]]
    room = height
    for block in blocks:
        if block.height > room:
            columns.append([])
            room = height
        columns[-1].append(block)
        room -= block.height
    return [columns[start : start + each] for start in range(0, len(columns), each)]


def _largest(sizes: Sequence[float], fits: Callable[[float], bool]) -> float:
    """The largest size that fits, by halving; the smallest where none does. Sizes fall."""
    low, high = 0, len(sizes) - 1
    while low < high:
        middle = (low + high) // 2
        if fits(sizes[middle]):
            high = middle
        else:
            low = middle + 1
    return sizes[high]


def _pocket(writer: _Writer, sheet: Sheet, paper: _Paper) -> None:
    cards = [piece for card in sheet.cards for piece in _pieces(writer, _pocket_parts(card), paper)]
    for number, (size, parts) in enumerate(cards or [(9.5, [_Part("Nothing is approved yet.")])]):
        place = number % len(paper.boxes)
        if number and place == 0:
            writer.pdf.add_page()
        left, top, width, height = paper.boxes[place]
        writer.pdf.set_line_width(0.1)
        writer.pdf.set_draw_color(120)
        writer.pdf.set_dash_pattern(dash=1.5, gap=1.5)
        writer.pdf.rect(left, top, width, height)
        writer.put(parts, left + paper.pad, top + paper.pad, width - 2 * paper.pad, size)


def _pieces(writer: _Writer, parts: list[_Part], paper: _Paper) -> list[tuple[float, list[_Part]]]:
    """One card with its size of type, or at the smallest as many as it takes, each with the title."""
    width, height = paper.boxes[0][2] - 2 * paper.pad, paper.boxes[0][3] - 2 * paper.pad

    def fits(some: list[_Part], size: float) -> bool:
        return writer.height(some, width, size) <= height

    size = _largest(paper.sizes, lambda size: fits(parts, size))
    if fits(parts, size):
        return [(size, parts)]
    head, pieces = parts[0], [[parts[0]]]
    for part in parts[1:]:
        if not fits([*pieces[-1], part], size):
            pieces.append([head])
        pieces[-1].append(part)
    return [
        (size, [_Part(f"{head.text} ({number} of {len(pieces)})", True, head.size), *piece[1:]])
        for number, piece in enumerate(pieces, start=1)
    ]


def _wall_parts(card: Card, care: Sequence[str]) -> list[_Part]:
    return [
        _Part(card.title, above=0.25),
        _Part(card.say, True, 1.25, 0.1),
        *(_Part(f"{label}: {text}", size=0.8, above=0.15) for label, text in card.facts),
        *([_Part(" ".join(care), size=0.8, above=0.25, bar=True)] if care else []),
        _Part(card.foot, not card.approved, 0.5 if card.approved else 0.7, 0.3),
        _Part(" ", size=0.5),
    ]


def _pocket_parts(card: Card) -> list[_Part]:
    return [
        _Part(card.title, True, 1.1),
        _Part(card.say, True, 1.25, 0.3),
        *(_Part(text, above=0.3, bar=True) for text in card.care),
        *(_Part(f"{number}. {step}", above=0.25) for number, step in enumerate(card.steps, start=1)),
        *(_Part(f"{label}: {text}", above=0.25) for label, text in (*card.facts, *card.needs)),
        _Part(card.foot, not card.approved, 0.75, 0.5),
    ]


