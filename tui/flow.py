"""The run of a lesson: which question stands, what an answer does to it, and what was ranked before and after.

No screen and no thread: a screen shows what stands here and hands in keys and results.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.tui.at_hand import at_hand_questions
from arclore.tui.lesson import ASKED, NOT_SAID, PROVED, SKIPPED, UNSURE, Lesson, case_input, gate
from arclore.tui.moved import Said
from arclore.tui.questions import Question, questions
from arclore.tui.tally import counted_words

ASIDE = ("said:", "tally:", "before:", "visit", PROVED)  # what is told beside the questions
PROVED_WORDS = "it proved to be this cause"


class Flow:
    """One lesson under way. ``answer`` is the engine's latest, ``before`` the one it replaced.

    ``early`` is the ranking alone of the answer that is still being worked out.
    """

    def __init__(self, lesson: Lesson | None = None) -> None:
        self.lesson = lesson or Lesson()
        self.safety: tuple[str, ...] = ()
        self.checks: Mapping[str, Mapping[str, Any]] = {}
        self.flags: tuple[str, ...] = ()  # what the library's drills and checks ask to spare
        self.kit: tuple[str, ...] = ()  # what the library's drills and checks need
        self.answer: dict[str, Any] | None = None
        self.early: dict[str, Any] | None = None
        self.before: dict[str, Any] | None = None
        self.said: Said | None = None
        self.current = ""
        self.picked: list[str] = []
        self.shift = 0  # how many offered checks the coach has passed over
        self.led = True  # whether the coach was led to where they stand, not went there

    # --- what stands ----------------------------------------------------------------------------------------------

    @property
    def questions(self) -> list[Question]:
        """All questions of the lesson as it stands; none before the safety questions are known."""
        if not self.safety:
            return []
        lesson = self.lesson
        known = (self.safety, self.checks, self.offered, lesson.handed, self.flags)
        return [*questions(lesson.answers, lesson.clubs, *known), *at_hand_questions(self.kit)]

    @property
    def offered(self) -> list[str]:
        """The check offered now: the engine's best, or the one the coach moved on to."""
        names = self._on_offer
        turned = [*names[self.shift :], *names[: self.shift]]
        result = ([name for name in turned if f"check:{name}" not in self.lesson.answers] or turned)[:1]
        standing = self.current.removeprefix("check:")
        return [standing] if self.current.startswith("check:") and standing in self.checks else result

    def place_of(self, question: str) -> str:
        """What a check is at this moment: done, the one that tells most, another one on offer, or none of these."""
        name = question.removeprefix("check:")
        names = self._on_offer
        if self.lesson.answers.get(question) not in NOT_SAID:
            return "Check, done"
        if name not in names:
            return "Check"
        place = names.index(name)
        return f"Check {place + 1} of {len(names)} on offer" if place else "Next check"

    @property
    def _on_offer(self) -> list[str]:
        return [row["id"] for row in self.answer["next_checks"]] if self.answer else []

    @property
    def question(self) -> Question | None:
        """The question that stands."""
        asked = self.questions
        return next((q for q in asked if q.id == self.current), asked[0] if asked else None)

    @property
    def gate(self) -> str:
        """Where safety stands: waiting, open or stopped."""
        return gate(self.lesson.answers, len(self.safety))

    @property
    def case(self) -> dict[str, Any] | None:
        """The case for the engine; None while safety is not answered or no club is named."""
        return self._case(self.lesson)

    def _case(self, lesson: Lesson) -> dict[str, Any] | None:
        if gate(lesson.answers, len(self.safety)) != "open" or not lesson.clubs:
            return None
        case = case_input(lesson)
        known = {name: result for name, result in case.pop("checks", {}).items() if name in self.checks}
        return {**case, "checks": known} if known else case  # a lesson may be older than the library

    @property
    def foreseen(self) -> list[dict[str, Any]]:
        """The cases that the next answer to the question that stands may make: clubs, what the ball did, or a check."""
        question = self.question
        if question is None or not (question.of_ball or question.of_check or (question.of_clubs and self.picked)):
            return []
        values: list[Any] = [choice.value for choice in question.choices]
        if question.several > 1:
            values = [self._picked(question)] if self.picked else [[value] for value in values]
        return [case for value in values if (case := self._case(self.lesson.answered(question.id, value)))]

    # --- what a person does ---------------------------------------------------------------------------------------

    def go_to(self, question: str, led: bool = False) -> None:
        """Stand at a question; choices given earlier are picked again."""
        self.current, self.led = question, led
        given = self.lesson.answers.get(question)
        self.picked = [str(item) for item in given] if isinstance(given, (list, tuple)) else []

    def step(self, by: int) -> None:
        """Stand at the question so many further on, without answering."""
        asked = [q.id for q in self.questions]
        if asked:
            place = asked.index(self.current) if self.current in asked else 0
            self.go_to(asked[min(max(place + by, 0), len(asked) - 1)])

    def choose(self, index: int) -> str:
        """Take the choice of this index: it answers, or joins those picked. Returns what stands in the way, or ""."""
        question = self.question
        if question is None or not 0 <= index < len(question.choices):
            return ""
        value = question.choices[index].value
        if question.several == 1:
            self.give(value)
        elif value in self.picked:
            self.picked.remove(value)
        elif len(self.picked) >= question.several:
            return f"At most {question.several}: take one back first."
        else:
            self.picked.append(value)
        return ""

    def confirm(self) -> str:
        """Answer with what was picked."""
        question = self.question
        if question is None or question.several == 1:
            return ""
        if not self.picked and not question.none:
            return "Choose at least one, or skip."
        self.give(self._picked(question))
        return ""

    def _picked(self, question: Question) -> list[str]:
        """What is picked, in the order in which it is offered."""
        return [choice.value for choice in question.choices if choice.value in self.picked]

    def wave(self, value: str) -> str:
        """Skip, or say not sure."""
        question = self.question
        if question is None:
            return ""
        if value == SKIPPED and question.must:
            return "A safety question cannot be skipped. Not sure counts as yes."
        if value == UNSURE and question.id == "clubs":
            return "Name the club that shows it most, or skip."
        if value == UNSURE and question.none:
            return "Ask the player, or skip." if question.id == "avoid" else "Look round, or skip."
        self.give(value)
        return ""

    def give(self, value: Any) -> None:
        """Answer the question that stands and go on to the next one without an answer."""
        question = self.question
        if question is None:
            return
        self.lesson = self.lesson.answered(question.id, value)
        self.said = Said(f"{question.short}: {question.words(value)}")
        self.current = question.id
        self.advance()

    def note(self, question: str, value: Any, words: str) -> None:
        """Record an answer to something other than the question that stands."""
        self.lesson = self.lesson.answered(question, value)
        self.said = Said(words)

    def undo(self) -> bool:
        """Take back the last answer and stand at its question; False where there is none."""
        last = self.lesson.last()
        if last is None:
            return False
        words = self._words(last)
        self.lesson = self.lesson.undone()
        self.said = Said(words, taken_back=True)
        if not last[0].startswith(ASIDE):
            self.go_to(last[0])
        return True

    def redo(self) -> bool:
        """Give the answer last taken back again; False where there is none."""
        lesson = self.lesson.redone()
        if lesson is self.lesson or lesson.done == self.lesson.done:
            return False
        self.lesson = lesson
        last = lesson.last()
        assert last is not None
        self.said = Said(self._words(last))
        if not last[0].startswith(ASIDE):
            self.current = last[0]
        self.advance()
        return True

    def _words(self, event: tuple[str, Any]) -> str:
        question = next((q for q in self.questions if q.id == event[0]), None)
        if question is not None:
            return f"{question.short}: {question.words(event[1])}"
        if event[0].startswith("tally:"):
            return counted_words(*event)
        return PROVED_WORDS if event[0] == PROVED else event[0].removeprefix("said:")

    def advance(self) -> None:
        """Stand at the next question that has no answer; where all have one, stay.

        Of those that are asked only when wanted, the one after one of them.
        """
        listed = self.questions
        asked = [q.id for q in listed]
        given = self.lesson.answers
        place = asked.index(self.current) if self.current in asked else -1
        wanted = place >= 0 and listed[place].aside
        after = [q.id for q in listed[place + 1 :] if wanted or not q.aside]
        order = [*after, *(q.id for q in listed[: place + 1] if not q.aside)]
        standing = self.current or (asked[0] if asked else "")
        self.go_to(next((name for name in order if given.get(name, ASKED) == ASKED), standing), led=True)

    def next_check(self, seen: bool = True) -> bool:
        """Stand at the offered check; at the next one if it was asked for already. False where none is on offer.

        seen: whether the question that stands is in sight. Whoever was led to a check has not asked for it.
        """
        names = self._on_offer
        if not names:
            return False
        standing = self.current.removeprefix("check:")
        if standing in names:
            self.shift = (names.index(standing) + (seen and not self.led)) % len(names)
        self.current = ""
        self.go_to(f"check:{names[self.shift % len(names)]}")
        return True

    def at_hand(self) -> None:
        """Stand at what there is to work with: the first of it that is not told, or the first."""
        names = [q.id for q in self.questions if q.aside]
        told = self.lesson.answers
        if names:
            self.go_to(next((name for name in names if told.get(name) in (None, ASKED, SKIPPED)), names[0]))

    # --- what comes back ------------------------------------------------------------------------------------------

    @property
    def ranking(self) -> tuple[dict[str, Any] | None, dict[str, Any] | None]:
        """The latest ranking and the one before it."""
        return (self.answer, self.before) if self.early is None else (self.early, self.answer)

    def ranked(self, answer: dict[str, Any]) -> None:
        """Take the engine's answer. Whoever was led to the end, or to a check, is led on to the best check now."""
        self.before, self.answer, self.early = self.answer, answer, None
        self.shift = 0
        standing = self.current
        if self.led and (standing in self.lesson.answers or standing.startswith("check:")):
            self.current = ""
            self.advance()
            if self.current in self.lesson.answers:
                self.go_to(standing, led=True)

    def forget_ranking(self) -> None:
        """No ranking stands: safety or the clubs were taken back."""
        self.before = self.answer = self.early = None
