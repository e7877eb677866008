"""In which order to try repairs, and which drills to fill a lesson with.

Two questions that differ. *One fault, actions until it is gone*: expected cost of an order (Kadane and Simon 1977;
Heckerman, Breese and Rommelse 1995). *Several faults, limited minutes*: coverage of posterior mass by a plan of drills.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from arclore.engine.quantities import Array

MOST_ORDERED = 7  # actions whose best order is found exactly; the work doubles with each one


def left_after(fault: Array, fixes: Array, done: Sequence[int]) -> float:
    """P(still at fault after these actions). fault (faults,) one fault each; fixes (actions, faults) chances."""
    return float(fault @ (1.0 - fixes[list(done)]).prod(axis=0))


def ratio_order(fault: Array, costs: Array, fixes: Array) -> list[int]:
    """Actions by falling chance of repair per cost; the best order where no two actions repair the same fault."""
    return [int(action) for action in np.argsort(-(fixes @ fault) / costs, kind="stable")]


def best_order(fault: Array, costs: Array, fixes: Array) -> list[int]:
    """The order of least expected cost: exact up to MOST_ORDERED actions, beyond that the `ratio_order`.

    What an action costs depends on which were tried before it, not on their order, so the best order of every subset
    is built from those with one action less (Held and Karp 1962).
    """
    actions = range(len(costs))
    if len(actions) > MOST_ORDERED:
        return ratio_order(fault, costs, fixes)
    best: dict[int, tuple[float, list[int]]] = {0: (0.0, [])}
    for subset in range(1, 1 << len(actions)):
        ways = []
        for action in actions:
            if subset >> action & 1:
                cost, order = best[subset & ~(1 << action)]
                ways.append((cost + float(costs[action]) * left_after(fault, fixes, order), [*order, action]))
        best[subset] = min(ways)
    return best[(1 << len(actions)) - 1][1]


def coverage(chance: Array, cures: Array, plan: Sequence[int]) -> float:
    """Expected weight of causes cured by a plan of drills.

    chance: (causes,) marginal probability, times severity where causes weigh differently. cures: (drills, causes), the
    chance that a drill cures the cause, independent between drills. Its gains fall as the plan grows (submodular).
    """
    return float(chance @ (1.0 - (1.0 - cures[list(plan)]).prod(axis=0)))


def greedy_plan(chance: Array, cures: Array, minutes: Array, limit: float = np.inf) -> list[int]:
    """Drills by gain a minute until none fits or none helps; or the best single drill, where that covers more.

    minutes: (drills,) > 0. At least half of 1 - 1/e of the best plan within the limit.
    Source: Leskovec et al. 2007, theorem 3; Nemhauser, Wolsey and Fisher 1978 for drills of equal length.
    """
    plan: list[int] = []
    left, now = float(limit), 0.0
    while True:
        gains = {
            drill: coverage(chance, cures, [*plan, drill]) - now
            for drill in range(len(minutes))
            if drill not in plan and minutes[drill] <= left
        }
        best = max(gains, key=lambda drill: gains[drill] / float(minutes[drill]), default=None)
        if best is None or gains[best] <= 1e-12:
            break
        plan.append(best)
        left -= float(minutes[best])
        now = coverage(chance, cures, plan)
    fitting = [[drill] for drill in range(len(minutes)) if minutes[drill] <= limit]
    return max([plan, *fitting], key=lambda each: coverage(chance, cures, each))
