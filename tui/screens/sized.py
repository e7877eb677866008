"""What every screen shares: a least size with a clear message below it, and a class that says how much fits."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from arclore.tui.widgets.text import plain
from textual import events
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

LEAST = 80, 24  # columns, rows
LEAST_IN_BROWSER = 60, 16  # of a tablet upright, or with its keyboard on the screen
WIDE_COLUMNS, WIDE_ROWS = 120, 30


class TooSmall(Static):
    """The message of a window below the least size; it fits in 24 columns."""

    def present(self, columns: int, rows: int) -> None:
        """Say the present size, the one needed, and how to come by it."""
        least = least_size(self.app.is_web)
        larger = "A− below makes room." if self.app.is_web else "make it larger to go on."
        self.update(
            plain(
                f"This window is {columns} x {rows}.\nThe desk needs {least[0]} x {least[1]}.\n"
                f"Nothing is lost:\n{larger}\nctrl+c saves and quits."
            )
        )


def least_size(in_browser: bool) -> tuple[int, int]:
    """Columns and rows below which the desk only says that it needs more."""
    return LEAST_IN_BROWSER if in_browser else LEAST


class Sized(Screen[Any] if TYPE_CHECKING else object):  # type: ignore[misc]
    """Mixed into a screen: classes -small and -narrow follow the window.

    What had the focus, and the keys at the foot, come back with the room for them.
    """

    _kept: Widget | None = None  # what had the focus when the window became too small

    def on_resize(self, event: events.Resize) -> None:
        columns, rows = event.size
        least = least_size(self.app.is_web)
        small = columns < least[0] or rows < least[1]
        changed = small != self.has_class("-small")
        if changed and small:
            self._kept = self.focused
        self.set_class(small, "-small")
        self.set_class(columns < WIDE_COLUMNS or rows < WIDE_ROWS, "-narrow")
        for message in self.query(TooSmall):
            message.present(columns, rows)
        if changed:
            self.call_after_refresh(self._come_back)

    def _come_back(self) -> None:
        if self._kept is not None and not self.has_class("-small"):
            self.set_focus(self._kept)
            self._kept = None
        self.refresh_bindings()
