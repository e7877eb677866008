"""What the club did, drawn: beside a delivery without a fault, and one club beside another."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from arclore.tui.background import in_background
from arclore.tui.flow import Flow
from arclore.tui.hand import hand_drawn
from arclore.tui.measures import model_limits
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.put import put
from arclore.tui.widgets.text import heading, lines, plain
from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Static

LEAST = 36  # columns of a picture
NOTE = (
    "Drawn from the middle values of what the answers tell, good to {limits}; height of the arc, loft and "
    "speed are those of a swing without a fault."
)


class Drawn(Message):
    """The picture that was asked for with this serial number: its lines, and how many pictures there are."""

    def __init__(self, serial: int, rows: list[str], words: list[str], count: int) -> None:
        super().__init__()
        self.serial = serial
        self.rows = rows
        self.words = words
        self.count = count


class PicturePane(VerticalScroll):
    """One picture of the lesson. It is drawn beside the screen and only while it is in sight."""

    HELP_TEXT = (
        "The picture: from above with the target up the page, then face-on with the ground. p again shows the next "
        "one: each club beside a delivery without a fault, then one club beside another; after the last it goes away."
    )

    def __init__(self, thinker: Thinker, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self.thinker = thinker
        self.answer: Mapping[str, Any] | None = None
        self.marked = ""
        self.units = "metric"
        self.number = 0
        self.count = 1
        self.serial = 0
        self.standing: tuple[object, ...] = ()  # what the lines on the screen were drawn from

    def compose(self) -> ComposeResult:
        yield Static(id="picture")

    def show(self, flow: Flow, marked: str, units: str) -> None:
        """Draw what the flow stands at, with the set-up of the marked cause where it is one."""
        self.answer, self.marked, self.units = flow.answer, marked, units
        self.draw()

    def on_resize(self, event: events.Resize) -> None:
        self.draw()

    def step(self) -> bool:
        """Go on to the next picture; False where the last one stands, which leads back to the first."""
        self.number = (self.number + 1) % max(self.count, 1)
        self.draw()
        return self.number > 0

    def draw(self) -> None:
        """Ask for the picture, unless it stands already or nobody sees it."""
        columns = self.scrollable_content_region.width
        if not columns or not self.display:
            return
        if self.answer is None or not self.answer["delivery"]:
            self.standing = ()
            self._put(lines(heading("Picture"), "Nothing to draw yet: say what the ball did first."))
            return
        wanted = (id(self.answer), self.marked, self.units, self.number, columns)
        if wanted == self.standing:
            return
        if not self.standing:
            self._put(lines(heading("Picture"), "Drawing…"))
        self.standing = wanted
        self.serial += 1
        work = partial(self._draw, self.answer, self.marked, self.number, max(columns, LEAST), self.serial)
        self.run_worker(in_background(work), exclusive=True, group="picture")

    def _draw(self, answer: Mapping[str, Any], marked: str, number: int, columns: int, serial: int) -> None:
        """In the background: play the swings and draw them."""
        from arclore.tui.ascii_only import ascii_only
        from arclore.tui.inferred import pairs
        from arclore.tui.pictures.sentences import bottom, going_and_looking
        from arclore.tui.sketch import sketch
        from arclore.tui.units import UNITS

        try:
            library = self.thinker.load().library
            found = pairs(library, answer, marked)
            pair = found[number % len(found)]
            handed = hand_drawn(answer)
            rows = [pair.title, "", *sketch(pair.strokes, handed, columns, ascii_only())]
            told = ((tell, stroke) for tell in (going_and_looking, bottom) for stroke in pair.strokes)
            words = [tell(stroke, handed, UNITS[self.units]) for tell, stroke in told]
        except (ArithmeticError, KeyError, ValueError) as problem:
            self.post_message(Drawn(serial, ["This cannot be drawn.", str(problem)], [], 1))
            return
        self.post_message(Drawn(serial, rows, words, len(found)))

    def on_drawn(self, event: Drawn) -> None:
        event.stop()
        if event.serial != self.serial:
            return
        self.count = event.count
        place = f"Picture {self.number + 1} of {event.count}" if event.count > 1 else "Picture"
        rows = Content("\n").join([plain(row) for row in event.rows])
        told = [part for words in event.words for part in (" ", plain(words))]
        note = (" ", NOTE.format(limits=model_limits(self.units))) if told else ()
        self._put(lines(heading(place), rows, *told, *note))

    def _put(self, content: Content) -> None:
        put(self.query_one("#picture", Static), content)
