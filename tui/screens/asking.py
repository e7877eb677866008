"""How a lesson asks the engine: beside the screen, the newest case only, the ranking first and the rest after it."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from threading import Event
from typing import TYPE_CHECKING, Any, cast

from arclore.tui.at_hand import kit_of
from arclore.tui.background import in_background
from arclore.tui.lesson import NOT_SAID
from arclore.tui.messages import EngineFailed, LibraryReady, Ranked, SafetyReady
from arclore.tui.questions import flags_of
from arclore.tui.screens.openers import Openers
from arclore.tui.thinker import Safety
from arclore.tui.trace import Trace
from arclore.tui.widgets.shelf import Shelf

if TYPE_CHECKING:
    from arclore.tui.desk import Desk

Prepared = tuple[tuple[str, ...], str]  # clubs, level
LIKELY_CLUBS, LIKELY_LEVEL, UNKNOWN = ("driver", "mid-iron"), "novice", "unknown"  # the first two until they are said
REFRESHES = 2  # until a change of the panes has gone all the way
TOGETHER_S = 0.06  # how long the next question waits for the ranking: one painting of both takes less than two
PATIENCE_S = 0.25  # how long an old ranking stands without a word
WORKED_OUT = "being worked out"
LEFT_BEHIND = "before the last answer, which could not be ranked"


class Asking(Openers):
    """Part of the lesson's screen. What works beside the screen only posts messages to it."""

    def __init__(self) -> None:
        super().__init__()
        self.safety = Safety((), "")
        self.serial = 0
        self.asked: dict[str, Any] | None = None  # the case last handed to the engine
        self.thinking = False
        self.told = ""  # the engine's last complaint, so that it is not said twice
        self.pressed = 0.0  # when the key went down whose answer made the case that is being ranked
        self.prepared: Prepared = ((), "")
        self.foreseen: list[dict[str, Any]] = []  # cases that are ranked beforehand
        self.painted = Event()  # the answer last handed to the screen stands on it

    @property
    def trace(self) -> Trace:
        return cast("Desk", self.app).trace

    @abstractmethod
    def paint(self) -> None:
        """Show everything as it stands."""

    @abstractmethod
    def paint_question(self) -> None:
        """Show the question that stands."""

    @abstractmethod
    def paint_ranking(self) -> None:
        """Show the ranking as it stands."""

    @abstractmethod
    def stop(self, text: str) -> None:
        """Show the stop over everything."""

    @property
    def state(self) -> str:
        """What an explanation on the screen is worth at this moment; "" where it answers all that was said."""
        if self.thinking:
            return WORKED_OUT
        return LEFT_BEHIND if self.told and self.asked is None else ""

    @property
    def ranking_state(self) -> str:
        """The same of the ranking, which comes before its explanation."""
        return "" if self.thinking and self.flow.early is not None else self.state

    def load(self) -> None:
        """Read the library once the first question is on the screen."""
        self.run_worker(in_background(self._load), group="load")

    def follow(self) -> None:
        """Stop, rank or wait, as the lesson says; then paint."""
        case = self.flow.case
        if case is None:
            self.serial += 1
            self.asked, self.thinking = None, False
            self.flow.forget_ranking()
            if self.flow.gate == "stopped":
                self.stop(self.safety.stop)
        elif case == self.asked:
            if not self.thinking and self.flow.answer is not None:
                self.flow.ranked(self.flow.answer)
        else:
            self.rank(case)  # what stands is replaced in a moment: painting it twice only takes time
            self.set_timer(TOGETHER_S, partial(self._unless_ranked, self.serial, self.paint_question))
            self.set_timer(PATIENCE_S, partial(self._unless_ranked, self.serial, self.paint))
            return
        self.prepare()
        self.paint()

    def _unless_ranked(self, serial: int, paint: Callable[[], None]) -> None:
        """Paint where the ranking takes its time: the next question, later that it is being worked out."""
        if serial == self.serial and self.thinking and self.flow.early is None:
            paint()

    def rank(self, case: dict[str, Any]) -> None:
        """Hand the case to the engine; an older case that is not ranked yet is dropped."""
        self.serial += 1
        self.asked, self.thinking = case, True
        self.flow.early, self.foreseen = None, []
        self.pressed = self.trace.pressed
        self.painted.set()  # who waits for the painting of an older answer goes on, and so makes way
        self.run_worker(in_background(partial(self._rank, case, self.serial)), exclusive=True, group="rank")

    def prepare(self) -> None:
        """Have the engine work out beforehand what a case with the clubs at hand will need."""
        flow = self.flow
        picked = flow.picked if flow.current == "clubs" else flow.lesson.clubs
        level = flow.lesson.answers.get("level", LIKELY_LEVEL)
        wanted = (tuple(picked) or LIKELY_CLUBS, UNKNOWN if level in NOT_SAID else str(level))
        if self.thinker.bench is not None and wanted != self.prepared and flow.gate != "stopped":
            self.prepared = wanted
            self.run_worker(in_background(partial(self._prepare, wanted)), group="prepare")

    def foresee(self) -> None:
        """Have the engine rank beforehand what the question that stands may be answered with."""
        cases = [] if self.thinking else self.flow.foreseen
        if cases != self.foreseen:
            self.foreseen = cases
            if cases:
                self.run_worker(in_background(partial(self._foresee, cases)), group="foresee")

    def once_painted(self, act: Callable[[], object], rounds: int = REFRESHES) -> None:
        """Act once what the panes were given is on the screen: they ask for room, are laid out, then drawn.

        By way of a child, whose turn comes after that of every pane that has yet to ask.
        """
        if rounds:
            self.children[-1].call_later(self.call_after_refresh, self.once_painted, act, rounds - 1)
        else:
            act()

    def _go_on_to_question(self, serial: int) -> None:
        """Once the ranking is painted: paint the next question, and then let the engine go on."""
        self._note("ranking", serial)
        if serial == self.serial:
            self.paint_question()
            self.once_painted(partial(self._note, "question", serial))
            self.once_painted(self.painted.set)

    def _note(self, what: str, serial: int) -> None:
        """Note for the trace what stands on the screen."""
        if serial == self.serial:
            self.trace.shown(what, self.pressed, answers=self.flow.lesson.done, clubs=len(self.flow.lesson.clubs))

    # --- beside the screen ----------------------------------------------------------------------------------------

    def _load(self) -> None:
        try:
            self.post_message(SafetyReady(self.thinker.safety()))
            bench = self.thinker.load()
        except Exception as problem:
            self.post_message(EngineFailed(f"the library could not be read: {problem}"))
            return
        self.post_message(LibraryReady(len(bench.library.problems)))

    def _rank(self, case: Mapping[str, Any], serial: int) -> None:
        try:
            for answer in self.thinker.answers(case, lambda: serial == self.serial):
                self.painted.clear()
                self.post_message(Ranked(serial, answer))
                if serial == self.serial:
                    self.painted.wait(PATIENCE_S)  # the screen first: both want the interpreter
        except Exception as problem:
            self.post_message(EngineFailed(f"the case could not be ranked: {problem}", serial))

    def _prepare(self, wanted: Prepared) -> None:
        with suppress(Exception):  # nothing is lost: the ranking itself will say what is wrong
            self.thinker.prepare(*wanted, lambda: wanted == self.prepared)

    def _foresee(self, cases: list[dict[str, Any]]) -> None:
        with suppress(Exception):
            self.thinker.foresee(cases, lambda: cases is self.foreseen)

    # --- what comes back ------------------------------------------------------------------------------------------

    def on_safety_ready(self, event: SafetyReady) -> None:
        self.safety = event.safety
        self.flow.safety = event.safety.questions
        if self.flow.led:
            self.flow.advance()
        self.follow()

    def on_library_ready(self, event: LibraryReady) -> None:
        bench = self.thinker.bench
        assert bench is not None
        library = bench.library
        titles = {name: entry["title"] for kind in (library.symptoms, library.checks) for name, entry in kind.items()}
        entries = (library.checks, library.drills, titles, self.safety.cautions, library.causes)
        self.shelf = Shelf(*entries, self.shelf.units, self.shelf.keys, self.shelf.waiting)
        self.flow.checks, self.flow.flags = library.checks, flags_of(library.drills, library.checks)
        self.flow.kit = kit_of(library.drills, library.checks)
        if self.flow.question is not None and self.flow.question.id != self.flow.current:  # it is asked no more
            self.flow.advance()
        if event.problems:
            self.say(f"{event.problems} problems in the library: run  arclore library check", "warning")
        if self.thinker.notice:
            self.say(self.thinker.notice, "warning")
        self.follow()

    def on_ranked(self, event: Ranked) -> None:
        if event.serial != self.serial:
            return
        if event.answer["stop"]:
            self.thinking = False
            self.stop(event.answer["stop"])
        elif event.whole and not self.thinking:  # explained already: now its doubts are known too
            self.flow.answer = event.answer
            self.paint()
            self.once_painted(self.painted.set)
        elif event.whole:
            self.thinking, self.told = False, ""
            self.flow.ranked(event.answer)
            self.marked = self.leader(event.answer)
            self.first_drill()
            self.prepare()
            self.paint()
            self.once_painted(partial(self._note, "explanation", event.serial))
            self.once_painted(self.painted.set)
            self.once_painted(self.foresee)
        else:
            self.flow.early = event.answer
            self.paint_ranking()  # alone it stands there sooner
            self.once_painted(partial(self._go_on_to_question, event.serial))

    def on_engine_failed(self, event: EngineFailed) -> None:
        if event.serial in (-1, self.serial):
            self.asked, self.thinking, self.flow.early = None, False, None
            if event.what != self.told:
                self.say(event.what, "error")
            self.told = event.what
            self.paint()

    @staticmethod
    def leader(answer: Mapping[str, Any]) -> str:
        """The cause that is marked first: what to change first, else the likeliest; "" where none is listed."""
        first = answer["priority"] or next(iter(answer["causes"]), None)
        return str(cast(Any, first)["id"]) if first else ""
