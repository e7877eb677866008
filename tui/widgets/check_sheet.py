"""A check as it is asked: how it is done, the question, its results, its cautions.

The question, the results and the cautions are always in sight. How it is done scrolls where it must, and what a result
means joins it there where it has no room beside its result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from arclore.tui.questions import Question
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.put import put
from arclore.tui.widgets.text import heading, lines, plain, points
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.widgets import Static

LEAST_ROWS = 2  # of how it is done, however small the window
BESIDE_ROWS = 4  # that the case so far takes below it, where there is room
MARGIN_ROWS = 1  # between the text and what is always in sight


class CheckSheet(Vertical):
    """Shows one check; what was clicked is told as by any other choices."""

    def __init__(self, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._question: Question | None = None
        self._head = ""
        self._given: tuple[str, ...] = ()
        self._after = ""

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="check-how", can_focus=False):
            yield Static(id="check-steps")
        yield Static(id="check-asks")
        yield Choices(id="check-results")
        yield Static(id="check-care")

    def show(self, question: Question, head: str, given: Sequence[str], cautions: Sequence[str], after: str) -> None:
        """Show this check under a head, with what was answered, its cautions, and what may be done after it."""
        if self._question is None or self._question.id != question.id:
            self.query_one("#check-how").scroll_home(animate=False)
        self._question, self._head, self._given, self._after = question, head, tuple(given), after
        put(self.query_one("#check-asks", Static), plain(question.ask, "bold"))
        put(self.query_one("#check-care", Static), lines(heading("Caution"), *points(cautions)))

    def fit(self, width: int, rows: int) -> bool:
        """Lay it into so many columns and rows; whether it leaves room for the case so far below it."""
        question = self._question
        if question is None or width <= 0:
            return True
        results, how = self.query_one("#check-results", Choices), self.query_one("#check-how")
        shorter = [replace(choice, note="") for choice in question.choices]
        text = Content("")
        for choices, beside in ((question.choices, BESIDE_ROWS), (question.choices, 0), (shorter, 0)):
            results.show(choices, self._given)
            text = self._text(question, meanings=choices is shorter)
            room = rows - beside - MARGIN_ROWS - self.always(width)
            if _height(text, width) <= room:
                break
        put(self.query_one("#check-steps", Static), text)
        how.styles.height = min(_height(text, width), max(room, LEAST_ROWS))
        return beside > 0

    def always(self, width: int) -> int:
        """Rows of what is always in sight."""
        texts = (self.query_one(name, Static).content for name in ("#check-asks", "#check-care"))
        results = self.query_one("#check-results", Choices)
        heights = [_height(text, width) for text in texts if isinstance(text, Content)]
        return sum(heights) + results.get_content_height(self.size, self.size, width)

    def _text(self, question: Question, meanings: bool) -> Content:
        steps = [f"{number}. {step}" for number, step in enumerate(question.steps, start=1)]
        means = [f"{choice.label}: {choice.note}" for choice in question.choices if choice.note] if meanings else []
        return lines(plain(self._head), *steps, question.hint, *points(means), self._after)


def _height(text: Content, width: int) -> int:
    return len(text.wrap(width)) if len(text) else 0
