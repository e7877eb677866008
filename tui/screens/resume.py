"""Unfinished lessons are offered again, newest first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import ClassVar

from arclore.tui.keys import RESUME
from arclore.tui.lesson_store import Saved
from arclore.tui.questions import CLUB_WORDS, Choice
from arclore.tui.screens.sheet import Helped
from arclore.tui.screens.sized import TooSmall
from arclore.tui.widgets.choices import DIGITS, Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static


class ResumeScreen(Helped, ModalScreen[Saved | None]):
    """Dismissed with the lesson to go on with, or None for a new one."""

    DEEDS = RESUME
    HELP_TEXT = "Lessons that were left or cut off. Go on with one by its digit, or begin a new one."
    BINDINGS: ClassVar[list[BindingType]] = [
        *(deed.binding("resume") for deed in RESUME),
        Binding("q", "app.leave", "quit"),
    ]

    def __init__(self, found: Sequence[Saved]) -> None:
        super().__init__()
        self.found = found

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet"):
            yield Static(lines(heading("An unfinished lesson"), "Go on with it, or begin a new one?"))
            yield Choices(id="lessons")
        yield SteadyFooter()

    def on_mount(self) -> None:
        choices = {DIGITS[i]: Choice(str(i), described(saved)) for i, saved in enumerate(self.found)}
        choices["n"] = Choice("-1", "begin a new lesson; these are kept")
        self.query_one(Choices).show(list(choices.values()), (), keys=list(choices))

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_take(int(event.value))

    def action_take(self, number: int) -> None:
        if number < len(self.found):
            self.dismiss(self.found[number] if number >= 0 else None)


def described(saved: Saved) -> str:
    """An unfinished lesson in a line: its clubs, its answers, when it was last saved."""
    clubs = ", ".join(CLUB_WORDS.get(club, club) for club in saved.lesson.clubs) or "no club yet"
    count = saved.lesson.done
    return f"{clubs}; {count} {'answer' if count == 1 else 'answers'}; {moment(saved.when)}"


def moment(when: datetime) -> str:
    """A day and time in words."""
    day = "today" if when.date() == datetime.now().date() else f"on {when:%d %B %Y}"
    return f"{day} at {when:%H:%M}"
