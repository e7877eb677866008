"""What every screen shares: a least size with a clear message below it, and a class that says how much fits."""

from __future__ import annotations

from arclore.tui.widgets.text import plain
from textual import events
from textual.widgets import Static

LEAST_COLUMNS, LEAST_ROWS = 60, 16
WIDE_COLUMNS, WIDE_ROWS = 120, 30


class TooSmall(Static):
    """The message of a window below the least size; it fits in 24 columns."""

    def present(self, columns: int, rows: int) -> None:
        """Say the present size and the one needed."""
        self.update(
            plain(
                f"This window is {columns} x {rows}.\nThe desk needs {LEAST_COLUMNS} x {LEAST_ROWS}.\n"
                "Nothing is lost:\nmake it larger to go on.\nctrl+c saves and quits."
            )
        )


class Sized:
    """Mixed into a screen: classes -small and -narrow follow the window."""

    def on_resize(self, event: events.Resize) -> None:
        columns, rows = event.size
        small = columns < LEAST_COLUMNS or rows < LEAST_ROWS
        self.set_class(small, "-small")  # type: ignore[attr-defined]
        self.set_class(columns < WIDE_COLUMNS or rows < WIDE_ROWS, "-narrow")  # type: ignore[attr-defined]
        for message in self.query(TooSmall):  # type: ignore[attr-defined]
            message.present(columns, rows)
