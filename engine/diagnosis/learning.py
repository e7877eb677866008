"""What confirmed lessons teach: stated numbers sharpened by counts, several causes sharing the credit, and calibration.

A stated number stands for a number of earlier cases (`strength`), so that counts move it by degrees; a cap on the
counts keeps one academy's lessons from overruling it. The cap is that of a power prior (Ibrahim and Chen 2000): all
counts are scaled by the same factor of at most 1. Only symptoms that were asked count.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from arclore.engine.quantities import Array, Number

MOST_ROUNDS = 10_000


# --- one number, or shares of a whole -----------------------------------------------------------------------------


def learned(stated: Number, strength: Number, counts: Number, total: Number, cap: Number = np.inf) -> Array:
    """A stated share after `counts` of `total` cases: mean of its Beta, or of a Dirichlet where `stated` sums to 1.

    strength: earlier cases that the statement stands for; cap: cases that the data may stand for at most. Dirichlet:
    stated and counts (k,), total their sum; so for the weights of causes and for how many causes act.
    Source: Spiegelhalter and Lauritzen 1990; cap as in the module's text.
    """
    kept = np.minimum(total, cap)
    scale = kept / np.maximum(total, 1e-300)
    earlier = np.maximum(strength, 1e-300)  # so that no cases at all leave the statement as it is
    result: Array = (earlier * stated + scale * counts) / (earlier + kept)
    return result


def surprise(stated: float, strength: float, count: float, total: float) -> float:
    """How many standard deviations the share seen lies from the stated one; above 3 either side, look at the entry.

    The spread is that of the beta-binomial: chance of the draw and doubt about the statement. total > 0.
    """
    variance = stated * (1.0 - stated) / total * (strength + total) / (strength + 1.0)
    return float((count / total - stated) / np.sqrt(variance))


def strength_from_quartiles(middle: float, lower: float, upper: float) -> float:
    """The cases a word of frequency stands for: the Beta of this mean whose quartiles lie as far apart.

    middle, lower, upper: what people take the word to mean, e.g. Mosteller and Youtz 1990, table 1. Raises ValueError
    where the quartiles do not enclose the middle, or lie further apart than those of any Beta with a single hump.
    """
    from scipy.optimize import brentq
    from scipy.special import betaincinv

    if not 0 < lower <= middle <= upper < 1 or lower == upper:
        raise ValueError(f"quartiles {lower}, {upper} must enclose {middle} and lie between 0 and 1")

    def too_wide(strength: float) -> float:
        a, b = strength * middle, strength * (1.0 - middle)
        return float(betaincinv(a, b, 0.75) - betaincinv(a, b, 0.25)) - (upper - lower)

    fewest = 1.0 / min(middle, 1.0 - middle)  # below this the Beta piles up at 0 or 1 and has no hump
    if too_wide(fewest) < 0:
        raise ValueError(f"quartiles {lower}, {upper} are too far apart for a word that means {middle}")
    return float(brentq(too_wide, fewest, 1e6, xtol=1e-9))


def log_pool(first: Number, second: Number, share: float = 0.5) -> Array:
    """Two probabilities for the same thing as one: the weighted mean of their log odds, `share` for the first.

    The shares sum to 1, which is what keeps one observation from counting twice. Source: Genest and Zidek 1986.
    """
    p, q = np.asarray(first, dtype=float), np.asarray(second, dtype=float)
    yes, no = p**share * q ** (1.0 - share), (1.0 - p) ** share * (1.0 - q) ** (1.0 - share)
    result: Array = yes / (yes + no)
    return result


# --- credit shared by several causes ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Links:
    """One symptom's links (n,), the chance that each cause alone makes it, and its leak."""

    links: Array
    leak: float


def credit(acting: Array, now: Links) -> tuple[Array, Array]:
    """How much of a present symptom each cause and the leak made: (cases, n) and (cases,).

    acting: (cases, n) true where the cause was confirmed. More than one can have made it, so a row may sum above 1.
    """
    missing = (1.0 - now.leak) * np.where(acting, 1.0 - now.links, 1.0).prod(axis=1)
    present = np.maximum(1.0 - missing, 1e-300)
    return np.where(acting, now.links, 0.0) / present[:, None], now.leak / present


def learn_links(
    acting: Array,
    present: Array,
    absent: Array,
    stated: Links,
    strength: float,
    cap: float = np.inf,
    tolerance: float = 1e-13,
) -> Links:
    """One symptom's links and leak from confirmed lessons, by expectation and maximisation.

    acting: (cases, n) which causes were confirmed; present, absent: (cases,) how often the symptom was then asked and
    seen or not. strength: 0 for the data alone. The cap holds for each link and for the leak by itself.
    Source: Díez 1993, "Parameter adjustment in Bayes networks. The generalized noisy OR-gate"; Dempster et al. 1977.
    """
    acting = np.asarray(acting, dtype=bool)
    asked = np.asarray(present) + np.asarray(absent)
    per_cause = asked @ acting
    now = stated
    for _ in range(MOST_ROUNDS):
        made, leaked = credit(acting, now)
        links = learned(stated.links, strength, present @ made, per_cause, cap)
        leak = float(learned(stated.leak, strength, present @ leaked, asked.sum(), cap))
        moved = max(float(np.abs(links - now.links).max(initial=0.0)), abs(leak - now.leak))
        now = Links(links, leak)
        if moved < tolerance:
            break
    return now


# --- how good the probabilities were ------------------------------------------------------------------------------


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
