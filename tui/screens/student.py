"""The lesson as the student sees it: one thing, one thought, one picture, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.command.page import sentence
from arclore.tui.hand import for_hand, hand_drawn
from arclore.tui.keys import STUDENT
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.picture_pane import Drawn
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

COLUMNS = 64  # of the picture
FROM_ABOVE = "The arrow drawn through is where the club goes, the other one is where its face looks."
IN_SAND = "The club goes into the sand behind the ball, passes beneath it and comes out after it."


class StudentScreen(Sheet):
    """Turned to the student: no chances, no figures, nothing that has to be explained."""

    DEEDS = STUDENT
    HELP_TEXT = "What the student sees: the one thing, the one thought for the next balls, and one picture of it."
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("student") for deed in STUDENT]

    def __init__(
        self,
        thinker: Thinker,
        answer: Mapping[str, Any],
        parts: tuple[Mapping[str, Any], Mapping[str, Any] | None],
        place: tuple[str, str],
    ) -> None:
        """``parts``: the entries of cause and drill. ``place``: the club that is drawn, and the id of the cause."""
        super().__init__()
        self.thinker = thinker
        self.answer = answer
        self.parts = parts
        self.place = place

    def compose(self) -> ComposeResult:
        cause, drill = self.parts
        handed = str(self.answer["handed"])
        cue = plain(f"  {sentence(for_hand(drill['cue'], handed))}  ", "bold reverse") if drill else None
        told = sentence(for_hand(cause["tell_student"], handed))
        yield TooSmall()
        with VerticalScroll(classes="sheet", id="student"):
            yield Static(lines(heading("One thing today"), " ", plain(told, "bold"), " "))
            if cue is not None:
                yield Static(lines("Think only of this:", " ", cue))
            yield Static(id="student-picture")
            yield Static(plain("Say so at once if anything hurts."))
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        self.query_one("#student-picture", Static).update(plain("Drawing…"))
        columns = max(min(self.size.width - 8, COLUMNS), 36)
        self.run_worker(in_background(partial(self._draw, columns)), group="picture")

    def _draw(self, columns: int) -> None:
        from arclore.tui.ascii_only import ascii_only
        from arclore.tui.inferred import before_and_after
        from arclore.tui.sketch import from_above, on_ground

        handed = hand_drawn(self.answer)
        club, cause = self.place
        try:
            pair = before_and_after(self.thinker.load().library, self.answer, club, cause)
        except (ArithmeticError, KeyError, ValueError):
            self.post_message(Drawn(0, [], [], 0))
            return
        in_sand = pair.strokes[0].sand is not None
        rows = (on_ground if in_sand else from_above)(pair.strokes, handed, columns, ascii_only())
        words = IN_SAND if in_sand else FROM_ABOVE
        self.post_message(Drawn(0, rows, [words], 1))

    def on_drawn(self, event: Drawn) -> None:
        event.stop()
        rows = Content("\n").join([plain(row) for row in event.rows])
        self.query_one("#student-picture", Static).update(lines(rows, " ", *event.words))
