"""Earlier lessons: go on with one, open its next visit, take a copy, delete it."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from arclore.tui.keys import LESSONS
from arclore.tui.lesson_store import Saved, Store
from arclore.tui.questions import Choice
from arclore.tui.screens.resume import described
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.take_home import usual_folder
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

WAYS = {"y": Choice("y", "delete it for good"), "n": Choice("n", "keep it")}
EMPTY = "No earlier lesson is kept on this machine."


class LessonsScreen(Sheet):
    """``chosen`` is handed a finished lesson for its next visit, or an unfinished one to go on with."""

    DEEDS = LESSONS
    HELP_TEXT = (
        "Earlier lessons, newest first, kept on this machine only. Enter opens the next visit of a finished one, or "
        "goes on with an unfinished one; x saves a copy, D deletes it after asking once."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *(deed.binding("lessons") for deed in LESSONS),
        Binding("y", "sure(True)", show=False),
        Binding("n", "sure(False)", show=False),
    ]

    def __init__(self, store: Store, chosen: Callable[[Saved], None]) -> None:
        super().__init__()
        self.store = store
        self.chosen = chosen
        self.found: list[Saved] = []
        self.doomed: Saved | None = None

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="lessons"):
            yield Static(id="lessons-say")
            yield Choices(id="sure")
            yield OptionList(id="kept")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.show_all("Enter: next visit, or go on. x: save a copy. D: delete.")
        self.query_one("#kept").focus()

    def show_all(self, says: str) -> None:
        """The lessons as they are on disk, and one line over them."""
        self.found = self.store.all()
        ways = WAYS if self.doomed else {}
        self.query_one("#lessons-say", Static).update(lines(heading("Earlier lessons"), plain(says, "bold")))
        self.query_one("#sure", Choices).show(list(ways.values()), (), keys=list(ways))
        listed = self.query_one("#kept", OptionList)
        place = listed.highlighted or 0
        listed.clear_options()
        listed.add_options([Option(plain(_row(saved))) for saved in self.found] or [Option(EMPTY, disabled=True)])
        listed.highlighted = min(place, len(self.found) - 1) if self.found else None

    @property
    def marked(self) -> Saved | None:
        place = self.query_one("#kept", OptionList).highlighted
        return self.found[place] if place is not None and place < len(self.found) else None

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if self.marked is not None and self.doomed is None:
            saved = self.marked
            self.dismiss()
            self.chosen(saved)

    def action_copy(self) -> None:
        """Save a copy of the marked lesson among the user's documents."""
        if self.marked is None:
            return
        try:
            path = self.store.export(self.marked, usual_folder())
        except OSError as problem:
            self.show_all(f"It could not be saved: {problem.strerror or problem}")
            return
        self.show_all(f"A copy is in {path}")

    def action_delete(self) -> None:
        """Ask once whether the marked lesson is to go."""
        self.doomed = self.marked
        if self.doomed is not None:
            self.show_all(f"Delete this lesson for good? {described(self.doomed)}")

    def action_sure(self, sure: bool) -> None:
        doomed, self.doomed = self.doomed, None
        if doomed is None:
            return
        says = "It is kept."
        if sure:
            try:
                self.store.delete(doomed)
                says = "It is deleted."
            except OSError as problem:
                says = f"It could not be deleted: {problem.strerror or problem}"
        self.show_all(says)

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_sure(event.value == "y")


def _row(saved: Saved) -> str:
    return f"{'finished' if saved.finished else 'unfinished'}; {described(saved)}"

