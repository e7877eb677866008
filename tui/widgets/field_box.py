"""One field of a form: its name, what stands in it, and beneath it the problem that it has."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, ClassVar

from arclore.tui.form.fields import Field
from arclore.tui.widgets.text import lines, plain
from arclore.tui.widgets.typed import Line, Words
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, Static, TextArea

TYPED = ("text", "lines", "number")
MARKS = {"fill": "[ ]", "wrong": "[!]", "done": "[x]", "free": "   "}
KEYS = {
    "text": "Type. Enter or Tab: next field.",
    "lines": "Type, one a line. Tab: next field.",
    "number": "Type a number. Enter or Tab: next field.",
}
_NUMBER = re.compile(r"[-+]?[0-9]{1,15}")
_FRACTION = re.compile(r"[-+]?[0-9]{1,15}\.[0-9]{1,15}")


class Chosen(Static, can_focus=True):
    """What was chosen for a field; Enter, Space or a click opens the choice."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "open", "choose", show=False),
        Binding("down", "step(1)", "next field", show=False),
        Binding("up", "step(-1)", "field before", show=False),
    ]

    def action_open(self) -> None:
        self.post_message(Opened())

    def action_step(self, by: int) -> None:
        """Go to the field after or before."""
        if by > 0:
            self.screen.focus_next()
        else:
            self.screen.focus_previous()

    def on_click(self, event: events.Click) -> None:
        event.stop()
        self.action_open()


class Opened(Message):
    """The choice of a field is to be opened."""


class FieldBox(Vertical):
    """Says what was typed, or that a choice is to be opened; what that means is decided elsewhere."""

    class Typed(Message):
        """This value now stands in the field; None where it is empty."""

        def __init__(self, field: Field, value: Any) -> None:
            super().__init__()
            self.field = field
            self.value = value

    class Wanted(Message):
        """The choice of this field is to be opened."""

        def __init__(self, field: Field) -> None:
            super().__init__()
            self.field = field

    def __init__(self, field: Field, value: Any) -> None:
        super().__init__(id=f"box-{field.id}", classes="box")
        self.field = field
        self.value = value
        self.mark = "free"
        self.problem = ""
        self.chosen: Sequence[str] = ()

    def compose(self) -> ComposeResult:
        with Horizontal(classes="row"):
            yield Static(classes="name")
            if self.field.kind == "number":
                yield Line("" if self.value is None else _shown(self.value), compact=True, select_on_focus=False)
            elif self.field.kind in TYPED:
                text = "\n".join(self.value or ()) if self.field.kind == "lines" else str(self.value or "")
                yield Words(text, many=self.field.kind == "lines")
            else:
                yield Chosen(classes="chosen")
        yield Static(classes="problem")

    def on_mount(self) -> None:
        self._show()

    def set_value(self, value: Any) -> None:
        """Put a value into the field without saying so."""
        self.value = value
        with self.prevent(TextArea.Changed, Input.Changed):
            for area in self.query(Words):
                area.text = "\n".join(value or ()) if self.field.kind == "lines" else str(value or "")
            for line in self.query(Line):
                line.value = "" if value is None else _shown(value)

    def note(self, mark: str, problem: str, chosen: Sequence[str]) -> None:
        """Show the mark of the field's state, its problem, and for a choice what was chosen, a thing a line."""
        self.mark, self.problem, self.chosen = mark, problem, chosen
        if self.is_mounted:
            self._show()

    def _show(self) -> None:
        self.query_one(".name", Static).update(plain(f"{MARKS[self.mark]} {self.field.label}", "bold"))
        below = self.query_one(".problem", Static)
        below.update(plain(self.problem))
        below.display = bool(self.problem)
        for shown in self.query(Chosen):
            empty = plain("(Enter: choose)" if self.value is None else "none")
            shown.update(lines(*map(plain, self.chosen)) if self.chosen else empty)

    def to_focus(self) -> None:
        """Put the focus into the field."""
        for target in (*self.query(Words), *self.query(Line), *self.query(Chosen)):
            target.focus()
            self.screen.scroll_to_widget(self, animate=False)

    def typed(self) -> Any:
        """The value that stands in the field at this moment; for a choice, the one last taken."""
        for line in self.query(Line):
            return _number(line.value)
        for area in self.query(Words):
            rows = [" ".join(row.split()) for row in area.text.split("\n")]
            kept = [row for row in rows if row]
            if self.field.kind == "lines":
                return kept or ([] if self.field.needed and not self.field.least else None)
            return " ".join(kept) or None
        return self.value

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self._took()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.screen.focus_next()

    def on_text_area_changed(self, event: TextArea.Changed) -> None:
        event.stop()
        self._took()

    def on_opened(self, event: Opened) -> None:
        event.stop()
        self.post_message(self.Wanted(self.field))

    def _took(self) -> None:
        value = self.typed()
        if value != self.value or type(value) is not type(self.value):
            self.value = value
            self.post_message(self.Typed(self.field, value))


class About(Static):
    """What the focused field is for."""

    def present(self, field: Field | None) -> None:
        """Say it; nothing where no field has the focus."""
        if field is None:
            self.update(Content(""))
            return
        keys = KEYS.get(field.kind, "Enter: choose. Tab: next field.")
        optional = "" if field.needed else " May stay empty."
        self.update(plain(f"{field.label}: {field.about.rstrip('.')}.{optional} {keys}"))


def _shown(value: Any) -> str:
    return f"{value:.12g}" if isinstance(value, float) else str(value)


def _number(text: str) -> Any:
    """The number that was typed, or the text as it is where it is none."""
    text = text.strip()
    if _NUMBER.fullmatch(text):
        return int(text)
    return float(text) if _FRACTION.fullmatch(text) else text or None
