"""Explaining away: a cause that stands lower because another cause explains the same finding already.

Two causes of one finding compete for it: to learn that one acts makes the other less likely. Source: Pearl 1988,
"Probabilistic reasoning in intelligent systems", section 2.2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from arclore.engine.diagnosis.posterior import marginals, normalised
from arclore.engine.diagnosis.ranking import Answer, Ranking
from arclore.engine.quantities import Array

LEAST_FALL = 2.0  # times less likely where the other acts than where it does not: less is not worth a sentence
LEAST_CHANCE = 0.1  # of the cause, were the other not at work
LEAST_BITS = 0.5  # that the finding speaks for each of the two alone


@dataclass(frozen=True)
class Explained:
    """A cause that another one explains away: with and without are its chances where that one acts and does not."""

    cause: int
    by: int
    answer: Answer
    acting: float
    absent: float


def explained_away(ranking: Ranking, order: Sequence[int]) -> Explained | None:
    """Of the causes in this order, the one that the first explains away most; None where it explains none."""
    if len(order) < 2:
        return None
    by = order[0]
    acting, absent = chances_given(ranking, by)
    lost = np.log(np.maximum(absent, 1e-300)) - np.log(np.maximum(acting, 1e-300))
    for cause in sorted(order[1:], key=lambda i: (-absent[i] * (lost[i] >= np.log(LEAST_FALL)), i)):
        if lost[cause] < np.log(LEAST_FALL) or absent[cause] < LEAST_CHANCE:
            return None
        shared = np.minimum(*(alone_bits(ranking)[:, [by, cause]].T))
        if len(shared) and shared.max() >= LEAST_BITS:
            answer = ranking.answers[int(shared.argmax())]
            return Explained(cause, by, answer, float(acting[cause]), float(absent[cause]))
    return None


def chances_given(ranking: Ranking, cause: int) -> tuple[Array, Array]:
    """P(member acts | this cause acts) and P(member acts | it does not), each (members,)."""
    sets = ranking.model.sets
    holds = sets.holding(np.arange(sets.n) == cause)
    given = [marginals(sets, normalised(ranking.probability * part)) for part in (holds, ~holds)]
    return given[0], given[1]


def alone_bits(ranking: Ranking) -> Array:
    """log2 P(answer | {member}) / P(answer | {}), (answers, members): what each answer says of each member alone."""
    sets = ranking.model.sets
    single = np.flatnonzero(sets.sizes == 1)
    rows = np.zeros((len(ranking.answers), sets.n))
    for j, answer in enumerate(ranking.answers):
        told = frozenset([answer])
        likelihood = ranking.other(told) / ranking.model.prior * ranking.flight(told)
        rows[j, sets.members[single, 0]] = np.log2(likelihood[single] / likelihood[0])
    return rows
