"""A plan for what is left of the lesson: which of two causes comes first and why, and which drills fill the minutes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.at_hand import suits
from arclore.engine.diagnosis.plan import best_order, greedy_plan
from arclore.engine.diagnosis.posterior import Mask
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.remedy import Worths
from arclore.engine.quantities import Array

CURES = 0.5  # chance that a drill mends a cause it is for within a lesson (estimate: no study of it was found)
MINUTES = 30.0  # of practice, where the case names none
PROBABLE = 0.15  # P(both act) from which two causes are planned for together
LIKELY_BELOW = 0.25  # of the leader's chance, from which a cause that another brings on is worth naming
MOST_BELOW = 3  # of them that are named


@dataclass(frozen=True)
class Together:
    """Two causes that are probable together: which to change first, which then, P(both act), and why in that order.

    why: brings-on (the first brings on the second), quicker (its stage changes sooner) or likelier.
    """

    first: int
    then: int
    chance: float
    why: str


def together(ranking: Ranking) -> Together | None:
    """The two listed causes that most probably act together; None where that is not probable."""
    sets = ranking.model.sets
    listed = (sets.sizes == 2) & ~sets.holding(np.arange(sets.n) == ranking.model.unlisted)
    if not listed.any():
        return None
    best = int(np.argmax(np.where(listed, ranking.probability, -1.0)))
    chance = float(ranking.probability[best])
    if chance < PROBABLE:
        return None
    pair = [int(i) for i in sets.members[best, :2]]
    worths = Worths(ranking.model, barred=ranking.barred)
    first = worths.first(ranking.marginal)
    if first not in pair:
        first = max(pair, key=lambda i: worths(ranking.marginal)[i])
    (then,) = (i for i in pair if i != first)
    if then in brought_on(ranking, first):
        return Together(first, then, chance, "brings-on")
    likelier = ranking.marginal[first] >= ranking.marginal[then]
    return Together(first, then, chance, "likelier" if likelier else "quicker")


def brought_on(ranking: Ranking, cause: int) -> set[int]:
    """The listed causes that this one brings on, by itself or by way of others."""
    model = ranking.model
    found: set[int] = set()
    waiting = [cause]
    while waiting:
        names = model.candidates[waiting.pop()].entry.get("upstream_of", ())
        new = {model.place[name] for name in names if name in model.place} - found
        found |= new
        waiting += new
    return found - {cause}


def why_first(ranking: Ranking, first: int) -> tuple[str, list[int]]:
    """Why this cause is to be changed first, and the likely causes that it brings on, likeliest first.

    likeliest; spared (no drill for the likeliest suits this student); brings-on (other likely causes come from it); or
    quicker (its stage changes sooner than the likeliest's).
    """
    chance = ranking.marginal
    least = LIKELY_BELOW * chance[:-1].max()
    below = [i for i in sorted(brought_on(ranking, first), key=lambda i: -chance[i]) if chance[i] >= least][:MOST_BELOW]
    if first == int(chance[:-1].argmax()):
        return "likeliest", below
    if int(chance[:-1].argmax()) in ranking.barred:
        return "spared", below
    alone = Worths(ranking.model, share=0.0).first(chance)
    return ("quicker" if alone == first else "brings-on"), below


@dataclass(frozen=True)
class Practice:
    """Drills in the order to do them, and what they leave.

    covered: of the suspicion on listed causes, the share that a drill of the plan works on. uncovered: causes that
    none does, likeliest first, with whether any drill suits (then the time was too short).
    """

    drills: tuple[str, ...]
    minutes: float
    limit: float
    covered: float
    uncovered: tuple[tuple[int, bool], ...]


def practice(ranking: Ranking, drills: Mapping[str, Mapping[str, Any]], first: int | None) -> Practice:
    """Drills by coverage of the suspicion a minute, within the minutes; one for the first cause leads them."""
    case, model = ranking.case, ranking.model
    limit = case.minutes or MINUTES
    chosen = [name for name in sorted(drills) if suits(drills[name], case)]
    works = np.zeros((len(chosen), len(model.candidates)), dtype=bool)
    for row, name in zip(works, chosen, strict=True):
        row[[model.place[cause] for cause in drills[name]["for"]["causes"] if cause in model.place]] = True
    minutes = np.array([float(drills[name]["minutes"]) for name in chosen])
    chance = ranking.marginal[:-1]
    plan = _filled(chance, works, minutes, limit, first)
    plan = _ordered(plan, chance, works, minutes, first)
    reached = np.asarray(works[plan].any(axis=0))
    left = [int(i) for i in np.argsort(-chance, kind="stable") if not reached[i]]
    return Practice(
        tuple(chosen[j] for j in plan),
        float(minutes[plan].sum()),
        limit,
        float(chance[reached].sum() / chance.sum()),
        tuple((i, bool(works[:, i].any())) for i in left),
    )


def _filled(chance: Array, works: Mask, minutes: Array, limit: float, first: int | None) -> list[int]:
    """Drills that fill the minutes; one for the first cause is kept a place where any of them fits."""
    cures = np.asarray(CURES * works)
    plan = greedy_plan(chance, cures, minutes, limit)
    mine = [] if first is None else [j for j in np.flatnonzero(works[:, first]) if minutes[j] <= limit]
    if not mine or set(mine) & set(plan):
        return plan
    start = int(max(mine, key=lambda j: cures[j] @ chance / minutes[j]))
    rest = greedy_plan(
        chance * (1.0 - cures[start]),
        cures * (np.arange(len(cures)) != start)[:, None],
        minutes,
        limit - minutes[start],
    )
    return [start, *rest]


def _ordered(plan: Sequence[int], chance: Array, works: Mask, minutes: Array, first: int | None) -> list[int]:
    """Least expected minutes until the fault is mended, drills for the first cause before the others."""
    picked = list(plan)
    if not picked:
        return []
    order = best_order(chance / chance.sum(), minutes[picked], np.asarray(CURES * works[picked]))
    placed = [picked[j] for j in order]
    return sorted(placed, key=lambda j: first is None or not works[j, first])
