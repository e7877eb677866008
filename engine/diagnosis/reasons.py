"""Why: each answer's share of a cause's log odds, in bits.

Shapley shares average over all orders in which the answers could have come in and so add up exactly to the change of
the log odds (Shapley 1953); leave-one-out says how far the odds fall where one answer is taken back.
"""

from __future__ import annotations

from collections.abc import Callable
from math import factorial
from typing import TYPE_CHECKING

import numpy as np
from arclore.engine.diagnosis.posterior import marginals
from arclore.engine.quantities import Array

if TYPE_CHECKING:
    from arclore.engine.diagnosis.ranking import Ranking


def log2_odds(probability: Array) -> Array:
    """Log odds in bits; probabilities are kept off 0 and 1 by the smallest step a float can make."""
    p = np.clip(probability, 1e-300, 1 - 1e-16)
    result: Array = np.log2(p) - np.log2(1 - p)
    return result


def shapley(log_odds_of: Callable[[int], Array], answers: int) -> Array:
    """Shapley shares of `answers` answers, array (n, answers).

    log_odds_of(mask) gives the log odds (n,) of the causes under the answers whose bit is set in the mask.
    """
    table = np.array([log_odds_of(mask) for mask in range(1 << answers)])
    shares = np.zeros((table.shape[1], answers))
    weight = [factorial(k) * factorial(answers - k - 1) / factorial(answers) for k in range(answers)]
    for mask in range(1 << answers):
        for j in range(answers):
            if not mask >> j & 1:
                shares[:, j] += weight[mask.bit_count()] * (table[mask | 1 << j] - table[mask])
    return shares


def because(ranking: Ranking, most: int) -> Array:
    """Bits of each answer for each member (members, answers): Shapley shares, or leave-one-out above `most` answers."""
    answers = ranking.answers
    if not answers:
        return np.zeros((ranking.model.unlisted + 1, 0))

    def log_odds_of(mask: int) -> Array:
        chosen = frozenset(a for j, a in enumerate(answers) if mask >> j & 1)
        return log2_odds(marginals(ranking.model.sets, ranking.posterior(chosen)))

    if len(answers) <= most:
        return shapley(log_odds_of, len(answers))
    full = (1 << len(answers)) - 1
    whole = log_odds_of(full)
    return np.stack([whole - log_odds_of(full ^ 1 << j) for j in range(len(answers))], axis=1)
