"""The student's own words: typed in, then each thing they may mean is accepted or refused."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.keys import WORDS
from arclore.tui.messages import EngineFailed, Proposed
from arclore.tui.questions import Choice
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from arclore.tui.wording import proposal_words
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widgets import Input, Static

LONGEST = 2000  # characters of what a student says
ANSWERS = {"1": Choice("accept", "accept"), "2": Choice("refuse", "refuse")}


class WordsScreen(Sheet):
    """Asks for words and goes through the proposals one by one; each accepted one is handed to ``accepted``."""

    DEEDS = WORDS
    HELP_TEXT = (
        "The student's own words. What they may mean is proposed bit by bit: accept what was seen, refuse the rest. "
        "What the student thinks the fault is stays a theory."
    )
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("words") for deed in WORDS]

    def __init__(
        self,
        thinker: Thinker,
        handed: str,
        titles: Mapping[str, str],
        accepted: Callable[[Mapping[str, Any]], None],
        pained: Callable[[], None],
    ) -> None:
        super().__init__()
        self.thinker = thinker
        self.handed = handed
        self.titles = titles
        self.accepted = accepted
        self.pained = pained
        self.open: list[dict[str, Any]] = []
        self.kept: list[str] = []

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet", can_focus=False):
            yield Static(lines(heading("In the student's own words"), "Type what was said, then Enter. Esc closes."))
            yield Input(id="said", max_length=LONGEST)
            yield Static(id="proposal")
            yield Choices(id="judge")
        yield SteadyFooter()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        words = event.value.strip()
        if words:
            self.query_one("#proposal", Static).update(plain("Reading the words…"))
            self.run_worker(in_background(lambda: self._propose(words)), exclusive=True, group="words")

    def _propose(self, words: str) -> None:
        try:
            proposals, pain = self.thinker.proposals(words, self.handed)
        except Exception as problem:
            self.post_message(EngineFailed(str(problem)))
            return
        self.post_message(Proposed(words, proposals, pain))

    def on_proposed(self, event: Proposed) -> None:
        if event.pain:
            self.dismiss()
            self.pained()
            return
        self.open = event.proposals
        self.kept = []
        if self.open:
            self.query_one("#said", Input).blur()
            self.set_focus(None)
        self._show(event.words)

    def on_engine_failed(self, event: EngineFailed) -> None:
        self.query_one("#proposal", Static).update(plain(f"The words could not be read: {event.what}"))

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_judge(event.value == "accept")

    def action_judge(self, accept: bool) -> None:
        if not self.open:
            return
        proposal = self.open.pop(0)
        if accept:
            self.accepted(proposal)
            self.kept.append(str(proposal["phrase"]))
        self._show()

    def _show(self, words: str = "") -> None:
        shown, judge = self.query_one("#proposal", Static), self.query_one("#judge", Choices)
        kept = f"Accepted: {', '.join(self.kept)}." if self.kept else ""
        if not self.open:
            nothing = "" if self.kept or not words else f"Nothing known was found in: {words}"
            shown.update(lines(kept, nothing, "Type more words, or Esc to go back."))
            judge.show((), ())
            self.query_one("#said", Input).focus()
            return
        first, *rest = self.open
        means = proposal_words(first, self.titles, self.handed)
        ask = [f"Ask: {question}" for question in first.get("ask", ())]
        more = f"{len(rest)} more after this one." if rest else ""
        shown.update(lines(kept, plain(f"“{first['phrase']}” may mean: {means}", "bold"), *ask, more))
        judge.show(list(ANSWERS.values()), (), keys=list(ANSWERS))
