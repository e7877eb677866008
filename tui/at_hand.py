"""What the lesson has to work with: minutes, a place, kit. Asked only when wanted, and all of it may be skipped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from arclore.tui.questions import Choice, Question

MINUTES = Question(
    "minutes",
    "How many minutes of practice are left?",
    "minutes left",
    tuple(Choice(str(count), f"{count} min") for count in (5, 10, 15, 20, 30, 45)),
    hint="The drill pane then says which drills fill them, and in which order.",
    aside=True,
)
PLACE = Question(
    "place",
    "Where is the lesson?",
    "place",
    (
        Choice("indoors", "indoors"),
        Choice("mat", "on a mat"),
        Choice("grass", "on grass"),
        Choice("sand", "in sand"),
        Choice("green", "on a green"),
        Choice("course", "out on the course"),
    ),
    hint="Checks and drills for other places are then left out.",
    aside=True,
)
KIT = {
    "phone": "a phone or camera",
    "rod": "rods to lay down",
    "tee": "tees",
    "tape": "tape or a tape measure",
    "powder": "powder for the face",
    "chalk": "chalk",
    "pen": "a pen",
    "mirror": "a mirror",
    "rake": "a rake",
    "device": "a device that reads club or ball",
}
"""Kit by the word that entries name it with, in a coach's words; the library says which of it is needed."""
WITHOUT = Question(
    "without",
    "What is not at hand? Several may be chosen.",
    "not at hand",
    hint="Checks and drills that need it are then left out.",
    none="all of it is here",
    aside=True,
)


def kit_of(*kinds: Mapping[str, Mapping[str, Any]]) -> tuple[str, ...]:
    """The kit that some entry of these kinds needs, in the order in which it is asked."""
    needed = [item.casefold() for entries in kinds for entry in entries.values() for item in entry.get("kit", ())]
    return tuple(word for word in KIT if any(word in item for item in needed))


def at_hand_questions(kit: Sequence[str]) -> list[Question]:
    """The questions what there is to work with; of kit only what the library's entries need."""
    choices = tuple(Choice(word, KIT[word]) for word in kit)
    return [MINUTES, PLACE, *([replace(WITHOUT, choices=choices, several=max(len(kit), 2))] if kit else [])]
