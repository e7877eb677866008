"""Why a cause stands where it stands, what the geometry says of it, and what the club did."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.tui import wording
from arclore.tui.chances import standing
from arclore.tui.command.page import counted, sentence
from arclore.tui.doubt_words import doubt_lines
from arclore.tui.flow import Flow
from arclore.tui.hand import for_hand
from arclore.tui.keys import key_for
from arclore.tui.measures import model_limits
from arclore.tui.outlook_words import ACT_NOW, result_means
from arclore.tui.waiting import waiting_line
from arclore.tui.widgets.put import put
from arclore.tui.widgets.shelf import Shelf
from arclore.tui.widgets.text import heading, lines, plain, points
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

BEGIN = (
    "A digit or a click answers; causes are ranked once a club is named, and again at every answer.",
    "Up and down go to any other question: the order is yours.",
    "{words} takes the student's own words.",
    "{at_hand} says what there is to work with: minutes, place, kit.",
    "{lessons} goes on with an earlier lesson.",
    "{write} goes on with an entry that you began, or begins one.",
    "{help} explains what has the focus.",
)


class WhyPane(VerticalScroll):
    """The explanation of the marked cause."""

    HELP_TEXT = (
        "The explanation of the marked cause: which answers speak for it and against it, whether the geometry agrees, "
        "and where the club was going, where it looked and where it bottomed out."
    )

    def compose(self) -> ComposeResult:
        yield Static(id="why")

    def show(self, flow: Flow, shelf: Shelf, marked: str, state: str = "") -> None:
        """Explain the marked cause, or the leading one."""
        answer, handed = flow.answer, flow.lesson.handed
        shown = self.query_one("#why", Static)
        title = f"Why, {state}" if state else "Why"
        if answer is None or not answer["causes"]:
            put(shown, lines(heading(title), "Nothing to explain yet.", " ", *_begin(shelf)))
            return
        cause = next((c for c in answer["causes"] if c["id"] == marked), answer["causes"][0])
        top = answer["causes"][0]
        because = wording.because_lines(cause, shelf.titles, handed)
        put(
            shown,
            lines(
                heading(title),
                plain(for_hand(cause["title"], handed), "bold"),
                f"{standing(cause['probability'], top['probability'], cause is top)}; "
                f"{wording.STAGE_WORDS.get(cause['stage'], cause['stage'])}",
                *(points(because) or [plain("No answer bears on it yet.")]),
                heading("Geometry"),
                *wording.verdict_lines(cause, shelf.units),
                heading("What the club did"),
                *_delivery(answer, shelf.units),
                *_doubts(answer, shelf),
                *_asides(answer),
                *_check(answer, key_for("check", shelf.keys)),
            ),
        )


def _begin(shelf: Shelf) -> list[Content]:
    """What a coach may do before there is anything to explain."""
    named = {deed: key_for(deed, shelf.keys) for deed in ("words", "at_hand", "lessons", "write", "help")}
    waits = waiting_line(*shelf.waiting, shelf.keys)
    begin = points(line.format_map(named) for line in BEGIN)
    return [plain(waits, "bold"), Content(" "), *begin] if waits else begin


def _delivery(answer: Mapping[str, Any], units: str) -> list[str]:
    found = [line for club, given in answer["delivery"].items() for line in wording.delivery_lines(club, given, units)]
    limits = wording.MODEL_LIMITS.format(limits=model_limits(units))
    return [*found, limits] if found else ["Nothing was said of the ball yet."]


def _doubts(answer: Mapping[str, Any], shelf: Shelf) -> list[Content]:
    told = doubt_lines(answer, shelf.titles, shelf.units)
    return [heading("What is doubtful"), *(plain(line) for line in told)] if told else []


def _asides(answer: Mapping[str, Any]) -> list[Content]:
    notes = [sentence(note) for note in answer["notes"]]
    notes += [f"Theory, not counted as seen: {theory}." for theory in answer["theories"]]
    return [heading("Also"), *(plain(note) for note in notes)] if notes else []


def _check(answer: Mapping[str, Any], key: str) -> list[Content]:
    act = [ACT_NOW] if answer["act_now"] else []
    if not answer["next_checks"]:
        return [plain(line) for line in act]
    best = answer["next_checks"][0]
    takes = counted(best["minutes"], "minute")
    tells = f"{sentence(best['title'])} It takes {takes} and tells {best['bits']:.1f} bits. Press {key} to do it."
    meant = [f"{result['id'].replace('-', ' ')}: {result_means(answer, result)}" for result in best["results"]]
    return [heading("Next check"), *(plain(line) for line in [*act, tells]), *points(meant)]
