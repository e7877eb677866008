"""The clubs of the built-in library, and fault-free players of them with something moved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from arclore.engine.geometry.club import Club
from arclore.engine.geometry.shot import (
    CONTACTS,
    Shot,
    fault_free,
    shot,
)
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.read import read_yaml

FOLDER = Path(__file__).parents[2] / "kb" / "clubs"
ENTRIES: dict[str, Any] = {}
for path in sorted(FOLDER.glob("*.yaml")):
    document, problems = read_yaml(path)
    assert document is not None and not problems
    ENTRIES[path.stem] = document.value
CLUBS = {name: club_from_entry(entry) for name, entry in ENTRIES.items()}
IRON, DRIVER = CLUBS["mid-iron"], CLUBS["driver"]


def standard(club: Club, level: str = "intermediate", **changes: Any) -> Shot:
    """A fault-free swing with some quantities moved, in the standard set-up, without flight."""
    swing = fault_free(club, level)
    moved = {name: getattr(swing, name) + change for name, change in changes.items()}
    return shot(replace(swing, **moved), club.standard, club, flight=False)


def set_up(club: Club, level: str = "intermediate", **changes: Any) -> Shot:
    moved = {name: getattr(club.standard, name) + change for name, change in changes.items()}
    return shot(fault_free(club, level), replace(club.standard, **moved), club, flight=False)


def contact(result: Shot) -> str:
    return CONTACTS[int(result.contact)]
