"""Texts of the library turned to the golfer's own hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from arclore.engine.quantities import Handed

OTHER = {"left": "right", "right": "left"}  # said here too: engine.quantities brings numpy, which a first screen spares


def hand_drawn(answer: Mapping[str, Any]) -> Handed:
    """The hand that the pictures of an answer are drawn for: where it is not known, a right-hander's."""
    return "left" if answer["handed"] == "left" else "right"


def for_hand(text: str, handed: str) -> str:
    """The text with its tokens ``{left}`` and ``{right}`` written out, swapped for a left-hander."""
    left, right = (OTHER.get(side, side) if handed == "left" else side for side in ("left", "right"))
    return text.replace("{left}", left).replace("{right}", right)


def side_for_hand(word: str, handed: str) -> str:
    """A hand-neutral side (toward, away) as the side this golfer sees; any other word as it is."""
    side = {"toward": "left", "away": "right"}.get(word, word)
    return OTHER.get(side, side) if handed == "left" else side
