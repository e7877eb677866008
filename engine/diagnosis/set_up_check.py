"""What a check that changes the set-up will show under each set of causes, by the geometry.

The coach puts inputs of the set-up right and the same swing is made again. Typical deliveries that fit what was told
are moved back by what those inputs did to them; where they then lie says whether the fault told of is gone.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import BLOCK_OF
from arclore.engine.diagnosis.evidence import block_evidence, claimed
from arclore.engine.diagnosis.played import Deliveries, with_none
from arclore.engine.diagnosis.ranking import CHANGED_ERROR, Ranking
from arclore.engine.quantities import Array


class SetUpChecks:
    """The checks of one case that change the set-up."""

    def __init__(self, deliveries: Deliveries) -> None:
        self.deliveries = deliveries
        self.ranking: Ranking = deliveries.ranking
        self._unchanged: dict[tuple[str, str], tuple[Array, Array]] = {}

    def gone(self, check: Mapping[str, Any]) -> Array | None:
        """P(the fault is gone | set of causes), (sets,); None where nothing was told that it could take away."""
        ranking = self.ranking
        club = ranking.case.club_of(check)
        inputs = frozenset(check["changed_set_up"]["puts_right"])
        blocks = self._told(club, inputs)
        if not blocks:
            return None
        moved_back = ranking.model.shifts_put_right(club, inputs)
        gone, stays = np.ones(len(self.deliveries.chosen)), np.ones(len(self.deliveries.chosen))
        for block in blocks:
            still = self._stays(club, block, with_none(moved_back[block]))
            gone *= (1.0 - CHANGED_ERROR) * (1.0 - still) + CHANGED_ERROR / 2.0
            stays *= (1.0 - CHANGED_ERROR) * still + CHANGED_ERROR / 2.0
        return self._spread(gone / (gone + stays))

    def _told(self, club: str, inputs: frozenset[str]) -> list[str]:
        """The blocks of which something was told with a club, and which these inputs can put right."""
        if club not in self.ranking.model.conditions:
            return []
        flight = (a for a in self.ranking.answers if a.kind == "flight" and a.club == club)
        told = {BLOCK_OF[a.variable] for a in flight}
        return sorted(told & self.ranking.model.moved_by_set_up(club, inputs)) if told else []

    def _spread(self, rates: Array) -> Array:
        """Rates of the chosen sets laid on all sets: a set that was not played shows what its members show alone."""
        sets, single = self.ranking.model.sets, self.deliveries.alone(rates)
        result: Array = single[sets.columns[0]]
        for column in sets.columns[1:]:
            result = np.where(column < sets.n, np.maximum(result, single[column]), result)
        result[self.deliveries.chosen] = rates
        return result

    def _stays(self, club: str, block: str, moved_back: Array) -> Array:
        """P(what was told is still so | set), (sets,), for the chosen sets, their members' shifts being other ones."""
        played = self.deliveries.of(club, block, in_words=True)
        told, still = self._as_it_is(club, block)
        change = moved_back - played.shifts
        affected = np.abs(change).max(axis=(1, 2)) > 1e-9
        where = np.flatnonzero(affected[played.members].any(axis=1))
        members, nodes = played.members[where], played.nodes[where].astype(np.intp)
        back = sum(change[members[:, None, k], nodes[:, :, k]] for k in range(members.shape[1]))
        fit = played.fit[where]
        still = still.copy()
        still[where] = (fit * told[played.at(played.points[where] + back)]).sum(axis=1) / fit.sum(axis=1)
        return still

    def _as_it_is(self, club: str, block: str) -> tuple[Array, Array]:
        """The field of what was told of a block, and P(it is so | set) with nothing put right; kept."""
        key = (club, block)
        if key not in self._unchanged:
            played = self.deliveries.of(club, block, in_words=True)
            lines = [line for line in self.ranking.case.shots if line.club == club]
            seen = block_evidence(lines, block, self.ranking.statement)
            assert seen is not None  # its block is one of those told of
            told = claimed(played.condition, block, seen)
            self._unchanged[key] = told, played.mean(told[played.at(played.points)])
        return self._unchanged[key]
