"""The desk: the app that a coach opens at the lesson bay."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import ClassVar

from arclore.tui import settings
from arclore.tui.ascii_only import ascii_only, plainly
from arclore.tui.background import in_background
from arclore.tui.broken import broken
from arclore.tui.keys import APP
from arclore.tui.lesson_store import Saved, Store
from arclore.tui.messages import EngineFailed, EntrySaved, LibraryReady, WriteWanted
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.library import LibraryScreen
from arclore.tui.screens.rebind import RebindScreen
from arclore.tui.screens.resume import ResumeScreen
from arclore.tui.screens.what_if import WhatIfScreen
from arclore.tui.themes import DUSK, SUN, THEMES
from arclore.tui.thinker import Thinker
from arclore.tui.trace import Trace
from arclore.tui.widgets.choices import ROOMY
from arclore.tui.widgets.text import plain
from rich.text import Text
from textual import events
from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.screen import Screen

INTERRUPTED = 130
SWITCH_S = 0.0005  # how long a thread that works beside the screen may keep the interpreter from it


class Desk(App[int]):
    """Holds the engine, the store and the themes; the lesson itself is a screen."""

    TITLE = "Arclore"
    CSS_PATH = "desk.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "interrupt", "save and quit", show=False, priority=True),
        Binding("ctrl+t", "light", "sun or dusk", show=False),
        Binding("m", "units", "metres or yards", show=False),
        Binding("K", "rebind", "keys", show=False),
    ]

    def __init__(self, library_folders: Sequence[Path] = (), store: Store | None = None) -> None:
        if os.environ.get("NO_COLOR") == "":  # set but empty means: not set (no-color.org)
            del os.environ["NO_COLOR"]
        super().__init__()
        self.thinker = Thinker(tuple(library_folders))
        self.store = store or Store()
        self.trace = Trace()
        self.lesson_screen = LessonScreen(self.thinker, self.store)
        for theme in THEMES:
            self.register_theme(theme)
        self.settings = settings.load()
        self.theme = self.settings.theme
        self.set_keymap(dict(self.settings.keys))
        self.lesson_screen.use_units(self.settings.units)
        self.lesson_screen.use_keys(self.settings.keys)

    def get_driver_class(self) -> type[Driver]:
        """The screen: one of plain signs where the terminal shows no others."""
        usual = super().get_driver_class()
        return plainly(usual) if ascii_only() else usual

    def on_mount(self) -> None:
        with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):  # no signals here: not a main thread
            asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, self.action_interrupt)
        sys.setswitchinterval(SWITCH_S)
        self.set_class(self.is_web, ROOMY)
        self.push_screen(self.lesson_screen)
        self.store.tidy()
        found = self.store.unfinished()
        if found:
            self.push_screen(ResumeScreen(found), self._chosen)

    async def on_event(self, event: events.Event) -> None:
        """Keep the time of each key and click, for the trace."""
        if isinstance(event, (events.Key, events.MouseUp)) and not event.is_forwarded:
            self.trace.pressed = event.time
        await super().on_event(event)

    def _chosen(self, saved: Saved | None) -> None:
        if saved is not None:
            self.lesson_screen.resume(saved)

    def on_write_wanted(self, event: WriteWanted) -> None:
        """Open what begins an entry; the form and what it needs are read only now."""
        from arclore.tui.form.draft_store import DraftStore
        from arclore.tui.screens.write import WriteScreen

        drafts = DraftStore(self.store.drafts_folder)
        self.push_screen(WriteScreen(self.thinker, event.handed, drafts, event.entry))

    def on_entry_saved(self, event: EntrySaved) -> None:
        """Go on with the library as it is now."""
        self.thinker.changed(event.path.parent.parent)
        self.run_worker(in_background(self._read_again), group="library")
        for screen in self.screen_stack:
            if isinstance(screen, LibraryScreen):
                screen.renew(event.path.stem)
        self.notify(str(plain(f"Saved: {event.path}")), markup=False, timeout=8)

    def _read_again(self) -> None:
        """In the background: the library for the lesson that stands."""
        try:
            problems = len(self.thinker.load().library.problems)
        except Exception as problem:
            self.lesson_screen.post_message(EngineFailed(f"the library could not be read: {problem}"))
            return
        self.lesson_screen.post_message(LibraryReady(problems))

    def keep_drafts(self) -> None:
        """Write an entry that is being written to disk once more."""
        for screen in self.screen_stack:
            keep = getattr(screen, "keep", None)
            if keep is not None:
                keep()

    def action_leave(self) -> None:
        """Quit; every answer is on disk already."""
        self.keep_drafts()
        self.exit(0)

    async def action_quit(self) -> None:
        """The framework's own key for leaving does the same."""
        self.action_leave()

    def action_interrupt(self) -> None:
        """Save once more and quit, from anywhere."""
        self.keep_drafts()
        self.lesson_screen.changed()
        self.exit(INTERRUPTED)

    def action_light(self) -> None:
        """Change between dark on light, for sun, and light on dark."""
        self.theme = DUSK.name if self.theme == SUN.name else SUN.name
        self._keep(replace(self.settings, theme=self.theme))

    def action_units(self) -> None:
        """Change between metres and yards, wherever lengths stand."""
        self._keep(replace(self.settings, units="yards" if self.settings.units == "metric" else "metric"))
        for screen in self.screen_stack:
            if isinstance(screen, (LessonScreen, WhatIfScreen)):
                screen.use_units(self.settings.units)
        shown = "yards, feet and inches" if self.settings.units == "yards" else "metres and centimetres"
        self.notify(f"Lengths are in {shown} now.")

    def action_rebind(self) -> None:
        """Open the keys."""
        self.push_screen(RebindScreen(self.settings.keys, self._rebound))

    def _rebound(self, keys: Mapping[str, str]) -> None:
        self._keep(replace(self.settings, keys=keys))
        self.set_keymap(dict(keys))
        self.lesson_screen.use_keys(keys)
        self.lesson_screen.refresh_bindings()

    def _keep(self, changed: settings.Settings) -> None:
        """Use these settings from now on, and keep them on disk."""
        self.settings = changed
        try:
            settings.save(changed)
        except OSError as problem:
            told = f"The settings could not be kept: {problem.strerror or problem}"
            self.notify(told, severity="error", markup=False)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The command palette: every action by name."""
        for deed in (*getattr(screen, "DEEDS", ()), *APP):
            yield SystemCommand(deed.name.capitalize(), deed.about, self._calling(screen, deed.action))

    def _fatal_error(self) -> None:
        """Say that the desk broke and where, and nothing of what a student said: no values, no message of the error.

        Where the screen is gone (its terminal closed, its server killed) nothing broke, and nobody is there to be told.
        """
        error = self._exception
        if not isinstance(error, BrokenPipeError):
            self._exit_renderables.append(Text(broken(error)))
        self._close_messages_no_wait()

    def _calling(self, screen: Screen[object], action: str) -> Callable[[], object]:
        return lambda: self.call_later(screen.run_action, action)


def run(library_folders: Sequence[Path] = ()) -> int:
    """Open the desk and return its exit code: 0, or 130 where it was interrupted."""
    code = Desk(library_folders).run()
    return INTERRUPTED if code is None else int(code)
