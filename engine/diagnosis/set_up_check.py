"""What a check that changes the set-up will show under each set of causes, by the geometry.

The coach puts inputs of the set-up right and the same swing is made again. Typical deliveries that fit what was told
are moved back by what those inputs did to them; where they then lie says whether the fault told of is gone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.condition import BLOCK_OF, Condition
from arclore.engine.diagnosis.evidence import block_evidence, claimed
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.ranking import CHANGED_ERROR, Ranking
from arclore.engine.quantities import Array

DRAWS = 192  # typical deliveries played for each set of causes
SETS = 150  # the likeliest sets, played one by one; the others show what their members show alone
WIDEST = 3  # dimensions of a block


@cache
def _evenly() -> tuple[Array, Array]:
    """Evenly spread standard normal draws (DRAWS, 3), and uniform ones (DRAWS, 2) for the sizes of two causes.

    An additive recurrence on the generalised golden ratio. Source: Roberts 2018, "The unreasonable effectiveness of
    quasirandom sequences".
    """
    from scipy.special import ndtri

    dimensions = WIDEST + 2
    ratio = 1.0
    for _ in range(60):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1.0))
    steps = ratio ** -np.arange(1.0, dimensions + 1.0)
    points = (0.5 + np.arange(1, DRAWS + 1)[:, None] * steps) % 1.0
    return np.asarray(ndtri(points[:, :WIDEST])), points[:, WIDEST:]


@dataclass
class Played:
    """Typical deliveries of one club and block under the chosen sets of causes, and how they fit what was told.

    members: (sets, 2) of the chosen sets. nodes: (sets, draws, 2) which size of each member was drawn.
    """

    condition: Condition
    shifts: Array  # (members + 2, 2 sizes, dimensions), 0 for the unlisted member and "no cause"
    told: Array  # the block's field of what was told, 1 where a ball is of the kind told of
    members: npt.NDArray[np.int32]
    nodes: npt.NDArray[np.bool_]
    points: Array  # (sets, draws, dimensions)
    fit: Array  # (sets, draws), likelihood of all that was said of the club
    block: str

    def stays(self, moved_back: Array, where: npt.NDArray[np.intp]) -> Array:
        """P(what was told is still so | set) for the sets of these places, their members' shifts being other ones."""
        change = moved_back - self.shifts
        members, nodes = self.members[where], self.nodes[where].astype(np.intp)
        back = sum(change[members[:, None, k], nodes[:, :, k]] for k in range(members.shape[1]))
        still = self.told[self._places(self.points[where] + back)]
        result: Array = (self.fit[where] * still).sum(axis=1) / self.fit[where].sum(axis=1)
        return result

    @cached_property
    def unchanged(self) -> Array:
        """P(what was told is so | set), (sets,), where nothing is put right."""
        return self.stays(self.shifts, np.arange(len(self.members)))

    def _places(self, points: Array) -> tuple[npt.NDArray[np.intp], ...]:
        return nearest(self.condition, self.block, points)


def nearest(condition: Condition, block: str, points: Array) -> tuple[npt.NDArray[np.intp], ...]:
    """The places on a block's grid nearest to points (..., dimensions)."""
    return tuple(
        np.clip(np.rint((points[..., d] - axis.first) / axis.step), 0, axis.count - 1).astype(np.intp)
        for d, axis in enumerate(condition.grids[block].axes)
    )


class SetUpChecks:
    """The checks of one case that change the set-up."""

    def __init__(self, ranking: Ranking) -> None:
        self.ranking = ranking
        self._played: dict[tuple[str, str], Played] = {}

    @cached_property
    def chosen(self) -> npt.NDArray[np.intp]:
        """Places of the sets that are played: no cause, every cause alone, then the likeliest pairs."""
        ranking = self.ranking
        alone = np.flatnonzero(ranking.model.sets.sizes < 2)
        likeliest = np.argsort(-ranking.probability, kind="stable")[:SETS]
        return np.concatenate([alone, likeliest[ranking.model.sets.sizes[likeliest] > 1]])

    def gone(self, check: Mapping[str, Any]) -> Array | None:
        """P(the fault is gone | set of causes), (sets,); None where nothing was told that it could take away."""
        ranking = self.ranking
        club = next((c.name for c in ranking.case.clubs if covers(check["clubs"], c.family)), "")
        inputs = frozenset(check["changed_set_up"]["puts_right"])
        blocks = self._told(club, inputs)
        if not blocks:
            return None
        moved_back = ranking.model.shifts_put_right(club, inputs)
        gone, stays = np.ones(len(self.chosen)), np.ones(len(self.chosen))
        for block in blocks:
            played = self._play(club, block)
            other = _with_none(moved_back[block])
            affected = np.abs(other - played.shifts).max(axis=(1, 2)) > 1e-9
            still = played.unchanged.copy()
            where = np.flatnonzero(affected[played.members].any(axis=1))
            still[where] = played.stays(other, where)
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
        sets = self.ranking.model.sets
        single = np.zeros(sets.n + 1)
        alone = sets.sizes[self.chosen] < 2
        single[sets.members[self.chosen[alone], 0]] = rates[alone]  # "no cause" is member n, its own place
        result: Array = single[sets.columns[0]]
        for column in sets.columns[1:]:
            result = np.where(column < sets.n, np.maximum(result, single[column]), result)
        result[self.chosen] = rates
        return result

    def _play(self, club: str, block: str) -> Played:
        key = (club, block)
        if key not in self._played:
            self._played[key] = self._playing(club, block)
        return self._played[key]

    def _playing(self, club: str, block: str) -> Played:
        ranking, model = self.ranking, self.ranking.model
        condition = model.conditions[club]
        sd = np.hypot(condition.spread("own")[block], condition.spread("club")[block])
        normal, uniform = _evenly()
        members = model.sets.members[self.chosen]
        first = _first_size(model.size_weights)[members]
        nodes = uniform[None, :, : members.shape[1]] > first[:, None, :]
        shifts = _with_none(model.shifts[club][block])
        moved = sum(shifts[members[:, None, k], nodes[:, :, k].astype(np.intp)] for k in range(members.shape[1]))
        unlisted = (members == model.unlisted).any(axis=1)[:, None]
        wide = np.where(unlisted, np.hypot(sd, _broad(model, model.shifts[club][block])), sd)
        points = condition.fault_free_point[block] + moved + normal[:, : len(sd)] * wide[:, None, :]
        grid, blur = condition.grids[block], condition.blur[block]
        field = grid.blurred(ranking.field(block, club, frozenset(ranking.answers), 0), blur)
        lines = [line for line in ranking.case.shots if line.club == club]
        seen = block_evidence(lines, block, ranking.statement)
        assert seen is not None  # its block is one of those told of
        fit = field[nearest(condition, block, points)]
        told = grid.blurred(claimed(condition, block, seen), blur)
        return Played(condition, shifts, told, members, nodes, points, fit, block)


def _with_none(shifts: Array) -> Array:
    """Shifts (causes, sizes, dimensions) with two rows of none, for the unlisted member and for "no cause"."""
    return np.concatenate([shifts, np.zeros((2, *shifts.shape[1:]))])


def _broad(model: Model, shifts: Array) -> Array:
    """How far something that is not listed moves a block, (dimensions,): as the listed causes do, either way."""
    weights = model.weights[:-1]
    mean_square = np.einsum("i,ij,ijd->d", weights, model.size_weights[: len(weights)], shifts**2) / weights.sum()
    return np.asarray(np.sqrt(mean_square))


def _first_size(weights: Array) -> Array:
    """Chance of the first of a member's two sizes, (members + 1,)."""
    return np.asarray(weights[:, 0] / weights.sum(axis=1))
