"""Which causes each check speaks of, and how far its two results move their odds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from arclore.engine.diagnosis.case import CLUB_FAMILIES
from arclore.engine.diagnosis.moves import covers

Entry = Mapping[str, Any]
SET_UP_GONE = 0.80  # how often a fault goes when its set-up cause is put right, whatever the fault (estimate)
SET_UP_STAYS = 0.80  # how often it stays where the set-up is not the cause (estimate)


def families_of(clubs: Any) -> frozenset[str]:
    """The club families that a list of families and group words takes in."""
    return frozenset(family for family in CLUB_FAMILIES if covers(clubs, family))


def shares(check: Entry) -> tuple[float, float]:
    """Sensitivity and specificity of a check that answers yes or no."""
    if check["type"] == "likelihood":
        return check["likelihood"]["sensitivity"], check["likelihood"]["specificity"]
    return SET_UP_GONE, SET_UP_STAYS


def ratios(check: Entry) -> tuple[float, float]:
    """Likelihood ratios of a check's positive and of its negative result; 1, 1 for one that measures."""
    if check["type"] == "measurement":
        return 1.0, 1.0
    sensitivity, specificity = shares(check)
    return sensitivity / (1.0 - specificity), (1.0 - sensitivity) / specificity


class Bearings:
    """The causes of a library by what a yes-or-no check names: an id, a family, a stage, or a set-up put right."""

    def __init__(self, causes: Mapping[str, Entry]) -> None:
        self._all = causes
        self._by_family: dict[str, set[str]] = defaultdict(set)
        self._by_stage: dict[str, set[str]] = defaultdict(set)
        self._inputs: list[tuple[str, frozenset[str], frozenset[str]]] = []
        for name, cause in causes.items():
            self._by_family[cause["family"]].add(name)
            self._by_stage[cause["stage"]].add(name)
            moved, scattered = (
                frozenset(item["input"] for item in cause.get(field, ())) for field in ("moves", "adds_scatter")
            )
            self._inputs.append((name, moved, scattered))

    def causes(self, check: Entry) -> frozenset[str]:
        """The ids of the causes that a positive result speaks for; none for a check that measures."""
        if check["type"] == "changed-set-up":
            put_right = set(check["changed_set_up"]["puts_right"])
            return frozenset(name for name, moved, _ in self._inputs if moved & put_right)
        if check["type"] != "likelihood":
            return frozenset()
        said = check["likelihood"]
        found = {name for name in said.get("causes", ()) if name in self._all}
        for family in said.get("families", ()):
            found |= self._by_family.get(family, set())
        for stage in said.get("stages", ()):
            found |= self._by_stage.get(stage, set())
        return frozenset(found)

    def touched(self, check: Entry) -> frozenset[str]:
        """The causes that a check tells something of: those it speaks for, and those whose set-up it changes."""
        put_right = set(check.get("changed_set_up", {}).get("puts_right", ()))
        if not put_right:
            return self.causes(check)
        changed = {name for name, moved, scattered in self._inputs if (moved | scattered) & put_right}
        return self.causes(check) | changed
