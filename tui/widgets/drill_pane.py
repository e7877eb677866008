"""The drill on offer: steps, dose, pass mark, and its cautions where they are always in sight."""

from __future__ import annotations

from typing import Any

from arclore.tui import wording
from arclore.tui.flow import Flow
from arclore.tui.hand import for_hand
from arclore.tui.keys import key_for
from arclore.tui.plan_words import plan_line, practice_lines
from arclore.tui.widgets.put import put
from arclore.tui.widgets.shelf import Shelf
from arclore.tui.widgets.text import heading, lines, plain, points
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

LEAST_ROWS = 5  # of the drill over its cautions


class DrillPane(Vertical):
    """One drill for the marked cause; its cautions do not scroll away."""

    HELP_TEXT = "The drill for the marked cause. d again offers another one. Its cautions always stand below it."

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="drill-scroll"):
            yield Static(id="drill")
        yield Static(id="cautions")

    def show(self, flow: Flow, shelf: Shelf, marked: str, shift: int) -> None:
        """Show a drill for the marked cause, the one that is `shift` further on in the offer."""
        answer = flow.answer
        drill = offered(flow, shelf, marked, shift)
        avoid = flow.lesson.answers.get("avoid")
        spared = wording.left_out(shelf.drills, marked, avoid if isinstance(avoid, list) else (), flow.lesson.handed)
        body, cautions = self.query_one("#drill", Static), self.query_one("#cautions", Static)
        handed = flow.lesson.handed
        if drill is None or answer is None:
            none = "No drill is on offer." if spared else "No drill is on offer yet."
            put(body, lines(heading("Drill"), none, *spared))
            put(cautions, Content(""))
            return
        put(
            body,
            lines(
                heading("Drill"),
                plain(for_hand(drill["title"], handed), "bold"),
                *wording.drill_lines(drill, handed),
                " ",
                f"{key_for('student', shelf.keys)} shows it to the student in plain words; "
                f"{key_for('wrap', shelf.keys)} makes the page to take home.",
                *(plain(line) for line in [plan_line(answer), *practice_lines(answer)]),
                *spared,
            ),
        )
        texts = [*(flow.answer or {}).get("take_care", ()), *wording.caution_lines(drill, shelf.cautions, handed)]
        put(cautions, lines(heading("Caution"), *points(texts)))
        self._fit()

    def on_resize(self) -> None:
        self._fit()

    def _fit(self) -> None:
        """Make room for all cautions and some of the drill, at the cost of the explanation over it."""
        cautions, width = self.query_one("#cautions", Static).content, self.content_size.width
        if isinstance(cautions, Content) and width:
            self.styles.min_height = len(cautions.wrap(width)) + LEAST_ROWS


def offered(flow: Flow, shelf: Shelf, marked: str, shift: int) -> dict[str, Any] | None:
    """The drill on offer: those that work on the marked cause first. None where there is none."""
    rows = flow.answer["drills"] if flow.answer else []
    own = [row["id"] for row in rows if marked in row["for"]] or [row["id"] for row in rows]
    known = [name for name in own if name in shelf.drills]
    return dict(shelf.drills[known[shift % len(known)]]) if known else None
