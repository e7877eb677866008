"""The question that stands, its answers, and the case so far."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import ClassVar

from arclore.tui.flow import Flow
from arclore.tui.keys import key_for
from arclore.tui.lesson import ASKED, SKIPPED, UNSURE
from arclore.tui.questions import Choice, Question
from arclore.tui.tally import counted_words
from arclore.tui.widgets.check_sheet import CheckSheet
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.put import put, put_options
from arclore.tui.widgets.shelf import Shelf
from arclore.tui.widgets.text import lines, plain
from arclore.tui.wording import proposal_words
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

NUMBER = r"[+-]?[0-9]{0,4}([.][0-9]{0,3})?"
CONFIRM = "confirm"
TYPE = "type the number here, then Enter"
MOST_BESIDE = 6  # choices that leave room for the case so far in a small window
GO_ON = "Enough known? {drill} shows the drill, {student} the student's view, {wrap} the page to take home."
FARTHEST = 1000.0  # of any measured number, in its own unit


class QuestionPane(Vertical):
    """Shows a question. It only says what was clicked or typed; what that means is decided elsewhere."""

    HELP_TEXT = (
        "The question that stands. Answer with a digit or a click; 0 is not sure, s skips, u takes the last answer "
        "back. Up and down go to any other question: the order is yours."
    )

    class Waved(Message):
        """Not sure, or skip, was clicked."""

        def __init__(self, value: str) -> None:
            super().__init__()
            self.value = value

    class Confirmed(Message):
        """What was picked is to be taken as the answer."""

    class Typed(Message):
        """A number was typed."""

        def __init__(self, value: float) -> None:
            super().__init__()
            self.value = value

    class WentTo(Message):
        """A question was chosen from the case so far."""

        def __init__(self, question: str) -> None:
            super().__init__()
            self.question = question

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="asked", can_focus=False):
            yield Static(id="ask")
            yield Choices(id="answers")
        yield CheckSheet(id="check-sheet")
        yield NumberField(id="number", placeholder=TYPE, select_on_focus=False, restrict=NUMBER, compact=True)
        yield Choices(id="waves")
        yield CaseList(id="so-far")

    def show(self, flow: Flow, shelf: Shelf) -> None:
        """Show what stands in the flow."""
        question = flow.question
        ask, answers = self.query_one("#ask", Static), self.query_one("#answers", Choices)
        number, waves = self.query_one("#number", Input), self.query_one("#waves", Choices)
        if question is None:
            put(ask, plain("Reading the safety questions…"))
            number.display = False
            return
        given = flow.lesson.answers.get(question.id)
        chosen = flow.picked if question.several > 1 else [given] if isinstance(given, str) else []
        self.set_class(question.of_check, "-check")
        self.set_class(len(question.choices) > MOST_BESIDE, "-long")
        picked = [str(item) for item in chosen]
        if question.of_check:
            cautions = question.cautions or shelf.cautions
            self.query_one(CheckSheet).show(question, _head(question, flow), picked, cautions, _go_on(shelf))
        else:
            put(ask, lines(plain(_head(question, flow)), plain(question.ask, "bold"), question.hint))
            answers.show(question.choices, picked, boxes=question.several > 1)
        number.display = question.number
        if not question.number:
            if number.has_focus:
                self.query_one(CaseList).focus()
        elif not number.has_focus:
            number.value = f"{given:g}" if isinstance(given, (int, float)) else ""
        offered = _waves(question, flow.picked)
        waves.show(list(offered.values()), [str(given)], keys=list(offered))
        self.query_one(CaseList).show(flow, shelf.titles)
        self._fit()

    def on_resize(self) -> None:
        self._fit()

    def _fit(self) -> None:
        """Give a check the room that the rest of the pane leaves it."""
        if self.has_class("-check"):
            width, rows = self.content_size
            waves = self.query_one("#waves", Choices).get_content_height(self.content_size, self.size, width) + 1
            number = 2 if self.query_one("#number").display else 0
            self.set_class(not self.query_one(CheckSheet).fit(width, rows - waves - number), "-tight")
        else:
            self.remove_class("-tight")

    def begin_number(self, character: str) -> None:
        """Begin to type a number."""
        self.query_one(NumberField).begin(character)

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        if event.row == "waves":
            event.stop()
            self.post_message(self.Confirmed() if event.value == CONFIRM else self.Waved(event.value))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            value = float(event.value)
        except ValueError:
            return
        if abs(value) <= FARTHEST:
            self.post_message(self.Typed(value))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_id is not None:
            self.post_message(self.WentTo(event.option_id))


class NumberField(Input):
    """Takes the focus only when a number is begun, so that the single keys work until then."""

    HELP_TEXT = "The result of the check, as a number. Enter takes it, Esc leaves the field."

    def on_mount(self) -> None:
        self.can_focus = False

    def begin(self, text: str) -> None:
        """Begin a number with this text."""
        self.value = text
        self.can_focus = True
        self.focus()
        self.cursor_position = len(text)

    def on_click(self) -> None:
        if not self.has_focus:
            self.begin(self.value)

    def on_blur(self) -> None:
        self.can_focus = False


class CaseList(OptionList):
    """All questions with their answers; the one that stands is marked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "screen.confirm", show=False),
        Binding("up", "screen.step(-1)", show=False),
        Binding("down", "screen.step(1)", show=False),
        Binding("pageup", "screen.page(-1)", show=False),
        Binding("pagedown", "screen.page(1)", show=False),
    ]
    HELP_TEXT = "The case so far. Up and down, or a click, go to a question; answer it again to change it."

    def on_resize(self) -> None:
        self.scroll_to_highlight()

    def on_show(self) -> None:
        """Take the focus that was lost while a long question left no room for the list."""
        if self.screen.focused is None:
            self.focus()

    def show(self, flow: Flow, titles: Mapping[str, str]) -> None:
        """Show all questions of the flow."""
        answers = flow.lesson.answers
        asked = flow.questions
        options = []
        for question in asked:
            given = answers.get(question.id)
            mark = ">" if question.id == flow.current else " "
            said = question.words(given) if given not in (None, ASKED) else "…"
            options.append(Option(plain(f"{mark} {question.short}: {said}"), id=question.id))
        for question_id, given in answers.items():
            if question_id.startswith("said:") and isinstance(given, dict):
                means = proposal_words(given, titles, flow.lesson.handed)
                options.append(Option(plain(f"  said “{given.get('phrase')}”: {means}"), disabled=True))
            elif question_id.startswith("tally:") and given:
                options.append(Option(plain(f"  counted: {counted_words(question_id, given)}"), disabled=True))
        place = next((i for i, question in enumerate(asked) if question.id == flow.current), None)
        put_options(self, options, place)


def _head(question: Question, flow: Flow) -> str:
    """Where the question stands: in the order of all, or of a check among those on offer."""
    if question.of_check:
        return f"{flow.place_of(question.id)}: {question.short.removeprefix('check: ')}"
    asked = [q.id for q in flow.questions if q.aside == question.aside]
    place = asked.index(question.id) + 1 if question.id in asked else 1
    return f"{'What have we got?' if question.aside else 'Question'} {place} of {len(asked)}"


def _go_on(shelf: Shelf) -> str:
    return GO_ON.format_map({action: key_for(action, shelf.keys) for action in ("drill", "student", "wrap")})


def _waves(question: Question, picked: Sequence[str]) -> dict[str, Choice]:
    """What can be said instead of an answer, by key."""
    done = question.none if question.none and not picked else "done"
    waves = {"Enter": Choice(CONFIRM, done)} if question.several > 1 else {}
    if not question.number and not question.none and question.id != "clubs":
        waves["0"] = Choice(UNSURE, "not sure")
    if not question.must:
        waves["s"] = Choice(SKIPPED, "skip")
    return waves
