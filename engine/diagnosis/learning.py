"""What confirmed lessons teach: stated numbers sharpened by counts, several causes sharing the credit.

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
