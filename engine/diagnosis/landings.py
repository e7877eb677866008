"""Where a swing lands on the blocks under each of many changes, kept: most causes recur from model to model."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from arclore.engine.quantities import Array

Change = tuple[tuple[str, float], ...]  # inputs and how much each is changed, in order of name
PACE_STEP = (2.0, -2.0)  # units of an input: wide enough to step over the jumps of a run, one hop more or less
UNCHANGED = {"face_deg": 0.0}  # so that there is something to change


class Landings:
    """Block coordinates by change. ``points``: input -> (rows,) to block -> (rows, dimensions), row by row."""

    def __init__(self, points: Callable[[Mapping[str, Array]], dict[str, Array]]) -> None:
        self._points = points
        self._kept: dict[Change, dict[str, Array]] = {}

    def of(self, changes: Sequence[Change]) -> dict[str, Array]:
        """Block -> (changes, dimensions)."""
        new = [change for change in dict.fromkeys(changes) if change not in self._kept]
        if new:
            amounts = [{**UNCHANGED, **dict(change)} for change in new]
            names = sorted({name for row in amounts for name in row})
            points = self._points({name: np.array([row.get(name, 0.0) for row in amounts]) for name in names})
            for place, change in enumerate(new):
                self._kept[change] = {block: rows[place] for block, rows in points.items()}
        found = [self._kept[change] for change in changes]
        return {block: np.stack([rows[block] for rows in found]) for block in found[0]} if found else {}

    def __len__(self) -> int:
        """How many changes have been played."""
        return len(self._kept)

    def latest(self, most: int) -> list[Change]:
        """The changes played last, at most so many, in the order in which they were."""
        return list(self._kept)[-most:]

    def know(self, changes: Sequence[Change], points: Mapping[str, Array]) -> None:
        """Take where changes land, as ``of`` gave it, for played."""
        for place, change in enumerate(changes):
            self._kept[change] = {block: rows[place] for block, rows in points.items()}

    def rates(self, names: Sequence[str]) -> dict[str, dict[str, Array]]:
        """Change for one unit of each input, by central differences: input -> block -> (dimensions,)."""
        steps = (0.5, -0.5, *PACE_STEP)
        found: dict[str, dict[str, Array]] = {name: {} for name in names}
        for block, rows in self.of([((name, step),) for name in names for step in steps]).items():
            up, down, far_up, far_down = np.moveaxis(rows.reshape(len(names), len(steps), -1), 1, 0)
            rate = (far_up - far_down) / (PACE_STEP[0] - PACE_STEP[1]) if block == "pace" else up - down
            for name, one in zip(names, rate, strict=True):
                found[name][block] = one
        return found
