"""Choosing from a list: one thing or several, narrowed by typing; by keys or mouse."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from arclore.tui.keys import PICK
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from arclore.tui.widgets.typed import Line
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

MOST = 200  # listed at once


class PickScreen(Sheet):
    """Hands what is chosen to ``done`` when it closes: a list of values, in the order of the options.

    ``several``: more than one may be chosen. ``typed``: what was typed may itself be chosen. ``empty``: how it reads to
    choose nothing, where that is an answer.
    """

    DEEDS = PICK
    HELP_TEXT = "Type to narrow the list; Down or Enter goes into it. Enter or Space chooses; Esc takes what is chosen."
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("pick") for deed in PICK]

    def __init__(
        self,
        title: str,
        about: str,
        options: Sequence[tuple[str, str]],
        chosen: Sequence[str] | None,
        done: Callable[[list[str]], None],
        several: bool = False,
        typed: bool = False,
        empty: str = "",
    ) -> None:
        super().__init__()
        self.title_text = title
        self.about_text = about
        known = {value for value, _ in options}
        self.options = [*options, *((value, value) for value in chosen or () if value not in known)]
        self.answered = chosen is not None  # nothing chosen is an answer only where it was chosen to be
        self.chosen = list(chosen or ())
        self.done = done
        self.several = several
        self.typed = typed
        self.empty = empty
        self.listed: list[str] = []

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="pick"):
            yield Static(lines(heading(self.title_text), self.about_text))
            yield Line(placeholder="type to narrow the list", id="narrow", compact=True, select_on_focus=False)
            yield OptionList(id="picks")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.fill("")
        self.query_one("#narrow" if self.typed or len(self.options) > MOST // 10 else "#picks").focus()

    def fill(self, query: str, at: int = 0) -> None:
        """List what fits the words typed, what is chosen first."""
        words = query.lower().split()
        fits = [
            (value, label)
            for value, label in self.options
            if all(word in f"{label} {value}".lower() for word in words)
        ]
        if self.typed and query.strip():
            fits.insert(0, (query.strip(), f"use: {query.strip()}"))
        elif not words:
            fits.sort(key=lambda option: option[0] not in self.chosen)
            fits[:0] = [("", self.empty)] if self.empty else []
        shown = self.query_one("#picks", OptionList)
        shown.clear_options()
        shown.add_options([Option(self._label(value, label)) for value, label in fits[:MOST]])
        self.listed = [value for value, _ in fits[:MOST]]
        if len(fits) > MOST:
            shown.add_option(Option(plain(f"… and {len(fits) - MOST} more: type to narrow"), disabled=True))
        shown.highlighted = min(at, len(self.listed) - 1) if self.listed else None

    def _label(self, value: str, label: str) -> Content:
        on = value in self.chosen if value else self.answered and not self.chosen
        mark = ("[x] " if on else "[ ] ") if self.several else "(x) " if on else "( ) "
        return plain(mark + label, "bold" if on else "")

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.fill(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one("#picks").focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.choose(event.option_index)

    def action_choose(self) -> None:
        """Choose the marked line."""
        at = self.query_one("#picks", OptionList).highlighted
        if at is not None:
            self.choose(at)

    def action_into(self) -> None:
        """Go from the typing into the list."""
        self.query_one("#picks").focus()

    def choose(self, at: int) -> None:
        """Choose or leave out the line of this number."""
        value = self.listed[at]
        if not self.several or not value:
            self.chosen, self.answered = ([value] if value else []), True
            self.action_close()
            return
        self.chosen = [each for each in self.chosen if each != value] + ([value] if value not in self.chosen else [])
        shown = self.query_one("#picks", OptionList)
        labels = dict(self.options)
        for index, each in enumerate(self.listed):
            shown.replace_option_prompt_at_index(index, self._label(each, labels.get(each, self.empty)))

    def action_close(self) -> None:
        """Close, and hand over what is chosen."""
        order = {value: place for place, (value, _) in enumerate(self.options)}
        self.dismiss()
        if self.chosen or self.answered:
            self.done(sorted(self.chosen, key=lambda value: order.get(value, -1)))
