"""What of the library the panes look at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Shelf:
    """Entries, titles of symptoms and checks by id, cautions that always hold, units, keys of one's own.

    waiting: how many unfinished lessons, and drafts of entries, wait to be gone on with.
    """

    checks: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    drills: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    causes: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    units: str = "metric"
    keys: Mapping[str, str] = field(default_factory=dict)
    waiting: tuple[int, int] = (0, 0)
