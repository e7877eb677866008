"""Formulas of the literature that the engine's own functions are checked by, and scores of its answers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from arclore.engine.diagnosis.plan import best_order, left_after
from arclore.engine.diagnosis.posterior import Sets, marginals, normalised
from arclore.engine.diagnosis.reasons import log2_odds, shapley
from arclore.engine.diagnosis.sensitivity import logit
from arclore.engine.quantities import Array
from scipy.optimize import brentq
from scipy.special import betaincinv


def independent_sizes(odds: Array) -> Array:
    """The size prior that makes n causes with these prior odds independent: pi_k proportional to e_k(odds)."""
    e = np.zeros(len(odds) + 1)
    e[0] = 1.0
    for value in odds:
        e[1:] += value * e[:-1].copy()
    total: Array = e / e.sum()
    return total


def expected_cost(fault: Array, costs: Array, fixes: Array, order: Sequence[int]) -> float:
    """Expected cost of repair: every action of the order costs, as long as the fault is still there.

    fault: (faults,) probability of each, exactly one of which is the fault. costs: (actions,). fixes: (actions,
    faults), chance that the action removes the fault, independent between actions. What no action removes is not
    charged: end with an action that always works. Source: Heckerman, Breese and Rommelse 1995, section 2.
    """
    return sum(float(costs[action]) * left_after(fault, fixes, order[:step]) for step, action in enumerate(order))


def decision_value(fault: Array, costs: Array, fixes: Array, rates: Array) -> float:
    """What a check saves before a repair: least expected cost now minus the mean of it after each result.

    rates: (results, faults), chance of each result under each fault; the columns sum to 1. The check is worth doing
    where this exceeds its own cost. Source: Heckerman, Breese and Rommelse 1995, section 4; Howard 1966.
    """

    def least(belief: Array) -> float:
        return expected_cost(belief, costs, fixes, best_order(belief, costs, fixes))

    joint = rates * fault
    after = sum(float(row.sum()) * least(row / row.sum()) for row in joint if row.sum() > 0)
    return least(fault) - after


def shapley_bits(sets: Sets, prior: Array, factors: Sequence[Array]) -> Array:
    """Shapley shares where every answer is one likelihood over the sets: array (n, answers) in bits."""

    def log_odds_of(mask: int) -> Array:
        mass = prior.copy()
        for j, factor in enumerate(factors):
            if mask >> j & 1:
                mass *= factor
        return log2_odds(marginals(sets, normalised(mass)))

    return shapley(log_odds_of, len(factors))


def largest_change(link: float, other: float) -> float:
    """A bound on how far the log odds of any cause can move when one link moves from `link` to `other`, in (0, 1).

    Source: Chan and Darwiche 2002, "When do numbers really matter?", theorem on single parameters.
    """
    return float(abs(logit(other) - logit(link)))


def strength_from_quartiles(middle: float, lower: float, upper: float) -> float:
    """The cases a word of frequency stands for: the Beta of this mean whose quartiles lie as far apart.

    middle, lower, upper: what people take the word to mean, e.g. Mosteller and Youtz 1990, table 1. Raises ValueError
    where the quartiles do not enclose the middle, or lie further apart than those of any Beta with a single hump.
    """
    if not 0 < lower <= middle <= upper < 1 or lower == upper:
        raise ValueError(f"quartiles {lower}, {upper} must enclose {middle} and lie between 0 and 1")

    def too_wide(strength: float) -> float:
        a, b = strength * middle, strength * (1.0 - middle)
        return float(betaincinv(a, b, 0.75) - betaincinv(a, b, 0.25)) - (upper - lower)

    fewest = 1.0 / min(middle, 1.0 - middle)  # below this the Beta piles up at 0 or 1 and has no hump
    if too_wide(fewest) < 0:
        raise ValueError(f"quartiles {lower}, {upper} are too far apart for a word that means {middle}")
    return float(brentq(too_wide, fewest, 1e6, xtol=1e-9))


def brier(probability: Array, truth: Array) -> float:
    """Mean squared distance from the truth, 0 to 2. probability (cases, k), truth (cases,) indices. Brier 1950."""
    return float(((probability - np.eye(probability.shape[1])[truth]) ** 2).sum(axis=1).mean())


def log_loss(probability: Array, truth: Array) -> float:
    """Mean of -ln P(truth), in nats. Infinite where a truth was held impossible. Good 1952."""
    with np.errstate(divide="ignore"):
        return float(-np.log(probability[np.arange(len(truth)), truth]).mean())


def top(probability: Array, truth: Array, k: int) -> float:
    """Share of cases whose truth is among the k most probable; of equals, the one listed first goes first."""
    first = np.argsort(-probability, axis=1, kind="stable")[:, :k]
    return float((first == np.asarray(truth)[:, None]).any(axis=1).mean())


def equal_widths(bins: int) -> Array:
    """The inner borders that cut 0 to 1 into bins of one width."""
    borders: Array = np.arange(1, bins) / bins
    return borders


def equal_counts(confidence: Array, bins: int) -> Array:
    """The inner borders that put equally many cases into each bin."""
    borders: Array = np.quantile(confidence, equal_widths(bins))
    return borders


def calibration_error(confidence: Array, right: Array, borders: Array) -> float:
    """Mean over cases of |share right - mean confidence| of the case's bin; a border belongs to the bin above it.

    confidence: (cases,) the leader's probability; right: (cases,) whether it was the truth. Guo et al. 2017.
    """
    place = np.searchsorted(borders, confidence, side="right")
    gap = np.bincount(place, weights=np.asarray(right, dtype=float) - confidence)
    return float(np.abs(gap).sum() / len(confidence))
