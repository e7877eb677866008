"""Typical deliveries that fit what was told, drawn under each likely set of causes.

What a check would show is read off them: a number that is measured, or the ball once the set-up is put right.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.quantities import Array

DRAWS = 192  # typical deliveries played for each set of causes
SETS = 300  # the likeliest sets, played one by one; the others show what their members show alone
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
    block: str
    shifts: Array  # (members + 2, 2 sizes, dimensions), 0 for the unlisted member and "no cause"
    members: npt.NDArray[np.int32]
    nodes: npt.NDArray[np.bool_]
    points: Array  # (sets, draws, dimensions)
    fit: Array  # (sets, draws), likelihood of all that was said of the club

    def mean(self, values: Array) -> Array:
        """The mean (sets,) of values (sets, draws), by how well each delivery fits."""
        result: Array = (self.fit * values).sum(axis=1) / self.fit.sum(axis=1)
        return result

    def moved(self, shifts: Array) -> Array:
        """What the drawn sizes of the members move, (sets, draws, dimensions); shifts as above, of any block."""
        members, nodes = self.members, self.nodes.astype(np.intp)
        parts = [shifts[members[:, None, k], nodes[:, :, k]] for k in range(members.shape[1])]
        return np.asarray(sum(parts))

    def at(self, points: Array) -> tuple[npt.NDArray[np.intp], ...]:
        """The places on the block's grid nearest to points (..., dimensions)."""
        return nearest(self.condition, self.block, points)


def nearest(condition: Condition, block: str, points: Array) -> tuple[npt.NDArray[np.intp], ...]:
    """The places on a block's grid nearest to points (..., dimensions)."""
    return tuple(
        np.clip(np.rint((points[..., d] - axis.first) / axis.step), 0, axis.count - 1).astype(np.intp)
        for d, axis in enumerate(condition.grids[block].axes)
    )


class Deliveries:
    """The deliveries of one case, by club and block; drawn when they are first asked for, and kept."""

    def __init__(self, ranking: Ranking) -> None:
        self.ranking = ranking
        self._played: dict[tuple[str, str, bool], Played] = {}

    @cached_property
    def chosen(self) -> npt.NDArray[np.intp]:
        """Places of the sets that are played: no cause, every cause alone, then the likeliest pairs."""
        ranking = self.ranking
        alone = np.flatnonzero(ranking.model.sets.sizes < 2)
        likeliest = np.argsort(-ranking.probability, kind="stable")[:SETS]
        return np.concatenate([alone, likeliest[ranking.model.sets.sizes[likeliest] > 1]])

    def alone(self, values: Array) -> Array:
        """Of values of the chosen sets: those of each member alone, and of no cause last, (members + 1,)."""
        sets = self.ranking.model.sets
        single = np.zeros(sets.n + 1)
        one = sets.sizes[self.chosen] < 2
        single[sets.members[self.chosen[one], 0]] = values[one]  # "no cause" is member n, its own place
        return single

    def added_up(self, values: Array) -> Array:
        """Values of the chosen sets laid on all sets: one that was not played has what its members add up to."""
        sets, single = self.ranking.model.sets, self.alone(values)
        added = single - single[-1]
        result: Array = single[-1] + sum(added[column] for column in sets.columns)
        result[self.chosen] = values
        return result

    def of(self, club: str, block: str, in_words: bool = False) -> Played:
        """The deliveries of a club in one block.

        in_words: as one person's words place them, their blur drawn once; words read off them are then sharp, and the
        same before and after a change.
        """
        key = (club, block, in_words)
        if key not in self._played:
            self._played[key] = self._playing(*key)
        return self._played[key]

    def _playing(self, club: str, block: str, in_words: bool) -> Played:
        ranking, model = self.ranking, self.ranking.model
        condition = model.conditions[club]
        sd = np.hypot(condition.spread("own")[block], condition.spread("club")[block])
        blur = condition.blur[block]
        if in_words:
            sd, blur = np.hypot(sd, blur), np.zeros_like(blur)
        normal, uniform = _evenly()
        members = model.sets.members[self.chosen]
        first = _first_size(model.size_weights)[members]
        nodes = uniform[None, :, : members.shape[1]] > first[:, None, :]
        shifts = with_none(model.shifts[club][block])
        moved = sum(shifts[members[:, None, k], nodes[:, :, k].astype(np.intp)] for k in range(members.shape[1]))
        unlisted = (members == model.unlisted).any(axis=1)[:, None]
        wide = np.where(unlisted, np.hypot(sd, _broad(model, model.shifts[club][block])), sd)
        points = condition.fault_free_point[block] + moved + normal[:, : len(sd)] * wide[:, None, :]
        field = condition.grids[block].blurred(ranking.field(block, club, frozenset(ranking.answers), 0), blur)
        fit = field[nearest(condition, block, points)]
        return Played(condition, block, shifts, members, nodes, points, fit)


def with_none(shifts: Array) -> Array:
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
