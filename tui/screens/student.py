"""The lesson as the student sees it: one thing, one thought, one picture, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.command.page import sentence
from arclore.tui.hand import for_hand, hand_drawn
from arclore.tui.keys import STUDENT
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.picture_pane import Drawn
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

if TYPE_CHECKING:
    from arclore.tui.pictures.stroke import Stroke

COLUMNS = 64  # of the picture
FROM_ABOVE = "The arrow drawn through is where the club goes, the other one is where its face looks."
IN_SAND = "The club goes into the sand behind the ball, passes beneath it and comes out after it."
ON_GREEN = "The ball slides first and then rolls toward the hole; the x is where it stops."
FACE_ON = "Seen from the front: the line is the way of the club, and the x is its lowest place."
ALIKE_DEG = 1.0  # two swings that differ by less look the same from above


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
            yield Static(plain("Say so at once if anything hurts."))
            yield Static(id="student-picture")
        yield SteadyFooter()

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
        words = told_by(pair.strokes)
        rows = (from_above if words == FROM_ABOVE else on_ground)(pair.strokes, handed, columns, ascii_only())
        self.post_message(Drawn(0, rows, [words], 1))

    def on_drawn(self, event: Drawn) -> None:
        event.stop()
        rows = Content("\n").join([plain(row) for row in event.rows])
        self.query_one("#student-picture", Static).update(lines(rows, " ", *event.words))


def told_by(strokes: tuple[Stroke, Stroke]) -> str:
    """What is said of the picture that shows most of a change: from above, unless the change lies elsewhere."""
    now, then = strokes
    if now.sand is not None:
        return IN_SAND
    if max(abs(now.path_deg - then.path_deg), abs(now.face_deg - then.face_deg)) >= ALIKE_DEG:
        return FROM_ABOVE
    return ON_GREEN if now.rolled and then.rolled else FACE_ON if now.stance and then.stance else FROM_ABOVE
