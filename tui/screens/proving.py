"""What proved to be the cause: said at the wrap, kept for learning, and taken back with the answer that said it."""

from __future__ import annotations

from abc import abstractmethod

from arclore.tui.confirmed_store import add_line, line_of, take_back_line
from arclore.tui.flow import PROVED_WORDS, Flow
from arclore.tui.lesson import PROVED
from textual.screen import Screen

NOTHING_ASKED = "Signs are what is learned from: none was named beside the ball's flight (w takes the student's words)."


class Proving(Screen[None]):
    """Part of the lesson's screen."""

    flow: Flow
    proof: str = ""  # what the file of confirmed lessons holds of this lesson

    @abstractmethod
    def changed(self) -> None:
        """The lesson changed: save it, then follow it."""

    @abstractmethod
    def say(self, text: str, severity: str = "information") -> None:
        """A notice; its text is data and never markup."""

    def proved(self, cause: str) -> str:
        """Keep that the lesson's cause proved to be this one; where that is kept already, take it back. What to say."""
        case = self.flow.case or {}
        line = line_of(case, [cause])
        standing = self.flow.lesson.answers.get(PROVED) == line
        self.flow.note(PROVED, "" if standing else line, PROVED_WORDS)
        self.changed()
        if standing:
            return "Taken back: it is not kept for learning."
        told = "Kept on this computer without names, for learning; c takes it back."
        return told if case.get("present") else f"{told} {NOTHING_ASKED}"

    def keep_proof(self) -> None:
        """Have the file of confirmed lessons say of this lesson what the lesson says."""
        wanted = str(self.flow.lesson.answers.get(PROVED, ""))
        if wanted == self.proof:
            return
        try:
            if self.proof:
                take_back_line(self.proof)
            if wanted:
                add_line(wanted)
            self.proof = wanted
        except (OSError, ValueError) as problem:
            self.say(f"what proved to be the cause could not be kept: {problem}", "error")
