"""Two small counts of balls compared: how often chance alone would part them so, and how large the change may be."""

from __future__ import annotations

from dataclasses import dataclass
from math import comb, hypot, sqrt

TWO_SIDED_95 = 1.959963984540054  # standard normal quantile 0.975
LIKE_ENOUGH = 1.0 + 1e-7  # tables this near in probability count as equally rare


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
    p, q = before[0] / before[1], now[0] / now[1]
    (low_p, high_p), (low_q, high_q) = wilson(*before), wilson(*now)
    return Change(
        p, q, fisher(before, now), q - p - hypot(q - low_q, high_p - p), q - p + hypot(high_q - q, p - low_p)
    )


def wilson(hits: int, balls: int) -> tuple[float, float]:
    """95 % score interval of a share (Wilson 1927, Journal of the American Statistical Association 22, 209-212)."""
    z = TWO_SIDED_95
    middle = hits + z * z / 2.0
    reach = z * sqrt(hits * (balls - hits) / balls + z * z / 4.0)
    low, high = (middle - reach) / (balls + z * z), (middle + reach) / (balls + z * z)
    return (0.0 if hits == 0 else low), (1.0 if hits == balls else high)


def fisher(before: tuple[int, int], now: tuple[int, int]) -> float:
    """Two-sided chance of tables no likelier than this one, hits and misses in all being what they are."""
    hits, all_now = before[0] + now[0], now[1]
    total = comb(before[1] + all_now, hits)
    ways = {
        k: comb(before[1], hits - k) * comb(all_now, k)
        for k in range(max(0, hits - before[1]), min(hits, all_now) + 1)
    }
    return min(1.0, sum(w for w in ways.values() if w <= ways[now[0]] * LIKE_ENOUGH) / total)
