"""The sheets that open over a lesson, and what each of them is handed."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from arclore.tui.lesson import ASKED, COUNTED, balls_of
from arclore.tui.messages import WriteWanted
from arclore.tui.screens.library import LibraryScreen
from arclore.tui.screens.proving import Proving
from arclore.tui.screens.student import StudentScreen
from arclore.tui.screens.tally import TallyScreen
from arclore.tui.screens.what_if import WhatIfScreen
from arclore.tui.screens.wrap import WrapScreen
from arclore.tui.tally import ENOUGH, counted_words
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.drill_pane import offered
from arclore.tui.widgets.shelf import Shelf

WEIGHTS = (("path_deg", 1.0), ("face_deg", 1.0), ("low_point_cm", 0.5))  # of a change, as a picture shows it


class Openers(Proving):
    """Part of the lesson's screen: opens the other sheets where there is something to show."""

    thinker: Thinker
    shelf: Shelf
    marked: str
    drill_shift: int  # how far the drill that is shown stands behind the first one
    drill_called: bool  # whether the coach has asked for a drill since the first one came up

    def first_drill(self) -> None:
        """Offer the first drill again: another cause is marked, or the ranking is another."""
        self.drill_shift, self.drill_called = 0, False

    def _ranked(self) -> dict[str, Any] | None:
        """The answer that stands; where there is none, say so."""
        answer = self.flow.answer
        if answer is None or not answer["causes"]:
            self.say("First a ranking: answer the safety questions and name a club.", "warning")
            return None
        return answer

    def _clubs(self, answer: dict[str, Any]) -> list[str]:
        """The clubs that the marked cause is about first.

        Of these the one that putting it right changes most, then the one of the question that stands.
        """
        from arclore.engine.diagnosis.moves import covers  # here: the first frame waits for no engine

        focused, cause = self.flow.current.rpartition("@")[2], self._cause(answer) or {}
        about = cause.get("clubs", ("all",))

        def order(club: str) -> tuple[bool, float, bool]:
            return not covers(about, club), -changed_by(answer, self.marked, club), club != focused

        return sorted(answer["delivery"], key=order)

    def action_wrap(self) -> None:
        answer = self._ranked()
        if answer is None:
            return
        cause, drill = self._cause(answer), offered(self.flow, self.shelf, self.marked, self.drill_shift)
        if cause is None or drill is None:
            self.say("No drill is on offer for this cause, so there is no page yet.", "warning")
            return
        place = self._place(answer)
        proved = partial(self.proved, self.marked or answer["causes"][0]["id"])
        self.app.push_screen(WrapScreen(self.thinker, answer, (cause, drill), self.shelf, place, proved))

    def action_student(self) -> None:
        answer = self._ranked()
        cause = self._cause(answer) if answer else None
        if answer is None or cause is None:
            return
        drill = offered(self.flow, self.shelf, self.marked, self.drill_shift)
        self.app.push_screen(StudentScreen(self.thinker, answer, (cause, drill), self._place(answer)))

    def action_write(self) -> None:
        self.app.post_message(WriteWanted(self.flow.lesson.handed))

    def action_library(self) -> None:
        self.app.push_screen(LibraryScreen(self.thinker, self.flow.lesson.handed))

    def _cause(self, answer: dict[str, Any]) -> Mapping[str, Any] | None:
        """The entry of the marked cause, or of the leading one."""
        return self.shelf.causes.get(self.marked or answer["causes"][0]["id"])

    def _place(self, answer: dict[str, Any]) -> tuple[str, str]:
        return next(iter(self._clubs(answer)), ""), self.marked

    def action_tally(self) -> None:
        """Count balls; the count stands in the place of an answer, ball by ball."""
        clubs = self.flow.lesson.clubs
        if self.flow.gate != "open" or not clubs:
            self.say("First the safety questions and the clubs.", "warning")
            return
        self.app.push_screen(TallyScreen(self.flow.lesson.answers, clubs, self.counted), self._tallied)

    def counted(self, key: str, balls: list[str]) -> None:
        """Keep a count; it answers its question from the first ball on."""
        question, words = key.partition(":")[2], counted_words(key, balls)
        if self.flow.lesson.answers.get(question) != COUNTED:
            self.flow.note(question, COUNTED, words)
        self.flow.note(key, balls, words)
        self.changed()

    def _tallied(self, _closed: None) -> None:
        """Ask no more what was counted, and ask again where every ball was taken back."""
        answers = self.flow.lesson.answers
        for key in [key for key in answers if key.startswith("tally:")]:
            question, balls = key.partition(":")[2], balls_of(answers, key)
            seen_on = f"balls@{question.partition('@')[2]}"
            if not balls and answers.get(question) == COUNTED:
                self.flow.note(question, ASKED, counted_words(key, balls))
            elif len(balls) >= ENOUGH and seen_on not in answers:
                self.flow.note(seen_on, "usual", counted_words(key, balls))
        if self.flow.lesson.answers.get(self.flow.current, ASKED) != ASKED:
            self.flow.advance()
        self.changed()

    def action_what_if(self) -> None:
        answer = self._ranked()
        if answer is None:
            return
        clubs = self._clubs(answer)
        if not clubs:
            self.say("Nothing can be tried out before a club is named.", "warning")
            return
        self.app.push_screen(WhatIfScreen(self.thinker, answer, clubs, self.marked, self.shelf.units))


def changed_by(answer: Mapping[str, Any], cause: str, club: str) -> float:
    """How much a club changes where a cause is put right, as far as the answer says: degrees and half centimetres."""
    first = answer["priority"]
    undone = first["undone"].get(club, {}) if first is not None and first["id"] == cause else {}
    changes = (weight * abs(undone[name]["then"] - undone[name]["now"]) for name, weight in WEIGHTS if name in undone)
    return float(sum(changes))
