"""Balls counted, one key a ball; at a next visit beside the count of the first one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar

from arclore.tui.keys import TALLY
from arclore.tui.lesson import TALLIED, balls_of
from arclore.tui.questions import CLUB_WORDS, Choice
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.tally import MOST, TEN, choices_of, compared, counted_words, key_of, worth
from arclore.tui.widgets.choices import DIGITS, Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static


class TallyScreen(Sheet):
    """Each ball is handed to ``counted`` at once, with all balls of its count."""

    DEEDS = TALLY
    HELP_TEXT = (
        "Ten balls without help, one key each. w changes what is counted, c the club, u takes the last ball back. Every"
        " ball re-ranks; below five it is too early to lean on that, and ten tell how much the balls scatter."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(digit, f"ball({number})", show=False) for number, digit in enumerate(DIGITS)),
        *(deed.binding("tally") for deed in TALLY),
    ]

    def __init__(
        self, answers: Mapping[str, Any], clubs: Sequence[str], counted: Callable[[str, list[str]], None]
    ) -> None:
        super().__init__()
        self.before = {q.replace("before:", "tally:"): balls_of(answers, q) for q in answers if q.startswith("before:")}
        self.balls = {
            key: balls_of(answers, key) for club in clubs for what in TALLIED for key in (key_of(what, club),)
        }
        self.clubs = list(clubs)
        self.counted = counted
        first = next((key.partition(":")[2].split("@") for key in self.before if key in self.balls), None)
        self.variable, self.club = first or (TALLIED[0], self.clubs[0])

    @property
    def key(self) -> str:
        return key_of(self.variable, self.club)

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet", id="tally"):
            yield Static(id="tally-says")
            yield Choices(id="kinds")
            yield Static(id="tally-balls")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.show_all()

    def show_all(self) -> None:
        """The count as it stands."""
        balls, (ask, choices) = self.balls[self.key], choices_of(self.variable, self.club)
        counts = Counter(balls)
        done = f"{len(balls)} balls are counted; Esc goes on."
        place = done if len(balls) >= TEN else f"Ball {len(balls) + 1} of {TEN}: press its digit once it has landed."
        title = f"Balls without help, with the {CLUB_WORDS.get(self.club, self.club)}"
        says = lines(heading(title), plain(ask, "bold"), place, worth(len(balls)))
        self.query_one("#tally-says", Static).update(says)
        shown = [Choice(c.value, f"{c.label}: {counts[c.value]}") for c in choices]
        self.query_one("#kinds", Choices).show(shown, ())
        told = compared(self.key, self.before[self.key], balls) if self.key in self.before else []
        others = [counted_words(key, kept) for key, kept in self.balls.items() if kept and key != self.key]
        labels = {c.value: c.label.split(",")[0].split(":")[0] for c in choices}
        row = "In order: " + (", ".join(labels.get(ball, ball) for ball in balls) or "none yet") + "."
        self.query_one("#tally-balls", Static).update(lines(row, *(plain(line, "bold") for line in told), *others))

    def action_ball(self, index: int) -> None:
        choices = choices_of(self.variable, self.club)[1]
        if index < len(choices) and len(self.balls[self.key]) < MOST:
            self._put([*self.balls[self.key], choices[index].value])

    def action_back(self) -> None:
        if self.balls[self.key]:
            self._put(self.balls[self.key][:-1])

    def _put(self, balls: list[str]) -> None:
        self.balls[self.key] = balls
        self.counted(self.key, balls)
        self.show_all()

    def action_what(self) -> None:
        self.variable = TALLIED[(TALLIED.index(self.variable) + 1) % len(TALLIED)]
        self.show_all()

    def action_club(self) -> None:
        self.club = self.clubs[(self.clubs.index(self.club) + 1) % len(self.clubs)]
        self.show_all()

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_ball(event.index)
