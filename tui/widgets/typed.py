"""Fields for typing in which nothing that a terminal acts on can stand: such a character turns into its escape."""

from __future__ import annotations

from dataclasses import replace

from arclore.engine.library.problems import printable
from textual import events
from textual.document._edit import Edit
from textual.widgets import Input, TextArea
from textual.widgets.text_area import EditResult


def literal(text: str) -> str:
    """The text as it may stand on a screen, its line ends kept."""
    return "\n".join(printable(line) for line in text.replace("\r\n", "\n").replace("\t", " ").split("\n"))


class Line(Input):
    """One line, for a number or a name."""

    def validate_value(self, value: str) -> str:
        return literal(value).replace("\n", " ")


class Words(TextArea):
    """Text that grows with what is typed. Enter, and Up and Down at its ends, go to the next field.

    Where many lines are asked, these keys stay in the text, and Tab goes on.
    """

    def __init__(self, text: str = "", many: bool = False, id: str | None = None) -> None:  # noqa: A002
        super().__init__(literal(text), id=id, compact=True, highlight_cursor_line=False)
        self.many = many

    def edit(self, edit: Edit) -> EditResult:
        return super().edit(replace(edit, text=literal(edit.text)))

    async def _on_key(self, event: events.Key) -> None:
        steps = {"up": self.cursor_at_first_line, "down": self.cursor_at_last_line, "enter": True}
        if not self.many and steps.get(event.key, False):
            event.stop()
            event.prevent_default()
            if event.key == "up":
                self.screen.focus_previous()
            else:
                self.screen.focus_next()
            return
        await super()._on_key(event)
