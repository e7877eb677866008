"""The sheets that open over a lesson, and what each of them is handed."""

from __future__ import annotations

from typing import Any

from arclore.tui.flow import Flow
from arclore.tui.screens.what_if import WhatIfScreen
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.shelf import Shelf
from textual.screen import Screen

NOT_DRAWN = ("putt", "sand")  # motions that are no arc over turf; said here too: the engine brings numpy


class Openers(Screen[None]):
    """Part of the lesson's screen: opens the other sheets where there is something to show."""

    thinker: Thinker
    flow: Flow
    shelf: Shelf
    marked: str

    def say(self, text: str, severity: str = "information") -> None:
        raise NotImplementedError

    def _ranked(self) -> dict[str, Any] | None:
        """The answer that stands; where there is none, say so."""
        answer = self.flow.answer
        if answer is None or not answer["causes"]:
            self.say("First a ranking: answer the safety questions and name a club.", "warning")
            return None
        return answer

    def action_what_if(self) -> None:
        answer = self._ranked()
        if answer is None:
            return
        clubs = [club for club in answer["delivery"] if club not in NOT_DRAWN]
        if not clubs:
            self.say("Nothing is known of a full swing yet.", "warning")
            return
        focused = self.flow.current.rpartition("@")[2]
        clubs.sort(key=lambda club: club != focused)
        self.app.push_screen(WhatIfScreen(self.thinker, answer, clubs, self.marked))
