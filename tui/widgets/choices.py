"""The answers to a question: in a row where they fit, below each other where they don't; by key, mouse or finger."""

from __future__ import annotations

from collections.abc import Sequence

from arclore.tui.questions import Choice
from arclore.tui.widgets.text import plain
from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

DIGITS = "123456789"
KEYS = DIGITS + "abf"  # letters that nothing else uses, for a tenth choice and more
GAP, ROOMY_GAP = 1, 3  # cells between two choices of a row
ROOMY = "-roomy"  # class of an app that is used by fingers: each choice reaches over the line below it


class Choices(Widget):
    """Draws choices and says which one was clicked. What is chosen carries a mark and is bold."""

    HELP_TEXT = "Answers. Press the digit beside an answer, or click it."

    class Clicked(Message):
        """The choice of this index was clicked, in the row of this id."""

        def __init__(self, row: str, index: int, value: str) -> None:
            super().__init__()
            self.row = row
            self.index = index
            self.value = value

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._choices: tuple[Choice, ...] = ()
        self._chosen: frozenset[str] = frozenset()
        self._boxes = False
        self._keys: tuple[str, ...] = tuple(KEYS)

    def show(
        self, choices: Sequence[Choice], chosen: Sequence[str], boxes: bool = False, keys: Sequence[str] = KEYS
    ) -> None:
        """Show these choices, each with its key; ``boxes``: several may be chosen."""
        shown = (tuple(choices), frozenset(chosen), boxes, tuple(keys))
        if shown != (self._choices, self._chosen, self._boxes, self._keys):
            self._choices, self._chosen, self._boxes, self._keys = shown
            self.refresh(layout=True)

    @property
    def _gap(self) -> int:
        return ROOMY_GAP if self.app.has_class(ROOMY) else GAP

    def _label(self, index: int) -> Content:
        choice = self._choices[index]
        chosen = choice.value in self._chosen
        key = self._keys[index] if index < len(self._keys) else "."
        letter = f"/{choice.letter}" if choice.letter else ""
        box = ("[x] " if chosen else "[ ] ") if self._boxes else ""
        return Content.assemble(
            plain(f" {key}{letter} ", "bold reverse"),
            plain(f"{box}{choice.label}{' ✓' if chosen and not self._boxes else ''}", "bold" if chosen else ""),
        )

    def _in_row(self, width: int) -> bool:
        return not any(choice.note for choice in self._choices) and (
            sum(self._label(i).cell_length for i in range(len(self._choices))) + self._gap * (len(self._choices) - 1)
            <= width
        )

    def _laid(self, width: int) -> tuple[list[Content], list[list[tuple[int, int]]]]:
        """The lines, and for each line which choice begins at which cell."""
        below = [Content("")] if self.app.has_class(ROOMY) else []
        if not self._choices:
            return [], []
        if self._in_row(width):
            starts, x = [], 0
            for index in range(len(self._choices)):
                starts.append((x, index))
                x += self._label(index).cell_length + self._gap
            row = Content(" " * self._gap).join([self._label(i) for i in range(len(self._choices))])
            return [row, *below], [starts, *(starts for _ in below)]
        result: list[Content] = []
        places: list[list[tuple[int, int]]] = []
        for index, choice in enumerate(self._choices):
            label = self._label(index)
            head = label.cell_length - plain(choice.label).cell_length
            indent = " " * min(head, 6)
            own = _hung(label, indent, width)
            if choice.note:
                own += [Content.assemble(indent, line) for line in _hung(plain(choice.note), "", width - len(indent))]
            own += below
            result += own
            places += [[(0, index)] for _ in own]
        return result, places

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return len(self._laid(width)[0])

    def render(self) -> Content:
        return Content("\n").join(self._laid(self.size.width)[0])

    def on_click(self, event: events.Click) -> None:
        places = self._laid(self.size.width)[1]
        if 0 <= event.y < len(places):
            before = [index for start, index in places[event.y] if start <= event.x]
            if before:
                index = before[-1]
                self.post_message(self.Clicked(self.id or "", index, self._choices[index].value))


def _hung(text: Content, indent: str, width: int) -> list[Content]:
    """The text wrapped, its further lines indented."""
    first, *rest = text.wrap(max(width - len(indent), 8)) or [text]
    return [first.rstrip(), *(Content.assemble(indent, line.rstrip()) for line in rest)]
