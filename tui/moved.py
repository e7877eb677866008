"""What moved at the last answer, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import log2
from typing import Any

from arclore.tui.wording import bits_strength

LEAST_SAID = 0.1  # bits; less is not worth a line


@dataclass(frozen=True)
class Said:
    """The last thing that was answered, in words; taken_back where it was undone."""

    words: str
    taken_back: bool = False


def log_odds(chance: float) -> float:
    chance = min(max(chance, 1e-6), 1 - 1e-6)
    return log2(chance / (1 - chance))


def places(answer: Mapping[str, Any] | None) -> dict[str, int]:
    """The place of each shown cause, from 1."""
    return {cause["id"]: number for number, cause in enumerate(answer["causes"] if answer else (), start=1)}


def moved_mark(name: str, before: Mapping[str, int], now: int) -> str:
    """How a cause moved in the list, in words; "" where it did not or where there was no list."""
    if not before:
        return ""
    if name not in before:
        return "new here"
    step = before[name] - now
    return f"up {step}" if step > 0 else f"down {-step}" if step < 0 else ""


def moved_lines(before: Mapping[str, Any] | None, now: Mapping[str, Any], said: Said | None) -> list[str]:
    """What moved at the last answer and why: the answer, and how strongly it speaks, for the two that moved most."""
    if before is None or said is None or not before["causes"] or not now["causes"]:
        return []
    old = {cause["id"]: cause["probability"] for cause in before["causes"]}
    had, lines = places(before), []
    leader = now["causes"][0]
    verb = "Taken back" if said.taken_back else "Heard"
    if leader["id"] == before["causes"][0]["id"]:
        lines.append(f"{verb}: {said.words}. The same cause leads.")
    elif leader["id"] in had:
        lines.append(f"{verb}: {said.words}. The lead changed: it came up from place {had[leader['id']]}.")
    else:
        lines.append(f"{verb}: {said.words}. The lead changed: it was not among the first {len(had)}.")
    change = {
        cause["id"]: (log_odds(cause["probability"]) - log_odds(old[cause["id"]]), cause["title"])
        for cause in now["causes"]
        if cause["id"] in old
    }
    ranked = sorted(change.values())
    if ranked and ranked[-1][0] >= LEAST_SAID:
        lines.append(f"Gained most, {bits_strength(ranked[-1][0])}: {ranked[-1][1]}.")
    if ranked and ranked[0][0] <= -LEAST_SAID:
        lines.append(f"Lost most, {bits_strength(ranked[0][0])}: {ranked[0][1]}.")
    return lines
