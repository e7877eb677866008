"""The lesson: question, ranking and explanation, beside each other where they fit, one keystroke apart where not."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any, ClassVar, cast

from arclore.tui.flow import Flow
from arclore.tui.keys import LESSON, help_rows
from arclore.tui.lesson import ASKED, PROVED, UNSURE, WORDS_SAFETY, Lesson
from arclore.tui.lesson_store import Saved, Store
from arclore.tui.questions import FLAGS
from arclore.tui.screens.asking import Asking
from arclore.tui.screens.help import HelpScreen
from arclore.tui.screens.lessons import LessonsScreen
from arclore.tui.screens.sized import Sized, TooSmall
from arclore.tui.screens.stop import StopScreen
from arclore.tui.screens.words import WordsScreen
from arclore.tui.tally import next_visit
from arclore.tui.thinker import Thinker
from arclore.tui.waiting import waiting_line
from arclore.tui.widgets.choices import KEYS, Choices
from arclore.tui.widgets.drill_pane import DrillPane
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.picture_pane import PicturePane
from arclore.tui.widgets.question_pane import CaseList, QuestionPane
from arclore.tui.widgets.ranking_pane import RankingPane
from arclore.tui.widgets.shelf import Shelf
from arclore.tui.widgets.summary import Summary
from arclore.tui.widgets.why_pane import WhyPane
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical

if TYPE_CHECKING:
    from arclore.tui.desk import Desk

FOCUS = {
    "question": "#so-far",
    "ranking": "#causes",
    "why": "#why-pane",
    "drill": "#drill-scroll",
    "picture": "#picture-pane",
}
"""The panes by name, and what has the focus in each."""


class LessonScreen(Sized, Asking):
    """One lesson. It owns every change of state; workers only post messages to it."""

    DEEDS = LESSON
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"choose({number})", show=False) for number, key in enumerate(KEYS)),
        Binding("n", "letter('n')", show=False),
        Binding("y", "letter('y')", show=False),
        *(deed.binding() for deed in LESSON),
        Binding("q", "app.leave", "quit"),
    ]

    def __init__(self, thinker: Thinker, store: Store) -> None:
        super().__init__()
        self.thinker = thinker
        self.store = store
        self.flow = Flow()
        self.flow.flags = tuple(FLAGS)  # until the library says which of them it names
        self.shelf = Shelf()
        self.view = "question"
        self.marked = ""
        self.first_drill()
        self.visiting = False  # whether ten balls come first once the safety questions are answered
        self.pictured = False  # whether the picture has the right column, where there is one

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Nothing is answered unseen: in a window too small for the question no key of the lesson works."""
        return not self.has_class("-small")

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Horizontal(id="panes"):
            yield QuestionPane(id="question")
            yield RankingPane(id="ranking")
            with Vertical(id="beside"):
                yield WhyPane(id="why-pane")
                yield DrillPane(id="drill-pane")
                yield PicturePane(self.thinker, id="picture-pane")
        yield Summary(id="summary")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.query_one(CaseList).focus()
        self.paint()
        self.call_after_refresh(self.load)

    def on_screen_resume(self) -> None:
        """Whatever was closed over the lesson may have left, or taken up, something that waits."""
        if self.flow.answer is None:
            self.shelf = replace(self.shelf, waiting=self.store.waiting())
            self.paint()

    # --- one change of state: save, follow, paint -------------------------------------------------------------------

    def changed(self) -> None:
        """The lesson changed: follow it, and save it while the engine is at work."""
        self.follow()
        try:
            self.store.save(self.flow.lesson)
        except OSError as problem:
            self.say(f"the lesson could not be saved: {problem.strerror or problem}", "error")
        self.keep_proof()
        if self.visiting and self.flow.gate == "open":
            self.visiting = False
            self.action_tally()

    def paint(self) -> None:
        """Show everything as it stands."""
        if not self.is_mounted:
            return
        flow, shelf = self.flow, self.shelf
        self.paint_question()
        self.query_one(WhyPane).show(flow, shelf, self.marked, self.state)
        self.query_one(DrillPane).show(flow, shelf, self.marked, self.drill_shift)
        self.query_one(PicturePane).show(flow, self.marked, shelf.units)
        self.paint_ranking()

    def paint_question(self) -> None:
        """Show the question that stands, and the pane that is looked at."""
        for view in FOCUS:
            self.set_class(view == self.view, f"-{view}")
        self.set_class(self.pictured, "-pictured")
        self.query_one(QuestionPane).show(self.flow, self.shelf)

    def paint_ranking(self) -> None:
        """Show the ranking, which may be there before its explanation."""
        flow, state = self.flow, self.ranking_state
        marked = self.marked if flow.early is None else self.leader(flow.early)
        self.query_one(RankingPane).show(flow, marked, state, self.shelf.titles)
        self.query_one(Summary).present(flow, state, waiting_line(*self.shelf.waiting, self.shelf.keys))

    def use_units(self, units: str) -> None:
        """Show lengths in these units from now on."""
        self.shelf = replace(self.shelf, units=units)
        self.paint()

    def use_keys(self, keys: Mapping[str, str]) -> None:
        """Name these keys of one's own from now on."""
        self.shelf = replace(self.shelf, keys=keys)
        self.paint()

    def say(self, text: str, severity: str = "information") -> None:
        """A notice; its text is data and never markup."""
        from arclore.engine.library.problems import shortened

        self.notify(shortened(text, 300), severity=cast(Any, severity), markup=False)

    def stop(self, text: str) -> None:
        """Show the stop over everything."""
        if not isinstance(self.app.screen, StopScreen):
            self.app.push_screen(StopScreen(text), self._stopped)

    def _stopped(self, way: str | None) -> None:
        if way == "new":
            self.action_new()
        elif way == "quit":
            cast("Desk", self.app).action_leave()
        else:
            self.action_undo()

    def resume(self, saved: Saved) -> None:
        """Go on with a lesson found on disk."""
        try:
            self.store.take_over(saved)
        except OSError as problem:
            self.say(f"the lesson could not be taken over: {problem.strerror or problem}", "error")
        self.flow.forget_ranking()
        self.flow.lesson = saved.lesson
        self.proof = str(saved.lesson.answers.get(PROVED, ""))
        answers = saved.lesson.answers
        self.visiting = "visit" in answers and not any(question.startswith("tally:") for question in answers)
        self.flow.current = ""
        self.flow.advance()
        self.follow()

    # --- what a person does ---------------------------------------------------------------------------------------

    def action_choose(self, index: int) -> None:
        question = self.flow.question
        if question is not None and question.number:
            self.action_type(KEYS[index])
            return
        before = self.flow.lesson
        problem = self.flow.choose(index)
        if problem or self.flow.lesson is before:
            if problem:
                self.say(problem, "warning")
            self.prepare()
            self.paint()
            self.foresee()
        else:
            self.changed()

    def action_letter(self, letter: str) -> None:
        """Take the choice that has this letter for its own."""
        choices = self.flow.question.choices if self.flow.question else ()
        for index, choice in enumerate(choices):
            if choice.letter == letter:
                self.action_choose(index)

    def action_confirm(self) -> None:
        self._act(self.flow.confirm)

    def action_type(self, character: str) -> None:
        """The first character of a number goes to its field."""
        question = self.flow.question
        if question is not None and question.number:
            self.action_view("question", toggle=False)
            self.query_one(QuestionPane).begin_number(character)

    def action_zero(self) -> None:
        """Not sure; where a number is asked for, its first digit."""
        question = self.flow.question
        if question is not None and question.number:
            self.action_type("0")
        else:
            self.action_wave(UNSURE)

    def action_wave(self, value: str) -> None:
        self._act(lambda: self.flow.wave(value))

    def _act(self, act: Callable[[], str]) -> None:
        problem = act()
        if problem:
            self.say(problem, "warning")
        else:
            self.changed()

    def action_undo(self) -> None:
        if self.flow.undo():
            self.changed()
        else:
            self.say("There is nothing to take back.")

    def action_redo(self) -> None:
        if self.flow.redo():
            self.changed()
        else:
            self.say("There is nothing to give again.")

    def action_step(self, by: int) -> None:
        self.flow.step(by)
        self.action_view("question", toggle=False)
        self.foresee()

    def action_page(self, by: int) -> None:
        """Scroll a question that is longer than its room."""
        question = self.flow.question
        asked = self.query_one("#check-how" if question is not None and question.of_check else "#asked")
        asked.scroll_relative(y=by * max(asked.size.height - 1, 1), animate=False)

    def action_view(self, view: str, toggle: bool = True) -> None:
        """Show a pane; asked again, go back to the question. The focus goes with it."""
        self.view = "question" if toggle and view == self.view else view
        self.pictured = self.view == "picture" or (self.pictured and self.view not in ("why", "drill"))
        self.paint()
        self.query_one(FOCUS[self.view]).focus()

    def action_check(self) -> None:
        if not self.flow.next_check(seen=self.view == "question" or not self.has_class("-narrow")):
            self.say("No check is on offer yet.")
        self.action_view("question", toggle=False)
        self.foresee()

    def action_at_hand(self) -> None:
        self.flow.at_hand()
        self.action_view("question", toggle=False)

    def action_drill(self) -> None:
        """Show the first drill for the marked cause; asked again, another one."""
        if self.view == "drill" and (self.drill_called or self.has_class("-narrow")):
            self.drill_shift += 1
        self.drill_called = True
        self.action_view("drill", toggle=False)

    def action_picture(self) -> None:
        """Show the picture; asked again, the next one; after the last, put it away."""
        pane = self.query_one(PicturePane)
        if not pane.display or self.view not in ("picture", "question") or pane.step():
            self.action_view("picture", toggle=False)
        else:
            self.pictured = False
            self.action_view("question", toggle=False)

    def action_mark(self, by: int) -> None:
        names = [cause["id"] for cause in self.flow.answer["causes"]] if self.flow.answer else []
        if names:
            place = names.index(self.marked) if self.marked in names else 0
            self.marked = names[min(max(place + by, 0), len(names) - 1)]
            self.first_drill()
            self.paint()

    def action_words(self) -> None:
        if self.flow.gate != "open":
            self.say("First the safety questions.", "warning")
            return
        screen = WordsScreen(self.thinker, self.flow.lesson.handed, self.shelf.titles, self._accepted, self._pained)
        self.app.push_screen(screen)

    def _accepted(self, proposal: Mapping[str, Any]) -> None:
        kept = {name: proposal.get(name) for name in ("phrase", "outcome", "findings", "theory")}
        kept["club"] = proposal.get("club", "")
        self.flow.note(f"said:{proposal['phrase']}", kept, f"the words “{proposal['phrase']}”")
        self.changed()

    def _pained(self) -> None:
        self.flow.note(WORDS_SAFETY, ASKED, "words of pain")
        self.flow.go_to(WORDS_SAFETY)
        self.view = "question"
        self.changed()

    def action_new(self) -> None:
        self.begin(Lesson(), finished=True)

    def action_lessons(self) -> None:
        self.app.push_screen(LessonsScreen(self.store, self.take_up))

    def take_up(self, saved: Saved) -> None:
        """Open the next visit of a finished lesson, or go on with an unfinished one."""
        if saved.finished:
            self.begin(next_visit(saved.lesson, saved.id), finished=False)
            self.visiting = True
            self.say("Next visit: first the safety questions, then ten balls without help.")
        else:
            self.resume(saved)

    def begin(self, lesson: Lesson, finished: bool) -> None:
        """Leave the lesson that stands, finished or not, and begin with this one."""
        try:
            self.store.save(self.flow.lesson, finished=finished)
        except OSError as problem:
            self.say(f"the lesson could not be saved: {problem.strerror or problem}", "error")
        self.store.begin()
        old, self.flow, self.proof = self.flow, Flow(lesson), ""
        self.flow.safety, self.flow.checks, self.flow.flags, self.flow.kit = old.safety, old.checks, old.flags, old.kit
        self.flow.advance()
        self.view = "question"
        self.follow()

    def action_help(self) -> None:
        focused = self.focused
        nodes = focused.ancestors_with_self if focused else []
        texts = [text for node in nodes if isinstance(text := getattr(node, "HELP_TEXT", None), str)]
        self.app.push_screen(HelpScreen(texts, help_rows(own=cast("Desk", self.app).settings.keys)))

    # --- messages of the panes ------------------------------------------------------------------------------------

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_choose(event.index)

    def on_question_pane_waved(self, event: QuestionPane.Waved) -> None:
        self.action_wave(event.value)

    def on_question_pane_confirmed(self) -> None:
        self.action_confirm()

    def on_question_pane_typed(self, event: QuestionPane.Typed) -> None:
        self.set_focus(None)
        self.flow.give(event.value)
        self.changed()

    def on_question_pane_went_to(self, event: QuestionPane.WentTo) -> None:
        self.flow.go_to(event.question)
        self.paint()
        self.foresee()

    def on_ranking_pane_marked(self, event: RankingPane.Marked) -> None:
        self.marked = event.cause
        self.first_drill()
        self.paint()
