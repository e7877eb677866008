"""The desk: the app that a coach opens at the lesson bay."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import ClassVar

from arclore.tui.lesson_store import Saved, Store
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.resume import ResumeScreen
from arclore.tui.themes import DUSK, SUN, THEMES
from arclore.tui.thinker import Thinker
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

INTERRUPTED = 130
COMMANDS = (
    ("Not sure", "answer the question that stands with: not sure", "wave('unsure')"),
    ("Skip", "leave the question that stands", "wave('skipped')"),
    ("That is all", "answer with what was picked, where several may be", "confirm"),
    ("Undo", "take the last answer back", "undo"),
    ("Redo", "give the answer last taken back again", "redo"),
    ("Question before", "go to the question before", "step(-1)"),
    ("Question after", "go to the question after", "step(1)"),
    ("Ranking", "show the ranking, and back", "view('ranking')"),
    ("Why", "explain the marked cause, and back", "view('why')"),
    ("Question", "back to the question", "view('question')"),
    ("Next cause", "mark the next cause", "mark(1)"),
    ("Cause before", "mark the cause before", "mark(-1)"),
    ("Next check", "go to the check on offer, or another one", "check"),
    ("Drill", "show the drill, or another one", "drill"),
    ("Words", "type the student's own words", "words"),
    ("New lesson", "end this lesson and begin a new one", "new"),
    ("Help", "help for what has the focus, and all keys", "help"),
)


class Desk(App[int]):
    """Holds the engine, the store and the themes; the lesson itself is a screen."""

    TITLE = "Arclore"
    CSS_PATH = "desk.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "interrupt", "save and quit", show=False, priority=True),
        Binding("ctrl+t", "light", "sun or dusk", show=False),
    ]

    def __init__(self, library_folders: Sequence[Path] = (), store: Store | None = None) -> None:
        if os.environ.get("NO_COLOR") == "":  # set but empty means: not set (no-color.org)
            del os.environ["NO_COLOR"]
        super().__init__()
        self.thinker = Thinker(tuple(library_folders))
        self.store = store or Store()
        self.lesson_screen = LessonScreen(self.thinker, self.store)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = SUN.name

    def on_mount(self) -> None:
        self.push_screen(self.lesson_screen)
        found = self.store.unfinished()
        if found:
            self.push_screen(ResumeScreen(found), self._chosen)

    def _chosen(self, saved: Saved | None) -> None:
        if saved is not None:
            self.lesson_screen.resume(saved)

    def action_leave(self) -> None:
        """Quit; every answer is on disk already."""
        self.exit(0)

    def action_interrupt(self) -> None:
        """Save once more and quit, from anywhere."""
        self.lesson_screen.changed()
        self.exit(INTERRUPTED)

    def action_light(self) -> None:
        """Change between dark on light, for sun, and light on dark."""
        self.theme = DUSK.name if self.theme == SUN.name else SUN.name

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The command palette: every action by name."""
        if screen is self.lesson_screen:
            for title, about, action in COMMANDS:
                yield SystemCommand(title, about, self._calling(action))
        yield SystemCommand("Sun or dusk", "dark on light, or light on dark", self.action_light)
        yield SystemCommand("Quit", "quit; the lesson is kept and offered again", self.action_leave)

    def _calling(self, action: str) -> Callable[[], object]:
        return lambda: self.call_later(self.lesson_screen.run_action, action)


def run(library_folders: Sequence[Path] = ()) -> int:
    """Open the desk and return its exit code: 0, or 130 where it was interrupted."""
    code = Desk(library_folders).run()
    return INTERRUPTED if code is None else int(code)
