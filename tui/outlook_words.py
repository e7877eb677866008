"""What is still open about an answer, in words: what a check's results would mean, and when to stop checking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.tui.command.page import in_hundred
from arclore.tui.hand import for_hand

ACT_NOW = "No check at hand can change what comes first: act now."


def result_means(answer: Mapping[str, Any], result: Mapping[str, Any]) -> str:
    """How likely a result of a check is, and which cause it would leave in the lead."""
    leads = result["leads"]
    after = in_hundred(leads["probability"])
    if leads["id"] == answer["causes"][0]["id"]:
        return f"{in_hundred(result['chance'])}; the same cause leads, then {after}"
    return f"{in_hundred(result['chance'])}; then this leads, {after}: {for_hand(leads['title'], answer['handed'])}"
