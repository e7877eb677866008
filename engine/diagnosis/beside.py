"""A measured number beside a flight that has nearly told it: the base line of the arc beside the path.

The player's own deviation turns base line and path alike, and sets the bottom of the arc alike against body and ball.
So a reading of the one says little more where the flight has told of the other, but for the causes that move the two
apart: it is weighed against what the flight lets expect under each set of causes, by the regression of normal
variables. Nothing of a deviation is then counted twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from arclore.engine.diagnosis.condition import BLOCK_OF, Condition
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.measured import LEAST, USUAL_ERROR
from arclore.engine.quantities import Array

if TYPE_CHECKING:
    from arclore.engine.diagnosis.blocks import BlockTable
    from arclore.engine.diagnosis.ranking import Answer, Ranking

BESIDE = {"swing_direction_deg": ("line", "direction"), "low_point_body_cm": ("body", "strike")}
"""Quantity -> its own block, and the block of the flight whose first coordinate moves with it."""


def told_beside(answer: Answer, answers: Iterable[Answer]) -> bool:
    """Whether a measured number stands beside words of the same club that nearly tell it."""
    return answer.kind == "measured" and nearly_told(answer.club, answer.variable, answers)


def nearly_told(club: str, quantity: str, answers: Iterable[Answer]) -> bool:
    """Whether words of a club nearly tell a quantity."""
    if quantity not in BESIDE:
        return False
    block = BESIDE[quantity][1]
    return any(a.kind == "flight" and a.club == club and BLOCK_OF[a.variable] == block for a in answers)


@dataclass(frozen=True)
class Reading:
    """A measured number as it is weighed beside the flight.

    near: the block of the flight. own, of_near: what each member at each of its sizes moves of the number and of the
    flight's coordinate, (members + 1, 2). mean, variance: of that coordinate given the flight, (places of the table,).
    """

    near: str
    low: float
    high: float
    error: float
    usual: float
    usual_near: float
    own: Array
    of_near: Array
    share: float
    left: float
    mean: Array
    variance: Array

    def factor(self, members: Sequence[Ints], sizes: Sequence[int], place: Ints) -> Array:
        """P(reading | members at these of their sizes, flight) up to a factor; place: of their nodes, in the table."""
        moved, moved_near = (
            sum((m[member, size] for member, size in zip(members, sizes, strict=True)), np.zeros(()))
            for m in (self.own, self.of_near)
        )
        foreseen = self.usual + moved + self.share * (self.mean[place] - self.usual_near - moved_near)
        sd = np.sqrt(self.left + self.share**2 * self.variance[place] + self.error**2)
        return _likelihood(self.low, self.high, foreseen, sd)


def reading_of(
    ranking: Ranking, answer: Answer, answers: frozenset[Answer], table: BlockTable | None = None
) -> Reading:
    """A measured number beside the flight of ``answers``: without any of its block it stands for itself.

    table: of the near block, whose sums of nodes are asked for; the ranking's own pairs where none is given.
    """
    block, near = BESIDE[answer.variable]
    model, club = ranking.model, answer.club
    condition = model.conditions[club]
    low, high, given_error = answer.value
    error = USUAL_ERROR[answer.variable] if given_error is None else given_error
    usual, usual_near = (float(condition.fault_free_point[b][0]) for b in (block, near))
    own, of_near = (np.pad(model.shifts[club][b][:, :, 0], ((0, 2), (0, 0))) for b in (block, near))
    share, left = regression(condition, block, near, float(condition.blur[near][0]))
    moments = _moments(ranking, near, club, answers, table)
    return Reading(near, low, high, error, usual, usual_near, own, of_near, share, left, *moments)


def _moments(
    ranking: Ranking, block: str, club: str, answers: frozenset[Answer], table: BlockTable | None
) -> tuple[Array, Array]:
    """Mean and variance (places,) of a club's first coordinate in a block, given these answers."""
    own, clubs = ranking.block_answers(block, answers), ranking.clubs_of(block)
    laid = ranking.table(block) if table is None else table
    along = ranking.model.conditions[club].grids[block].mesh()[0]

    def weighed(power: int) -> Array:
        def smoothed(c: int, scatter: int, bend: int) -> Array:
            if clubs[c] != club:
                return ranking.smoothed(block, clubs[c], own, scatter, bend)
            made_for = ranking._own(block, club, own, scatter)[2]
            return laid.smoothed(c, ranking.field(block, club, own, made_for, bend) * along**power, scatter)

        if table is not None:
            return table.evaluate(smoothed)
        key = ("moment", power, block, club, clubs, own, tuple(ranking._lines(block, one) for one in clubs))
        return ranking.model.kept.of(key, lambda: laid.evaluate(smoothed))

    whole, first, second = (np.maximum(weighed(0), 1e-300), weighed(1), weighed(2))
    return first / whole, np.maximum(second / whole - (first / whole) ** 2, 0.0)


def _likelihood(low: float, high: float, mean: Array, sd: Array) -> Array:
    if low == high:
        return np.asarray(np.exp(-0.5 * ((low - mean) / sd) ** 2) / sd + LEAST)
    from scipy.special import ndtr

    return np.asarray(ndtr((high - mean) / sd) - ndtr((low - mean) / sd) + LEAST)


def regression(condition: Condition, block: str, near: str, blur: float) -> tuple[float, float]:
    """How much of a deviation of the near block's coordinate the block's takes with it, and the variance left to it.

    blur: standard deviation of what else is in the near one, such as the borders of words.
    """
    own = near_own = both = 0.0
    for kind in ("own", "club"):
        for name, sd in condition._scaled(kind).items():
            rate, of_near = (float(condition.rate(name)[b][0]) * sd for b in (block, near))
            own, near_own, both = own + rate**2, near_own + of_near**2, both + rate * of_near
    seen = near_own + blur**2
    share = both / seen if seen > 0 else 0.0
    return share, own - share**2 * seen
