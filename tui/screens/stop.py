"""The stop: a safety question was answered with yes. Nothing is ranked and no drill is offered."""

from __future__ import annotations

from typing import ClassVar

from arclore.tui.keys import STOP
from arclore.tui.questions import Choice
from arclore.tui.screens.sheet import Helped
from arclore.tui.screens.sized import TooSmall
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

WAYS = {
    "u": Choice("undo", "take the answer back: it was a slip"),
    "N": Choice("new", "end this lesson and begin a new one"),
    "q": Choice("quit", "quit; the lesson is kept"),
}


class StopScreen(Helped, ModalScreen[str]):
    """Says to stop, and offers the way back for a slip of the finger. Dismissed with undo, new or quit."""

    DEEDS = STOP
    HELP_TEXT = "The lesson stops here. Nothing is ranked before a licensed health professional has looked at it."
    BINDINGS: ClassVar[list[BindingType]] = [
        *(deed.binding("stop") for deed in STOP),
        Binding("q", "leave('quit')", "quit"),
    ]

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet"):
            yield Static(lines(heading("STOP"), plain(self.text, "bold")), id="stop")
            yield Choices(id="ways")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.query_one(Choices).show(list(WAYS.values()), (), keys=list(WAYS))

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.dismiss(event.value)

    def action_leave(self, way: str) -> None:
        self.dismiss(way)
