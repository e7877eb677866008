"""What the audit looks at: the entries of a library that are in use, and what is worked out from them once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import amounts
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import FieldPath
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Array
from arclore.engine.upkeep.bearing import Bearings, Entry, families_of

_Change = tuple[tuple[str, float], ...]
WITHOUT_DRILL = frozenset({"nothing-to-fix", "see-a-health-professional"})
"""Stages in which there is nothing to practise."""


def in_use(entries: Mapping[str, Entry]) -> dict[str, Entry]:
    """The entries that are not retired."""
    return {name: entry for name, entry in entries.items() if "retired" not in entry}


class Subject:
    """A library under audit. like, ready: as a bench has them; like: another library under audit."""

    def __init__(
        self, library: Library, like: Subject | None = None, ready: Callable[[Condition], None] = lambda _: None
    ) -> None:
        self.library = library
        self._bench: Bench = Bench(library, like=like._bench if like else None, ready=ready)
        self.symptoms = in_use(library.symptoms)
        self.causes = in_use(library.causes)
        self.checks = in_use(library.checks)
        self.drills = in_use(library.drills)
        self._pushed: dict[str, dict[_Change, Array]] = {}
        self.words: Mapping[str, float] = library.settings.get("frequency_words", {})

    def problem(self, kind: str, name: str, path: FieldPath, code: str, message: str, hint: str) -> Problem:
        """A row at a field of an entry."""
        return self.library.documents[kind, name].problem(path, code, message, hint)

    @cached_property
    def bearings(self) -> Bearings:
        return Bearings(self.causes)

    @cached_property
    def clubs_of_cause(self) -> dict[str, frozenset[str]]:
        return {name: families_of(cause["clubs"]) for name, cause in self.causes.items()}

    @cached_property
    def clubs_of_check(self) -> dict[str, frozenset[str]]:
        return {name: families_of(check["clubs"]) for name, check in self.checks.items()}

    @cached_property
    def checks_of(self) -> dict[str, list[str]]:
        """The yes-or-no checks that speak of each cause and are meant for one of its clubs."""
        found: dict[str, list[str]] = defaultdict(list)
        for name, check in self.checks.items():
            for cause in sorted(self.bearings.causes(check)):
                if self.clubs_of_check[name] & self.clubs_of_cause[cause]:
                    found[cause].append(name)
        return found

    @cached_property
    def model(self) -> Model | None:
        """The geometry of every cause with every club, or None where the library lacks settings, clubs or causes."""
        given: Any = {"shots": [{"club": club} for club in self.library.clubs]}
        if not (self.library.clubs and self.library.settings.get("spreads") and self.causes):
            return None
        return self._bench.model(self._bench.case(given))

    def pushed(self, club: str, change: Mapping[str, float]) -> Array:
        """Coordinates of all blocks in one row by which a change of inputs shifts a club's fault-free delivery.

        Each is in units of how much fault-free players of the level differ in it. Needs a model with the club.
        """
        if club not in self._pushed:
            moving = [name for name, clubs in self.clubs_of_cause.items() if club in clubs]
            self._pushed[club] = self._shifts(club, [amounts(self.causes[name], club) for name in moving])
        key = _key(change)
        if key not in self._pushed[club]:
            self._pushed[club] |= self._shifts(club, [change])
        return self._pushed[club][key]

    def _shifts(self, club: str, changes: Sequence[Mapping[str, float]]) -> dict[_Change, Array]:
        """What ``pushed`` tells, for many changes in little more time than for one."""
        assert self.model is not None
        condition = self.model.conditions[club]
        names = {name for change in changes for name in change}
        amount = {name: np.array([change.get(name, 0.0) for change in changes]) for name in sorted(names)}
        points = condition.points({"face_deg": np.zeros(len(changes)), **amount})
        spread = condition.spread("own")
        blocks = [(points[name] - condition.fault_free_point[name]) / spread[name] for name in sorted(points)]
        return dict(zip(map(_key, changes), np.concatenate(blocks, axis=1), strict=True))


def _key(change: Mapping[str, float]) -> _Change:
    return tuple(sorted(change.items()))
