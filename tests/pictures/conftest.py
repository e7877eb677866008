"""Strokes to draw: sound and spoilt swings with the built-in clubs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.shot import fault_free
from arclore.engine.library.clubs import clubs_by_name
from arclore.engine.library.read import read_yaml
from arclore.tui.pictures.stroke import Stroke, played

FOLDER = Path(__file__).parents[2] / "kb" / "clubs"
Hit = Callable[..., Stroke]
SPOILT: dict[str, dict[str, float]] = {
    "sound": {},
    "slice": {"swing_direction_deg": -6.0, "face_deg": 3.0},
    "toe": {"strike_toe_m": 0.02},
    "neck": {"strike_toe_m": -0.045},
    "behind": {"arc_height_m": -0.02, "low_point_m": -0.12},
    "top": {"arc_height_m": 0.03},
    "miss": {"arc_height_m": 0.2},
    "far": {"face_deg": 40.0},
}


@pytest.fixture(scope="session")
def clubs() -> dict[str, Club]:
    entries: dict[str, Any] = {}
    for path in sorted(FOLDER.glob("*.yaml")):
        document, problems = read_yaml(path)
        assert document is not None and not problems
        entries[path.stem] = document.value
    return clubs_by_name(entries)


@pytest.fixture(scope="session")
def hit(clubs: dict[str, Club]) -> Hit:
    """Play a fault-free swing of a club with changes of swing and set-up added to it."""

    def call(
        name: str = "7-iron", label: str | None = None, set_up: dict[str, float] | None = None, **swing: float
    ) -> Stroke:
        club = clubs[name]
        usual, standard = fault_free(club, "intermediate"), club.standard
        changed = replace(usual, **{key: getattr(usual, key) + value for key, value in swing.items()})
        stood = replace(standard, **{key: getattr(standard, key) + value for key, value in (set_up or {}).items()})
        return played(changed, stood, club, label)

    return call
