"""Findings that say much the same, told together: how much of each one counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

OVERLAP = 0.6
"""How much of what a finding says one akin to it has said already (estimate)."""


def counted_share(name: str, told: Sequence[str], symptoms: Mapping[str, Any]) -> float:
    """The power (0 to 1) to which a finding's likelihood is raised, so that akin findings do not count twice.

    told: the findings told to be so, or those told not to be so, whichever it is among, the most telling first. That
    one counts whole; one that is akin to a finding before it counts by what is left of it.
    """
    mine = symptoms[name].get("akin_to", ())
    before = told[: told.index(name)]
    repeats = any(other in mine or name in symptoms[other].get("akin_to", ()) for other in before)
    return 1.0 - OVERLAP if repeats else 1.0
