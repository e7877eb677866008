"""Help: first for what has the focus, then every key."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from arclore.tui.screens.sized import Sized, TooSmall
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static


class HelpScreen(Sized, ModalScreen[None]):
    """Shows what was handed in: help texts, nearest first, and rows of key and meaning."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,question_mark,f1,q", "dismiss", "close")]

    def __init__(self, texts: Sequence[str], keys: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self.texts = texts
        self.keys = keys

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet"):
            rows = [plain(f"{key:<9} {meaning}") for key, meaning in self.keys]
            yield Static(lines(heading("Here"), *self.texts, heading("Keys"), *rows), id="help")
        yield SteadyFooter()
