"""The ranking as it stands: what leads, what moved and why, every cause with its chance in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from arclore.tui import wording
from arclore.tui.chances import standing
from arclore.tui.doubt_words import conflict_line
from arclore.tui.flow import Flow
from arclore.tui.moved import moved_lines, moved_mark, places
from arclore.tui.widgets.put import put, put_options
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option


class RankingPane(Vertical):
    """Causes, best first."""

    HELP_TEXT = (
        "The ranking. It re-orders at each answer and says what moved. j and k go down and up the causes; the "
        "explanation follows the marked one. Chances say how often a cause is at work in lessons that look like this."
    )

    class Marked(Message):
        """A cause was marked in the list."""

        def __init__(self, cause: str) -> None:
            super().__init__()
            self.cause = cause

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="place", can_focus=False):
            yield Static(id="place-text")
        yield CauseList(id="causes")
        yield Static(id="tail")

    def show(self, flow: Flow, marked: str, state: str, titles: Mapping[str, str]) -> None:
        """Show the ranking of the flow, or what it still waits for. titles: of symptoms and checks, by id."""
        answer, before = flow.ranking
        place, tail = self.query_one("#place-text", Static), self.query_one("#tail", Static)
        title = f"Ranking, {state}" if state else "Ranking"
        if answer is None:
            put(place, lines(heading(title), waiting(flow)))
            self._list([], {}, marked)
            put(tail, Content(""))
            return
        moved = moved_lines(before, answer, flow.said)
        put(
            place,
            lines(
                heading(title),
                plain(wording.too_early(answer), "bold reverse"),
                plain(wording.beyond_the_list(answer), "bold"),
                plain(wording.place_line(answer), "bold"),
                plain(wording.stand_out(answer)),
                plain(conflict_line(answer, titles), "bold"),
                wording.share_line(answer),
                *moved,
            ),
        )
        first = answer["priority"]["id"] if answer["priority"] and not wording.nothing_told(answer) else ""
        self._list(answer["causes"], places(before), marked, first)
        put(tail, lines(*wording.tail_lines(answer)))

    def _list(
        self, causes: list[dict[str, Any]], before: Mapping[str, int], marked: str, first: str = ""
    ) -> None:
        options = []
        for number, cause in enumerate(causes, start=1):
            mark = moved_mark(cause["id"], before, number)
            chance = standing(cause["probability"], causes[0]["probability"], number == 1)
            stage = wording.STAGE_WORDS.get(cause["stage"], cause["stage"])
            kin = wording.kin_mark(causes, number)
            parts = (f"{number}. {chance}", stage, kin, mark, "change this first" if cause["id"] == first else "")
            head = " · ".join(part for part in parts if part)
            options.append(Option(lines(plain(head, "bold"), plain(cause["title"])), id=cause["id"]))
        place = next((i for i, cause in enumerate(causes) if cause["id"] == marked), 0 if causes else None)
        put_options(self.query_one("#causes", OptionList), options, place)

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_id is not None:
            self.post_message(self.Marked(event.option_id))


class CauseList(OptionList):
    """The causes; Enter takes what was picked of the question, as everywhere."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "screen.confirm", show=False)]


def waiting(flow: Flow) -> str:
    """What the ranking still waits for."""
    if flow.gate == "waiting":
        return "Nothing is ranked before the safety questions are answered."
    if not flow.lesson.clubs:
        return "Nothing is ranked yet: name a club, then say what the ball did."
    return "The first ranking is being worked out."
