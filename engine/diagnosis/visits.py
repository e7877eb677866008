"""Two small counts of balls compared: how often chance alone would part them so, and how large the change may be."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot


@dataclass(frozen=True)
class Change:
    """A count of so many of so many balls, before and now, as shares.

    chance: how often two counts of one and the same habit lie at least so far apart (two-sided). low, high: the 95 %
    interval of the share now minus the share before.
    """

    before: float
    now: float
    chance: float
    low: float
    high: float


def compare(before: tuple[int, int], now: tuple[int, int]) -> Change:
    """Compare (hits, balls) before and now; balls of at least 1. Raises ValueError for counts that cannot be.

    Chance: Fisher's exact test, the sum of all tables no likelier than this one (Fisher 1935, The Logic of Inductive
    Inference). Interval: the hybrid score interval (Newcombe 1998, Statistics in Medicine 17, 873-890, method 10).
    """
    for hits, balls in (before, now):
        if not 0 <= hits <= balls or balls < 1:
            raise ValueError(f"{hits} of {balls} balls cannot be")
    from scipy.stats import binomtest, fisher_exact  # half a second to import: only a second visit compares

    p, q = before[0] / before[1], now[0] / now[1]
    (low_p, high_p), (low_q, high_q) = (
        binomtest(*counts).proportion_ci(method="wilson") for counts in (before, now)
    )
    chance = fisher_exact([[hits, balls - hits] for hits, balls in (before, now)]).pvalue
    low, high = q - p - hypot(q - low_q, high_p - p), q - p + hypot(high_q - q, p - low_p)
    return Change(p, q, float(chance), float(low), float(high))
