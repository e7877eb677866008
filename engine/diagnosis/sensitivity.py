"""How far one number of the library may move before the leader changes.

Any posterior is a quotient of two linear functions of one link, the divisor being the same for all causes, so three
evaluations tell it for every value of the link. Source: Castillo, Gutiérrez and Hadi 1997; Kjærulff and van der Gaag
2000, "Making sensitivity analysis computationally efficient".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from arclore.engine.quantities import Array, Number


@dataclass(frozen=True)
class LinkResponse:
    """P(cause i) = (at_zero_i + rise_i link) / (1 + growth link), for every cause, as a function of one link."""

    at_zero: Array
    rise: Array
    growth: float

    def __call__(self, link: float) -> Array:
        """Posterior probability of every cause, (n,), were the link this strong."""
        result: Array = (self.at_zero + self.rise * link) / (1.0 + self.growth * link)
        return result

    def leader_range(self, leader: int) -> tuple[float, float] | None:
        """The links in [0, 1] for which no other cause is more probable; None where there are none.

        The divisor is common, so whether the leader leads is linear in the link and the range is one interval.
        """
        ahead = self.at_zero[leader] - self.at_zero
        gain = self.rise[leader] - self.rise
        slack = 1e-12 * max(1.0, float(np.abs(self.rise).max()))
        if (ahead[np.abs(gain) <= slack] < -slack).any():
            return None
        with np.errstate(divide="ignore", invalid="ignore"):
            turn = -ahead / gain
        low = float(np.max(turn[gain > slack], initial=0.0))
        high = float(np.min(turn[gain < -slack], initial=1.0))
        return (low, high) if low <= high else None


def response(links: Array, probability: Array) -> LinkResponse:
    """Fit the posterior (3, n) met at three different values (3,) of one link, all other numbers kept."""
    at = np.asarray(links, dtype=float)
    bend = _second_difference(at, probability)
    bend_times_link = _second_difference(at, at[:, None] * probability)
    power = float(bend_times_link @ bend_times_link)
    flat = np.ptp(probability, axis=0).max() <= 1e-14  # no account, or the only way to the evidence
    growth = 0.0 if flat or power == 0 else -float(bend_times_link @ bend) / power
    top = probability * (1.0 + growth * at[:, None])
    rise = (top[2] - top[0]) / (at[2] - at[0])
    return LinkResponse(top[0] - rise * at[0], rise, growth)


def _second_difference(at: Array, rows: Array) -> Array:
    """Second divided difference of three rows; 0 for whatever is linear in `at`."""
    result: Array = ((rows[2] - rows[1]) / (at[2] - at[1]) - (rows[1] - rows[0]) / (at[1] - at[0])) / (at[2] - at[0])
    return result


def logit(probability: Number) -> Array:
    """Natural log odds of probabilities in (0, 1)."""
    p = np.asarray(probability, dtype=float)
    result: Array = np.log(p) - np.log1p(-p)
    return result
