"""Check on, or act now? What a check may still change about the one thing to change first.

The decision of a lesson is what to change first. A check is worth having where its results would change that choice
for the better (Howard 1966, "Information value theory"). Checking ends where no result, nor two together, would.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, product

from arclore.engine.diagnosis.next_check import Suggestion
from arclore.engine.diagnosis.posterior import marginals
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.remedy import Worths
from arclore.engine.quantities import Array

LEAST_RESULT = 0.01  # a result rarer than this decides nothing
MOST_PAIRED = 8  # checks, best first, that are also thought of two by two


@dataclass(frozen=True)
class Result:
    """One result of a check before it is done: its chance, and the likeliest cause after it with its chance then."""

    id: str
    chance: float
    leader: int
    leads: float


@dataclass(frozen=True)
class Outlook:
    """What a check may do: how much the worth of the choice rises on average, and what each result would mean."""

    gain: float
    changes_choice: bool
    results: tuple[Result, ...]


def outlook(ranking: Ranking, worths: Worths, check: Suggestion) -> Outlook:
    """Play every result of a check that may come."""
    ranking.still()
    now = worths.first(ranking.marginal)
    if now is None:
        return Outlook(0.0, False, ())
    results, gain, changes = [], 0.0, False
    for name, shown in check.shows.items():
        chance, after = _after(ranking, shown)
        if chance < LEAST_RESULT:
            continue
        first = worths.first(after)
        assert first is not None
        worth = worths(after)
        gain += chance * float(worth[first] - worth[now])
        changes = changes or first != now
        leader = int(after[:-1].argmax())
        results.append(Result(name, chance, leader, float(after[leader])))
    return Outlook(max(gain, 0.0), changes, tuple(results))


def act_now(ranking: Ranking, worths: Worths, checks: Sequence[tuple[Suggestion, Outlook]]) -> bool:
    """Whether no check at hand can change what is changed first, nor two of the best together."""
    now = worths.first(ranking.marginal)
    if now is None or any(seen.changes_choice for _, seen in checks):
        return False
    best = [check.shows.values() for check, _ in checks[:MOST_PAIRED]]
    for one, other in combinations(best, 2):
        ranking.still()
        for first, second in product(one, other):
            chance, after = _after(ranking, first * second)
            if chance >= LEAST_RESULT and worths.first(after) != now:
                return False
    return True


def _after(ranking: Ranking, shown: Array) -> tuple[float, Array]:
    """Chance of a result, and the chances of the members after it."""
    mass = ranking.probability * shown
    chance = float(mass.sum())
    return chance, marginals(ranking.model.sets, mass) / max(chance, 1e-300)
