"""What a check that measures a number will read under each set of causes, and how much that tells.

The reading is that of typical deliveries that fit what was told, with the check's own error; under each set it is taken
as normal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from arclore.engine.diagnosis.beside import BESIDE, nearly_told, regression
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.played import Deliveries, Played, with_none
from arclore.engine.quantities import Array

MEASURED_PLACE = {
    "path_deg": ("direction", (1.0, 0.0)),
    "face_deg": ("direction", (0.0, 1.0)),
    "face_to_path_deg": ("direction", (-1.0, 1.0)),
    "swing_direction_deg": ("line", (1.0,)),
    "attack_deg": ("strike", (1.0, 0.0, 0.0)),
    "low_point_cm": ("strike", (1.0, 0.0, 0.0)),
    "low_point_body_cm": ("body", (1.0,)),
    "strike_toe_mm": ("toe", (1.0,)),
}
"""The block that tells of a measured quantity, and what of its coordinates (path and face in direction) makes it up."""
BINS = 15
ALIKE = 50.0  # sets whose readings are alike within this share of the spread are one


class Reading:
    """What one measuring check will read: mean and standard deviation under each set of causes, both (sets,)."""

    def __init__(self, deliveries: Deliveries, club: str, check: Mapping[str, Any]) -> None:
        self.check = check
        self.probability = deliveries.ranking.probability
        quantity, error = check["measurement"]["quantity"], check["measurement"]["error_sd"]
        played, values, more = _foreseen(deliveries, club, quantity)
        mean = played.mean(values)
        own = played.mean((values - mean[:, None]) ** 2) + more
        self.mean = deliveries.added_up(mean)
        self.sd = np.sqrt(np.maximum(deliveries.added_up(own), own.min()) + error**2)

    def bits(self) -> float:
        """Mutual information between the reading (in BINS bins) and the set of causes."""
        _, first, group = np.unique(self._alike, return_index=True, return_inverse=True)
        weight = np.bincount(group.ravel(), self.probability)
        rates = self.rates(self._edges, first)
        return float(_entropy(weight @ rates) - weight @ _entropy(rates))

    def shows(self) -> dict[str, Array]:
        """P(result | set), (sets,), of the results that name a range; of bins of the number where none does."""
        rows = [row for row in self.check["results"] if "from" in row or "to" in row]
        everywhere = np.arange(len(self.mean))
        if not rows:
            return {f"bin-{n}": rates for n, rates in enumerate(self.rates(self._edges, everywhere).T)}
        ends = {row["id"]: (row.get("from", -np.inf), row.get("to", np.inf)) for row in rows}
        return {name: self.rates(np.array(pair), everywhere)[:, 1] for name, pair in ends.items()}

    def rates(self, edges: Array, where: Any) -> Array:
        """Chances (sets, bins) of a reading below, between and above the edges, for the sets of these places."""
        from scipy.special import ndtr

        below = ndtr((edges[None, :] - self.mean[where, None]) / self.sd[where, None])
        ends = np.zeros((len(below), 1)), np.ones((len(below), 1))
        return np.asarray(np.diff(np.concatenate([ends[0], below, ends[1]], axis=1), axis=1))

    @property
    def _edges(self) -> Array:
        middle = float((self.probability * self.mean).sum())
        spread = float(np.sqrt((self.probability * (self.sd**2 + (self.mean - middle) ** 2)).sum()))
        return middle + spread * np.linspace(-3.0, 3.0, BINS - 1)

    @property
    def _alike(self) -> Array:
        unit = float(self.sd.min()) / ALIKE
        return np.asarray(np.rint(self.mean / unit) * 4096.0 + np.rint(self.sd / unit))


def _foreseen(deliveries: Deliveries, club: str, quantity: str) -> tuple[Played, Array, float]:
    """Deliveries that fit what was told, the quantity in each (sets, draws), and the variance it has besides.

    What the flight has nearly told is foreseen from there, as it is weighed once it is read (``beside``).
    """
    ranking, block = deliveries.ranking, MEASURED_PLACE[quantity][0]
    if not nearly_told(club, quantity, ranking.answers):
        played = deliveries.of(club, block)
        return played, quantity_at(played.condition, quantity, played.points), 0.0
    near = BESIDE[quantity][1]
    played = deliveries.of(club, near)
    usual = played.condition.fault_free_point
    own = played.points[..., 0] - usual[near][0] - played.moved(played.shifts)[..., 0]
    share, left = regression(played.condition, block, near, 0.0)
    moved = played.moved(with_none(ranking.model.shifts[club][block]))[..., 0]
    return played, usual[block][0] + moved + share * own, left


def reading_of(deliveries: Deliveries, check: Mapping[str, Any]) -> Reading | None:
    """What a measuring check will read with the first club that it is for; None where no club has the quantity."""
    model, club = deliveries.ranking.model, deliveries.ranking.case.club_of(check)
    place = MEASURED_PLACE.get(check["measurement"]["quantity"])
    if club not in model.conditions or place is None or place[0] not in model.shifts[club]:
        return None
    return Reading(deliveries, club, check)


def quantity_at(condition: Condition, quantity: str, points: Array) -> Array:
    """What a quantity reads at points (..., dimensions) of its block."""
    _, parts = MEASURED_PLACE[quantity]
    if quantity == "attack_deg":
        return attack_of(condition, points[..., 0])
    read: Array = points @ np.array(parts)
    if parts[-1] and len(parts) == 2:
        read = read + condition.lean * points[..., 0]  # the second coordinate is the face less its share of the path
    return read


def _entropy(p: Array) -> Array:
    result: Array = -(p * np.log2(np.maximum(p, 1e-300))).sum(axis=-1)
    return result
