"""Do the answers fit together? Conflict in bits, and the cause or the answer that explains it.

Answers that stem from one fault support each other, so their joint probability exceeds the product of their own; where
it falls short, one of them may be wrong, or something rare may be at work. Source: Jensen, Chamberlain, Nordahl and
Jensen 1991, "Analysis in HUGIN of data conflict".
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from arclore.engine.diagnosis.posterior import marginals
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.quantities import Array

Evidence = Callable[[tuple[int, ...]], float]
"""P(these answers), by their indices."""


def conflict_bits(evidence: Evidence, answers: Sequence[int]) -> float:
    """log2 of the product of the answers' own probabilities over their joint one; above 0 the answers disagree.

    Raises ValueError where the answers are impossible together.
    """
    joint = evidence(tuple(answers))
    if not joint > 0:
        raise ValueError("no set of causes can make this evidence")
    return float(sum(np.log2(evidence((j,))) for j in answers) - np.log2(joint))


def conflict_given(conflict: float, before: Array, after: Array) -> Array:
    """The conflict (n,) that is left once each cause is taken as one more answer; below 0 that cause explains it.

    before, after: (n,) P(cause) without and with the answers. conf(e, h) = conf(e) + log2 P(h) / P(h | e). Infinite
    for a cause the answers rule out, or that has no prior.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(conflict + np.where(after > 0, np.log2(before / after), np.inf))


def conflict_without(evidence: Evidence, answers: Sequence[int]) -> Array:
    """The conflict (answers,) that is left once each answer is taken back; the least one is the answer to ask again."""
    return np.array([conflict_bits(evidence, [i for i in answers if i != j]) for j in answers])


@dataclass(frozen=True)
class Conflict:
    """How far the answers of a case disagree: bits, the answer that disagrees most, and what is left without it.

    cause, given: the member that explains it best, and the conflict that is left where it is known to act.
    """

    bits: float
    answer: int
    left: float
    cause: int
    given: float


def conflict_of(ranking: Ranking) -> Conflict | None:
    """The conflict between the answers of a case; None where there are not two."""
    answers = ranking.answers
    if len(answers) < 2:
        return None

    @cache
    def evidence(chosen: tuple[int, ...]) -> float:
        told = frozenset(answers[j] for j in chosen)
        return float((ranking.other(told) * ranking.flight(told)).sum())

    everything = range(len(answers))
    bits = conflict_bits(evidence, everything)
    without = conflict_without(evidence, everything)
    given = conflict_given(bits, marginals(ranking.model.sets, ranking.model.prior), ranking.marginal)
    answer, cause = int(without.argmin()), int(given[:-1].argmin())
    return Conflict(bits, answer, float(without[answer]), cause, float(given[cause]))
