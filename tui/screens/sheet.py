"""What the sheets over a lesson share: a table of deeds, help, and nothing done unseen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from arclore.tui.keys import Deed, help_rows
from arclore.tui.screens.help import HelpScreen
from arclore.tui.screens.sized import Sized
from textual.screen import ModalScreen


class Helped(Sized):
    """Mixed into a screen: its deeds make its keys, its help and its lines of the palette."""

    DEEDS: ClassVar[Sequence[Deed]] = ()
    HELP_TEXT: ClassVar[str] = ""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return not self.has_class("-small") or action == "dismiss"

    def action_help(self) -> None:
        screen = HelpScreen([self.HELP_TEXT], help_rows(self.DEEDS))
        self.app.push_screen(screen)


class Sheet(Helped, ModalScreen[None]):
    """A screen over the lesson that answers nothing to whoever opened it."""
