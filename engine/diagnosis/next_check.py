"""Which check to do next: expected bits per minute.

The gain of a check is the mutual information between its result and "one of its causes acts" (Shannon 1948); a fixed
overhead is added to its minutes, so that a cheap question does not win by being cheap alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.at_hand import suits
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.set_up_check import SetUpChecks
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
    overall = float((probability * positive_rate).sum())  # as sums: a long dot product waits for threads
    return float(binary_entropy(overall) - (probability * binary_entropy(positive_rate)).sum())


@dataclass(frozen=True)
class Suggestion:
    """A check worth doing: expected bits, minutes, and how likely each set of causes makes each of its results.

    shows: result -> (sets,); they sum to 1 over the results that tell anything.
    """

    id: str
    bits: float
    minutes: float
    shows: Mapping[str, Array]


def suggestions(ranking: Ranking) -> list[Suggestion]:
    """The checks that tell most in their time, best first: those not yet done, safe, and fit for the clubs."""
    rule = ranking.model.settings["next_check"]
    changed = SetUpChecks(ranking)
    found = []
    for name in sorted(ranking.checks):
        check = ranking.checks[name]
        if name in ranking.case.checks or not suits(check, ranking.case):
            continue
        bits = expected_bits(ranking, check, changed)
        if bits >= rule["least_bits"]:
            found.append(Suggestion(name, bits, float(check["minutes"]), shows(ranking, check, changed)))
    found.sort(key=lambda s: (-s.bits / (s.minutes + rule["overhead_minutes"]), s.id))
    return found


def expected_bits(ranking: Ranking, check: Mapping[str, Any], changed: SetUpChecks) -> float:
    """Expected bits of a check about the sets of causes."""
    if check["type"] == "measurement":
        return measured_bits(ranking, check)
    if check["type"] == "changed-set-up":
        gone = changed.gone(check)
        return 0.0 if gone is None else bits_of_rates(ranking.probability, gone)
    test = test_of(ranking.model, check)
    return float(binary_bits(ranking.holding(list(test.members)), test.sensitivity, test.specificity))


def shows(ranking: Ranking, check: Mapping[str, Any], changed: SetUpChecks) -> dict[str, Array]:
    """P(result | set of causes), (sets,), for each result of a check that tells something."""
    if check["type"] == "measurement":
        return _ranges(ranking, check)
    said = check["likelihood" if check["type"] == "likelihood" else "changed_set_up"]
    if check["type"] == "changed-set-up":
        gone = changed.gone(check)
        if gone is None:
            return {}
        return {said["positive"]: gone, said["negative"]: 1.0 - gone}
    test = test_of(ranking.model, check)
    positive = np.where(ranking.model.sets.holding(test.members), test.sensitivity, 1.0 - test.specificity)
    return {said["positive"]: positive, said["negative"]: 1.0 - positive}


def measured_bits(ranking: Ranking, check: Mapping[str, Any]) -> float:
    """Mutual information between a measured number (15 bins) and the set of causes, its spread that of the players."""
    expected = _expected(ranking, check)
    if expected is None:
        return 0.0
    mean, sd = expected
    edges = np.linspace(-3.0, 3.0, 14) * float(np.hypot(sd, np.sqrt((ranking.probability * mean**2).sum())))
    # sets whose readings are alike within a fiftieth of the spread are one
    _, first, group = np.unique(np.rint(mean * (50.0 / sd)), return_index=True, return_inverse=True)
    weight = np.bincount(group.ravel(), ranking.probability)
    rates = _bins(edges, mean[first], sd)
    return float(_entropy(weight @ rates) - weight @ _entropy(rates))


def _expected(ranking: Ranking, check: Mapping[str, Any]) -> tuple[Array, float] | None:
    """The reading's mean under each set (sets,), from what is usual, and its spread; None where no club has it."""
    quantity, error = check["measurement"]["quantity"], check["measurement"]["error_sd"]
    clubs = [name for name, c in ranking.model.conditions.items() if covers(check["clubs"], c.club.family)]
    read = reading(ranking.model, clubs[0], quantity) if clubs else None
    if read is None:
        return None
    block, shift, own = read
    padded = np.append(shift, [0.0, 0.0])
    mean = sum(padded[column] for column in ranking.model.sets.columns)
    return mean, float(np.hypot(own * (SEEN_SHARE if block in ranking._pairs else 1.0), error))


def _bins(edges: Array, mean: Array, sd: float) -> Array:
    """Chances (rows, bins) of a normal reading of these means below, between and above the edges."""
    from scipy.special import ndtr

    below = ndtr((edges[None, :] - mean[:, None]) / sd)
    ends = np.zeros((len(mean), 1)), np.ones((len(mean), 1))
    return np.asarray(np.diff(np.concatenate([ends[0], below, ends[1]], axis=1), axis=1))


def _ranges(ranking: Ranking, check: Mapping[str, Any]) -> dict[str, Array]:
    """P(the reading lies in the range of a result | set of causes), for the results that name a range."""
    expected = _expected(ranking, check)
    if expected is None:
        return {}
    mean, sd = expected
    quantity = check["measurement"]["quantity"]
    club = next(n for n, c in ranking.model.conditions.items() if covers(check["clubs"], c.club.family))
    usual = usual_reading(ranking.model.conditions[club], quantity)
    rows = [row for row in check["results"] if "from" in row or "to" in row]
    named = {row["id"]: (row.get("from", -np.inf), row.get("to", np.inf)) for row in rows}
    return {name: _bins(np.array(ends) - usual, mean, sd)[:, 1] for name, ends in named.items()}


def usual_reading(condition: Condition, quantity: str) -> float:
    """What the quantity reads of a swing without a fault."""
    block, parts = MEASURED_PLACE[quantity]
    point = condition.fault_free_point[block]
    if quantity == "attack_deg":
        return float(attack_of(condition, point[0]))
    if block == "direction":
        point = point + np.array([0.0, condition.lean * point[0]])  # path and face
    return float(np.dot(parts, point))


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
