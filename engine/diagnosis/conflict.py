"""Do the answers fit together? Conflict in bits, and the cause or the answer that explains it.

Answers that stem from one fault support each other, so their joint probability exceeds the product of their own; where
it falls short, one of them may be wrong, or something rare may be at work. Source: Jensen, Chamberlain, Nordahl and
Jensen 1991, "Analysis in HUGIN of data conflict".
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from arclore.engine.diagnosis.posterior import Sets, marginals, normalised
from arclore.engine.quantities import Array


def conflict_bits(prior: Array, factors: Sequence[Array]) -> float:
    """log2 of the product of the answers' own probabilities over their joint one; above 0 the answers disagree.

    prior: (sets,). factors: the likelihood (sets,) of every answer; flight answers of one block come as one.
    Raises ValueError where the answers are impossible together.
    """
    joint = float((prior * np.prod(factors, axis=0)).sum()) if factors else 1.0
    if not joint > 0:
        raise ValueError("no set of causes can make this evidence")
    return float(sum(np.log2(prior @ factor) for factor in factors) - np.log2(joint))


def conflict_given(sets: Sets, prior: Array, factors: Sequence[Array]) -> Array:
    """The conflict (n,) that is left once each cause is taken as one more answer; below 0 that cause explains it.

    conf(e, h) = conf(e) + log2 P(h) / P(h | e). Infinite for a cause the answers rule out, or that has no prior.
    """
    before = marginals(sets, prior)
    after = marginals(sets, normalised(prior * np.prod(factors, axis=0)))
    with np.errstate(divide="ignore", invalid="ignore"):
        lift = np.where(after > 0, np.log2(before / after), np.inf)
    result: Array = conflict_bits(prior, factors) + lift
    return result


def conflict_without(prior: Array, factors: Sequence[Array]) -> Array:
    """The conflict (answers,) that is left once each answer is taken back; the least one is the answer to ask again."""
    return np.array([conflict_bits(prior, [*factors[:j], *factors[j + 1 :]]) for j in range(len(factors))])
