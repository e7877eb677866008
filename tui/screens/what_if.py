"""What if: keys move ball, tee, aim, swing, face and body, and the geometry says at once what comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.hand import hand_drawn
from arclore.tui.keys import WHAT_IF
from arclore.tui.measures import model_limits
from arclore.tui.questions import CLUB_WORDS, Choice
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

STEPS = {"-": Choice("-1", "less"), "+": Choice("1", "more")}
LIMITS = "Good to {limits}; a golfer may well answer a change differently."


class Answered(Message):
    """What the geometry says: rows of the dials, what changed, sentences, drawing; a problem where it cannot."""

    def __init__(self, serial: int, rows: list[str], said: list[str], drawn: list[str], problem: str = "") -> None:
        super().__init__()
        self.serial = serial
        self.rows = rows
        self.said = said
        self.drawn = drawn
        self.problem = problem


class WhatIfScreen(Sheet):
    """Starts from what the club did; every step is played by the geometry beside the screen."""

    DEEDS = WHAT_IF
    HELP_TEXT = (
        "What if: choose a line with up and down or its digit, move it with left and right. Everything else stays as "
        "the answers tell it. The numbers say what the change alone does. Tab goes to the text, "
        "where the arrows scroll, and back."
    )
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("what-if") for deed in WHAT_IF]

    def __init__(self, thinker: Thinker, answer: Mapping[str, Any], clubs: list[str], marked: str, units: str) -> None:
        super().__init__()
        self.units = units
        self.thinker = thinker
        self.answer = answer
        self.clubs = clubs
        self.marked = marked
        self.club = clubs[0]
        self.settings: dict[str, float] = {}
        self.good: dict[str, float] = {}  # the last settings that could be played
        self.serial = 0

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Container(classes="sheet", id="what-if"):
            with Vertical(id="dials-side"):
                yield Static(id="what-club")
                yield OptionList(id="dials")
                yield Choices(id="steps")
                with VerticalScroll(id="what-scroll"):
                    yield Static(id="what-comes")
            with VerticalScroll(id="what-drawn-side"):
                yield Static(id="what-drawn")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.query_one("#steps", Choices).show(list(STEPS.values()), (), keys=list(STEPS))
        self.query_one("#what-comes", Static).update(plain("Playing the swing…"))
        self.query_one(OptionList).focus()

    def on_resize(self, event: events.Resize) -> None:
        super().on_resize(event)
        self.play()

    def use_units(self, units: str) -> None:
        """Show lengths in these units from now on."""
        self.units = units
        self.play()

    def play(self) -> None:
        """Ask the geometry for the settings as they stand."""
        self.serial += 1
        columns = max(self.size.width - 8 if self.has_class("-narrow") else self.size.width // 2 - 8, 36)
        work = partial(self._play, dict(self.settings), self.club, columns, self.serial)
        self.run_worker(in_background(work), exclusive=True, group="what-if")

    def _play(self, settings: dict[str, float], club: str, columns: int, serial: int) -> None:
        """In the background: play both swings, and draw them."""
        from arclore.tui import what_if
        from arclore.tui.ascii_only import ascii_only
        from arclore.tui.inferred import inferred
        from arclore.tui.pictures.sentences import bottom, going_and_looking, start_and_curve
        from arclore.tui.sketch import sketch
        from arclore.tui.units import UNITS

        handed = hand_drawn(self.answer)
        try:
            made = inferred(self.thinker.load().library, self.answer, club, self.marked)
            changed = made.changed(what_if.change_of(settings, handed))
            if float(changed.set_up.tee_height_m) < 0.0:
                raise ValueError("the tee is in the ground already")
            if changed.green.run_m <= 0.0:
                raise ValueError("no green is that slow")
            before, after = made.stroke("now"), changed.stroke("changed" if settings else "now")
            shown = (before, after) if settings else (before,)
            drawn = sketch(shown, handed, columns, ascii_only())
        except (ArithmeticError, KeyError, ValueError) as problem:
            self.post_message(Answered(serial, [], [], [], str(problem)))
            return
        units, dials = UNITS[self.units], what_if.dials_of(club)
        rows = [f"{dial.name}: {dial.words(settings.get(dial.input, 0.0), self.units)}" for dial in dials]
        told = ", ".join(what_if.changes(before, after, handed, self.units)) or "nothing moves"
        title = what_if.title_of(settings, club, self.units)
        first = f"{title[:1].upper()}{title[1:]}: {told}." if settings else "Nothing is changed yet. The club now:"
        said = [first, *(tell(after, handed, units) for tell in (going_and_looking, bottom))]
        if after.rolled is None:
            said.append(start_and_curve(after.flown, handed, units))
        self.post_message(Answered(serial, rows, said, drawn))

    def on_answered(self, event: Answered) -> None:
        event.stop()
        if event.serial != self.serial:
            return
        if event.problem:
            self.settings = dict(self.good)
            self.notify(f"That cannot be played: {event.problem}", severity="warning", markup=False)
            if not self.query_one(OptionList).option_count:
                self.query_one("#what-comes", Static).update(plain(f"This cannot be played: {event.problem}"))
            return
        self.good = dict(self.settings)
        name = CLUB_WORDS.get(self.club, self.club)
        self.query_one("#what-club", Static).update(lines(heading(f"What if, with the {name}?")))
        shown = self.query_one(OptionList)
        place = shown.highlighted or 0
        shown.clear_options()
        shown.add_options([Option(plain(f"{number}. {row}")) for number, row in enumerate(event.rows, start=1)])
        shown.highlighted = place
        first, *rest = event.said
        told = [part for text in rest for part in (" ", plain(text))]
        drawn = Content("\n").join([plain(row) for row in event.drawn])
        below = (" ", drawn) if self.has_class("-narrow") else ()
        limits = LIMITS.format(limits=model_limits(self.units))
        self.query_one("#what-comes", Static).update(lines(plain(first, "bold"), *told, " ", limits, *below))
        self.query_one("#what-drawn", Static).update(drawn)

    # --- what a person does ---------------------------------------------------------------------------------------

    def action_move(self, by: int) -> None:
        """Move the chosen line so many steps."""
        from arclore.tui.what_if import dials_of

        place = self.query_one(OptionList).highlighted
        if place is None or self.serial == 0:
            return
        dial = dials_of(self.club)[place]
        value = dial.stepped(self.settings.get(dial.input, 0.0), by)
        self.settings = {**self.settings, dial.input: value} if value else self._without(dial.input)
        self.play()

    def _without(self, name: str) -> dict[str, float]:
        return {other: value for other, value in self.settings.items() if other != name}

    def action_line(self, place: int) -> None:
        """Choose a line by its digit."""
        self.query_one(OptionList).highlighted = place

    def action_reset(self) -> None:
        """Put everything back as it was."""
        self.settings = {}
        self.play()

    def action_club(self) -> None:
        """Go on to the next club; the settings that it has stay, so that one change is seen with each."""
        from arclore.tui.what_if import dials_of

        self.club = self.clubs[(self.clubs.index(self.club) + 1) % len(self.clubs)]
        known = {dial.input for dial in dials_of(self.club)}
        self.settings = {name: value for name, value in self.settings.items() if name in known}
        self.play()

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_move(int(event.value))
