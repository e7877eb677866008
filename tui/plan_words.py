"""What to change first, two causes in their order, and drills for the minutes, each in a line or two."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.tui.command.page import counted, in_hundred, listed, sentence
from arclore.tui.hand import for_hand
from arclore.tui.wording import STAGE_WORDS

ORDER_WORDS = {
    "brings-on": "the first brings on the second",
    "quicker": "the first is quicker to change",
    "likelier": "the first is the likelier one",
}


def why_line(answer: Mapping[str, Any]) -> str:
    """Why the change comes first; "" where it is the likeliest cause and brings on no other."""
    first = answer["priority"]
    if first is None:
        return ""
    brings = [
        f"{for_hand(row['title'], answer['handed'])} ({in_hundred(row['probability'])})" for row in first["brings_on"]
    ]
    if first["why"] == "spared":
        return "It comes before the likeliest, for which no drill suits what is to be spared today."
    if first["why"] == "quicker":
        stage = STAGE_WORDS.get(first["stage"], first["stage"])
        return f"It is not the likeliest, but nearly so, and it is quicker to change ({stage})."
    if first["why"] == "likeliest" and not brings:
        return ""
    start = "It comes before the likeliest" if first["why"] == "brings-on" else "It comes first"
    return f"{start}: it can bring on {listed(brings)}." if brings else f"{start}: it can bring on several others."


def plan_line(answer: Mapping[str, Any]) -> str:
    """Two causes that are probable together, in the order to change them; "" where there are not two."""
    plan = answer["plan"]
    if plan is None:
        return ""
    first, then = (for_hand(plan[name]["title"], answer["handed"]).rstrip(".") for name in ("first", "then"))
    return sentence(
        f"Two causes are probable together ({in_hundred(plan['together'])}). First: {first}. Then: {then}; "
        f"{ORDER_WORDS[plan['why']]}"
    )


def practice_lines(answer: Mapping[str, Any]) -> list[str]:
    """Drills that fill the minutes, how much they work on, and what they do not."""
    found = answer["practice"]
    if found is None:
        return []
    limit = counted(found["limit_minutes"], "minute")
    handed = answer["handed"]
    if not found["drills"]:
        return [f"No drill that suits fits into {limit}."]
    drills = [f"{for_hand(row['title'], handed)} ({counted(row['minutes'], 'minute')})" for row in found["drills"]]
    lines = [f"In {limit}: {'; '.join(drills)}. These work on {in_hundred(found['covered'])} of what is suspected."]
    for suits, words in ((False, "No drill that suits works on"), (True, "The minutes do not reach for")):
        left = [
            f"{for_hand(row['title'], handed)} ({in_hundred(row['probability'])})"
            for row in found["uncovered"]
            if row["drill_suits"] == suits
        ]
        if left:
            lines.append(f"{words}: {'; '.join(left)}.")
    return lines
