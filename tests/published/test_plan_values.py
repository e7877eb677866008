"""Check values of plans: the order of repairs, what a check is worth, and coverage by drills.

Derived values were worked out by enumeration outside this project; published ones name their source.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from arclore.engine.diagnosis.plan import best_order, coverage, greedy_plan, ratio_order

from tests.diagnosis.formulas import decision_value, expected_cost

PROGRAM_VIRUS_HARDWARE = np.array([0.8, 0.15, 0.05])
REBOOT_TOOL_REFORMAT_NEW = np.array([[1, 0, 0], [0, 0.95, 0], [0.99, 0.99, 0], [1, 1, 1]])
PRICES = np.array([1.0, 2.0, 25.0, 500.0])


@pytest.mark.parametrize(
    ("order", "cost"),
    [
        ([0, 1, 2, 3], 27.875),
        ([0, 1, 3], 30.15),
        ([1, 0, 3], 31.6075),
        ([0, 2, 3], 31.75),
        ([2, 3], 54.75),
        ([0, 3], 101.0),
        ([3], 500.0),
    ],
)
def test_expected_cost_of_repair(order: list[int], cost: float) -> None:
    """Inputs of a textbook exercise on troubleshooting; costs derived by enumeration and by hand."""
    got = expected_cost(PROGRAM_VIRUS_HARDWARE, PRICES, REBOOT_TOOL_REFORMAT_NEW, order)
    assert got == pytest.approx(cost, abs=1e-9)


def test_best_order_of_the_exercise() -> None:
    """Reboot, tool, reformat, new machine; chance per cost .8, .07125, .03762, .002 gives the same."""
    ratio = REBOOT_TOOL_REFORMAT_NEW @ PROGRAM_VIRUS_HARDWARE / PRICES
    assert ratio == pytest.approx([0.8, 0.07125, 0.03762, 0.002], abs=1e-12)
    assert best_order(PROGRAM_VIRUS_HARDWARE, PRICES, REBOOT_TOOL_REFORMAT_NEW) == [0, 1, 2, 3]
    assert ratio_order(PROGRAM_VIRUS_HARDWARE, PRICES, REBOOT_TOOL_REFORMAT_NEW) == [0, 1, 2, 3]


THREE_TRIES = {
    (0, 1, 2): 15.875,
    (0, 2, 1): 15.7,
    (2, 0, 1): 16.2,
    (1, 0, 2): 17.375,
    (2, 1, 0): 17.4,
    (1, 2, 0): 17.75,
}
THREE_FAULTS = {(1, 0, 2): 9.4, (1, 2, 0): 9.8, (0, 1, 2): 10.3, (2, 1, 0): 10.4, (0, 2, 1): 10.9, (2, 0, 1): 11.3}


def test_three_independent_tries_at_one_fault() -> None:
    """The order by chance per cost is published; its printed totals do not follow from its formula, these do."""
    fault, costs, fixes = np.ones(1), np.array([10.0, 8.0, 5.0]), np.array([[0.5], [0.25], [0.2]])
    for order, cost in THREE_TRIES.items():
        assert expected_cost(fault, costs, fixes, order) == pytest.approx(cost, abs=1e-9)
    assert best_order(fault, costs, fixes) == ratio_order(fault, costs, fixes) == [0, 2, 1]


def test_three_faults_one_repair_each_and_the_value_of_a_check() -> None:
    """Orders by p/C; a .9/.8 check on fault 0 lowers 9.4 to 7.45 (derived)."""
    fault, costs, fixes = np.array([0.5, 0.3, 0.2]), np.array([8.0, 3.0, 4.0]), np.eye(3)
    for order, cost in THREE_FAULTS.items():
        assert expected_cost(fault, costs, fixes, order) == pytest.approx(cost, abs=1e-9)
    assert best_order(fault, costs, fixes) == ratio_order(fault, costs, fixes) == [1, 0, 2]
    rates = np.array([[0.9, 0.2, 0.2], [0.1, 0.8, 0.8]])
    chance = rates @ fault
    assert chance == pytest.approx([0.55, 0.45], abs=1e-12)
    for result, (order, cost) in enumerate([([0, 1, 2], 8.8363636364), ([1, 2, 0], 5.7555555556)]):
        after = rates[result] * fault / chance[result]
        assert best_order(after, costs, fixes) == order
        assert expected_cost(after, costs, fixes, order) == pytest.approx(cost, abs=1e-9)
    assert decision_value(fault, costs, fixes, rates) == pytest.approx(1.95, abs=1e-9)


def test_which_of_two_causes_to_look_at_first() -> None:
    """First the one of greater chance per cost of looking; what the repair costs drops out (published exercise)."""
    for chance, costs in [(0.3, (1.0, 3.0)), (0.3, (2.0, 3.0)), (0.6, (5.0, 3.0)), (0.5, (1.0, 1.1))]:
        fault = np.array([chance, 1 - chance])
        first = 0 if chance / costs[0] >= (1 - chance) / costs[1] else 1
        assert best_order(fault, np.array(costs), np.eye(2))[0] == first


@pytest.mark.parametrize("seed", range(12))
def test_best_order_is_that_of_all_permutations(seed: int) -> None:
    """Overlapping, unsure actions, where chance per cost is only a guess: against all orders of five."""
    rng = np.random.default_rng(seed)
    fault, costs = rng.dirichlet(np.ones(4)), rng.uniform(1, 9, 5)
    fixes = rng.random((5, 4)) * (rng.random((5, 4)) < 0.6)
    least = min(expected_cost(fault, costs, fixes, order) for order in permutations(range(5)))
    assert expected_cost(fault, costs, fixes, best_order(fault, costs, fixes)) == pytest.approx(least, rel=1e-12)
    assert decision_value(fault, costs, fixes, rng.dirichlet(np.ones(3), 4).T) >= -1e-12


def test_ten_actions_fall_back_to_chance_per_cost() -> None:
    """Beyond seven actions the order is p/C, which is the best one where every action repairs its own fault."""
    rng = np.random.default_rng(5)
    fault, costs = rng.dirichlet(np.ones(10)), rng.uniform(1, 9, 10)
    order = best_order(fault, costs, np.eye(10))
    least = expected_cost(fault, costs, np.eye(10), order)
    for _ in range(300):
        assert least <= expected_cost(fault, costs, np.eye(10), rng.permutation(10)) + 1e-12
    for a in range(9):  # no neighbours of the best order may be swapped with gain
        swapped = [*order[:a], order[a + 1], order[a], *order[a + 2 :]]
        assert least <= expected_cost(fault, costs, np.eye(10), swapped) + 1e-12


def test_coverage_by_two_drills() -> None:
    """P = (.6, .35), drill a cures .7 and .1, drill b .2 and .8: .455, .4, both .743 (derived)."""
    chance, cures = np.array([0.6, 0.35]), np.array([[0.7, 0.1], [0.2, 0.8]])
    assert coverage(chance, cures, []) == 0.0
    assert [coverage(chance, cures, plan) for plan in ([0], [1], [0, 1])] == pytest.approx(
        [0.455, 0.4, 0.743], abs=1e-12
    )
    assert greedy_plan(chance, cures, np.array([10.0, 10.0])) == [0, 1]
    assert greedy_plan(chance, cures, np.array([10.0, 5.0])) == [1, 0]
    assert greedy_plan(chance, cures, np.array([10.0, 5.0]), 9.0) == [1]
    assert greedy_plan(chance, cures, np.array([10.0, 5.0]), 4.0) == []


def test_greedy_plan_takes_the_one_long_drill_that_beats_the_short_ones() -> None:
    """By gain a minute alone the short drill blocks the long one (the known trap of a budget)."""
    assert greedy_plan(np.array([0.05, 0.9]), np.array([[1.0, 0.0], [0.0, 0.9]]), np.array([1.0, 20.0]), 20.0) == [1]


@pytest.mark.parametrize("seed", range(10))
def test_greedy_plan_is_near_the_best_of_all_plans(seed: int) -> None:
    """At least (1 - 1/e) / 2 of the best within the limit (Leskovec et al. 2007); useless drills are never taken."""
    rng = np.random.default_rng(seed)
    chance, minutes = rng.uniform(0, 0.7, 5), rng.uniform(3, 15, 7)
    cures = rng.random((7, 5)) * (rng.random((7, 5)) < 0.5)
    cures[3] = 0.0
    plan = greedy_plan(chance, cures, minutes, 25.0)
    assert minutes[plan].sum() <= 25.0 and 3 not in plan
    every = [[d for d in range(7) if mask >> d & 1] for mask in range(1 << 7)]
    best = max(coverage(chance, cures, p) for p in every if minutes[p].sum() <= 25.0)
    assert coverage(chance, cures, plan) >= (1 - np.exp(-1)) / 2 * best
