"""Three lines that say where the lesson stands, for windows too small to show the ranking beside the question."""

from __future__ import annotations

from arclore.tui import wording
from arclore.tui.flow import Flow
from arclore.tui.outlook_words import ACT_NOW
from arclore.tui.widgets.put import put
from arclore.tui.widgets.ranking_pane import waiting
from arclore.tui.widgets.text import plain
from textual.content import Content
from textual.widgets import Static


class Summary(Static):
    """The leading cause, set-up or swing, the next check: one line each."""

    def present(self, flow: Flow, state: str, waits: str = "") -> None:
        """Show where the flow stands; before there is a ranking, what waits to be gone on with."""
        answer, _ = flow.ranking
        busy = f"({state}) " if state else ""
        if answer is None:
            texts = [busy + waiting(flow), waits, ""]
        else:
            checks = answer["next_checks"]
            none = "being worked out" if flow.early is not None else "none worth its time"
            texts = [
                busy + wording.headline(answer),
                wording.too_early(answer) or wording.first_line(answer) or wording.place_line(answer),
                ACT_NOW if answer["act_now"] else f"Next check: {checks[0]['title'] if checks else none}",
            ]
        put(self, Content("\n").join([plain(text) for text in texts]))
