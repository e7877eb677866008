"""What every screen shares: a least size with a clear message below it, and a class that says how much fits."""

from __future__ import annotations

from arclore.tui.widgets.text import plain
from textual import events
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


class Sized:
    """Mixed into a screen: classes -small and -narrow follow the window."""

    def on_resize(self, event: events.Resize) -> None:
        columns, rows = event.size
        least = least_size(self.app.is_web)  # type: ignore[attr-defined]
        small = columns < least[0] or rows < least[1]
        self.set_class(small, "-small")  # type: ignore[attr-defined]
        self.set_class(columns < WIDE_COLUMNS or rows < WIDE_ROWS, "-narrow")  # type: ignore[attr-defined]
        for message in self.query(TooSmall):  # type: ignore[attr-defined]
            message.present(columns, rows)
