"""Which check to do next: what it is expected to tell, per minute.

A check tells by the mutual information between its result and the set of causes (Shannon 1948), and by how much surer
of the likeliest cause a coach is once the result is known (the expected value of a choice that is right or wrong,
Howard 1966, "Information value theory"): bits alone also count what only sorts out causes that never come to lead. A
fixed overhead is added to the minutes, so that a cheap question does not win by being cheap alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.at_hand import suits
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.measuring_check import MEASURED_PLACE, reading_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.played import Deliveries
from arclore.engine.diagnosis.posterior import Sets, marginals
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.set_up_check import SetUpChecks
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array, Number

LOOKED_AT = 24  # checks, those that tell most bits a minute, of which the rise of the leader is worked out
SEEN_SHARE = 0.7  # of the players' spread that is left in a quantity the flight has already told of (estimate)


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
    deliveries = Deliveries(ranking)
    changed = SetUpChecks(deliveries)
    found = []
    for name in sorted(ranking.checks):
        check = ranking.checks[name]
        if name in ranking.case.checks or not suits(check, ranking.case):
            continue
        ranking.still()
        bits, shows = _foreseen(ranking, check, deliveries, changed)
        if bits >= rule["least_bits"]:
            found.append(Suggestion(name, bits, float(check["minutes"]), shows()))
    return _in_order(ranking, found, rule)


def _in_order(ranking: Ranking, found: Sequence[Suggestion], rule: Mapping[str, float]) -> list[Suggestion]:
    cost = {check.id: check.minutes + rule["overhead_minutes"] for check in found}
    worth = {check.id: check.bits for check in found}
    for check in sorted(found, key=lambda check: (-check.bits / cost[check.id], check.id))[:LOOKED_AT]:
        ranking.still()
        rise = lead_rise(ranking.model.sets, ranking.probability, check.shows.values())
        worth[check.id] += rule["lead_bits"] * rise
    return sorted(found, key=lambda check: (-worth[check.id] / cost[check.id], check.id))


def lead_rise(sets: Sets, probability: Array, shows: Iterable[Array]) -> float:
    """How much the chance of the likeliest listed cause rises, on average, once a result is known: 0 to 1.

    probability: (sets,). shows: P(result | set), (sets,), of every result. The last member, what is not listed, leads
    nothing.
    """
    now = float(marginals(sets, probability)[:-1].max())
    after = sum(float(marginals(sets, probability * shown)[:-1].max()) for shown in shows)
    return max(after - now, 0.0)


Shows = dict[str, Array]


def _foreseen(
    ranking: Ranking, check: Mapping[str, Any], deliveries: Deliveries, changed: SetUpChecks
) -> tuple[float, Callable[[], Shows]]:
    """Expected bits of a check about the sets of causes, and P(result | set), (sets,), of each result."""
    if check["type"] == "measurement":
        read = reading_of(deliveries, check)
        return (read.bits(), read.shows) if read is not None else (0.0, dict)
    if check["type"] == "changed-set-up":
        gone = changed.gone(check)
        if gone is None:
            return 0.0, dict
        said = check["changed_set_up"]
        return bits_of_rates(ranking.probability, gone), lambda: {said["positive"]: gone, said["negative"]: 1.0 - gone}
    test = test_of(ranking.model, check)
    held = ranking.model.sets.holding(test.members)

    def shows() -> Shows:
        positive = np.where(held, test.sensitivity, 1.0 - test.specificity)
        return {test.positive: positive, test.negative: 1.0 - positive}

    chance = float(ranking.probability[held].sum())
    return float(binary_bits(chance, test.sensitivity, test.specificity)), shows


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
