"""Which check to do next: expected bits per minute.

The gain of a check is the mutual information between its result and "one of its causes acts" (Shannon 1948); a fixed
overhead is added to its minutes, so that a cheap question does not win by being cheap alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array, Number

SEEN_SHARE = 0.7  # of the players' spread that is left in a quantity the flight has already told of (estimate)
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
"""The block that tells of a measured quantity, and what of its coordinates makes it up."""


def binary_entropy(p: Number) -> Array:
    """Entropy of a yes/no with chance p, in bits; 0 at p = 0 and p = 1."""
    p = np.asarray(p, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        h = -p * np.log2(p) - (1 - p) * np.log2(1 - p)
    result: Array = np.where((p <= 0) | (p >= 1), 0.0, h)
    return result


def binary_bits(chance: Number, sensitivity: Number, specificity: Number) -> Array:
    """Expected bits of a check that is positive with `sensitivity` where one of its causes acts."""
    positive = chance * np.asarray(sensitivity) + (1 - np.asarray(chance)) * (1 - np.asarray(specificity))
    result: Array = (
        binary_entropy(positive)
        - chance * binary_entropy(sensitivity)
        - (1 - np.asarray(chance)) * binary_entropy(specificity)
    )
    return result


def bits_of_rates(probability: Array, positive_rate: Array) -> float:
    """Expected bits of a check that is positive at the given rate in each set of causes, both (sets,)."""
    overall = float(probability @ positive_rate)
    return float(binary_entropy(overall) - probability @ binary_entropy(positive_rate))


@dataclass(frozen=True)
class Suggestion:
    """A check worth doing: expected bits and minutes."""

    id: str
    bits: float
    minutes: float


def suggestions(ranking: Ranking, at_most: int = 5) -> list[Suggestion]:
    """The checks that tell most in their time, best first: those not yet done, safe, and fit for the clubs."""
    rule = ranking.model.settings["next_check"]
    found = []
    for name in sorted(ranking.checks):
        check = ranking.checks[name]
        done = name in ranking.case.checks or "retired" in check
        if done or set(check.get("not_for", ())) & set(ranking.case.avoid):
            continue
        if not any(covers(check["clubs"], family) for family in ranking.case.families):
            continue
        bits = expected_bits(ranking, check)
        if bits >= rule["least_bits"]:
            found.append(Suggestion(name, bits, float(check["minutes"])))
    found.sort(key=lambda s: (-s.bits / (s.minutes + rule["overhead_minutes"]), s.id))
    return found[:at_most]


def expected_bits(ranking: Ranking, check: Mapping[str, Any]) -> float:
    """Expected bits of a check about the sets of causes."""
    if check["type"] == "measurement":
        return measured_bits(ranking, check)
    test = test_of(ranking.model, check)
    return float(binary_bits(ranking.holding(list(test.members)), test.sensitivity, test.specificity))


def measured_bits(ranking: Ranking, check: Mapping[str, Any]) -> float:
    """Mutual information between a measured number (15 bins) and the set of causes, its spread that of the players."""
    quantity, error = check["measurement"]["quantity"], check["measurement"]["error_sd"]
    clubs = [name for name, c in ranking.model.conditions.items() if covers(check["clubs"], c.club.family)]
    read = reading(ranking.model, clubs[0], quantity) if clubs else None
    if read is None:
        return 0.0
    block, shift, own = read
    mean = np.append(shift, [0.0, 0.0])[ranking.model.sets.members].sum(axis=1)
    sd = float(np.hypot(own * (SEEN_SHARE if block in ranking._pairs else 1.0), error))
    edges = np.linspace(-3.0, 3.0, 14) * float(np.hypot(sd, np.sqrt(ranking.probability @ mean**2)))
    from scipy.special import ndtr

    below = ndtr((edges[None, :] - mean[:, None]) / sd)
    rates = np.diff(np.concatenate([np.zeros((len(mean), 1)), below, np.ones((len(mean), 1))], axis=1), axis=1)
    overall = ranking.probability @ rates
    return float(_entropy(overall) - ranking.probability @ _entropy(rates))


def reading(model: Model, club: str, quantity: str) -> tuple[str, Array, float] | None:
    """What a quantity tells with a club: its block, the mean change (causes,) by each cause, the players' own spread.

    None where the club has no such quantity.
    """
    place = MEASURED_PLACE.get(quantity)
    condition = model.conditions[club]
    if place is None or place[0] not in model.mean_shifts[club]:
        return None
    block, parts = place
    rate = np.array(parts) * (_attack_per_cm(condition) if quantity == "attack_deg" else 1.0)
    if block == "direction":
        rate = rate + np.array([condition.lean * rate[1], 0.0])  # the second coordinate is the face less its share
    own = np.hypot(condition.spread("own")[block], condition.spread("club")[block]) * rate
    return block, np.asarray(model.mean_shifts[club][block] @ rate), float(np.sqrt((own**2).sum()))


def _attack_per_cm(condition: Condition) -> float:
    """Attack angle (deg) for each centimetre that the low point lies further ahead."""
    usual = condition.fault_free_point["strike"][0]
    return float(attack_of(condition, usual + 0.5) - attack_of(condition, usual - 0.5))


def _entropy(p: Array) -> Array:
    result: Array = -(p * np.log2(np.maximum(p, 1e-300))).sum(axis=-1)
    return result
