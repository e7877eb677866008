"""The posterior against outside programs (pgmpy, pyAgrum), and those against printed values of well-known nets.

The chest clinic, the alarm and most of the sprinkler are general nets, no two layers of causes and findings: there the
printed values show that the programs are used rightly, and the engine is compared where a part of the net has its form.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.posterior import Finding, all_sets, check_factor, marginals, normalised, prior_of_sets

from tests.diagnosis.formulas import independent_sizes
from tests.diagnosis.oracles import (
    Answered,
    Net,
    independent_weights,
    noisy_or_tables,
    or_pass,
    ours,
    pgmpy_chance,
    pgmpy_model,
    pyagrum_model,
    pyagrum_noisy_or,
    quiet_import,
)

NETS = 50

CHEST_CLINIC: dict[str, tuple[list[str], Any]] = {
    "a": ([], 0.01),
    "s": ([], 0.5),
    "t": (["a"], [0.01, 0.05]),
    "l": (["s"], [0.01, 0.1]),
    "b": (["s"], [0.3, 0.6]),
    "e": (["t", "l"], [[0.0, 1.0], [1.0, 1.0]]),
    "x": (["e"], [0.05, 0.98]),
    "d": (["e", "b"], [[0.1, 0.8], [0.7, 0.9]]),
}
ALARM: dict[str, tuple[list[str], Any]] = {
    "B": ([], 0.001),
    "E": ([], 0.002),
    "A": (["B", "E"], [[0.001, 0.29], [0.94, 0.95]]),
    "J": (["A"], [0.05, 0.9]),
    "M": (["A"], [0.01, 0.7]),
}
SPRINKLER: dict[str, tuple[list[str], Any]] = {
    "C": ([], 0.5),
    "S": (["C"], [0.5, 0.1]),
    "R": (["C"], [0.2, 0.8]),
    "W": (["S", "R"], [[0.0, 0.9], [0.9, 0.99]]),
}


@cache
def both(name: str) -> tuple[Any, Any]:
    """A net of the literature as built by pgmpy and by pyAgrum."""
    tables = {"chest": CHEST_CLINIC, "alarm": ALARM, "sprinkler": SPRINKLER}[name]
    return pgmpy_model(tables), pyagrum_model(tables)


def chances(net: str, node: str, evidence: Mapping[str, int]) -> tuple[float, float]:
    """P(node = 1 | evidence) by pgmpy and by pyAgrum."""
    pyagrum = quiet_import("pyagrum")
    outside, other = both(net)
    inference = pyagrum.LazyPropagation(other)
    inference.setEvidence(dict(evidence))
    return pgmpy_chance(outside, node, evidence), float(inference.posterior(node)[1])


A_D = {"a": 1, "d": 1}
PRINTED = [
    # Lauritzen and Spiegelhalter 1988's net; values as in the tests of the R package gRain, then on a public forum
    ("chest", {}, {"t": 0.0104, "l": 0.055, "b": 0.45}, 1e-12),
    ("chest", {}, {"e": 0.064828, "x": 0.11029004}, 1e-12),
    # the same, printed in a university's course slides on gRain
    ("chest", A_D, {"l": 0.09952515, "b": 0.8114021}, 1e-7),
    ("chest", {**A_D, "s": 1}, {"l": 0.1455191, "b": 0.8672582}, 1e-7),
    # the same net, derived by enumeration outside this project
    ("chest", {}, {"d": 0.4359706}, 1e-12),
    ("chest", A_D, {"t": 0.0877509650, "e": 0.1822998528, "x": 0.2195388631, "s": 0.6259198578}, 1e-9),
    ("chest", {**A_D, "s": 1}, {"t": 0.0727595386}, 1e-9),
    ("chest", {**A_D, "x": 0}, {"t": 0.0022486953, "l": 0.0025504190, "b": 0.8627607730}, 1e-9),
    ("chest", {"x": 1, "d": 1, "s": 1, "a": 0}, {"t": 0.0725543164, "l": 0.7255431642, "b": 0.7138673004}, 1e-9),
    # Pearl 1988 / Russell and Norvig's alarm, as worked through on a public course page
    ("alarm", {"B": 1}, {"J": 0.849017, "M": 0.6586138}, 1e-9),
    ("alarm", {"A": 1, "E": 1}, {"B": 0.003}, 5e-4),
    ("alarm", {"J": 1, "M": 1}, {"B": 0.2841718354}, 1e-9),
    ("alarm", {"A": 1, "E": 1}, {"B": 0.0032684236}, 1e-9),
    ("alarm", {"A": 1}, {"B": 0.3735512283}, 1e-9),
    # Murphy's sprinkler: the first as printed in a public tutorial, the others derived by enumeration
    ("sprinkler", {"W": 1, "R": 1}, {"S": 0.1945}, 5e-5),
    ("sprinkler", {"W": 1}, {"S": 0.4297635605, "R": 0.7079276773}, 1e-9),
    ("sprinkler", {}, {"W": 0.6471}, 1e-9),
]


@pytest.mark.parametrize(("net", "evidence", "expected", "within"), PRINTED)
def test_outside_programs_give_the_printed_values(
    net: str, evidence: dict[str, int], expected: dict[str, float], within: float
) -> None:
    """Both programs, so that a later comparison with them is a comparison with the literature."""
    for node, value in expected.items():
        assert chances(net, node, evidence) == pytest.approx((value, value), abs=within), node


def test_chest_clinic_joint_of_two_nodes() -> None:
    """P(visit, short breath) = .004501375 (tests of the R package gRain)."""
    for visited, breathless in zip(chances("chest", "a", {}), chances("chest", "d", {"a": 1}), strict=True):
        assert visited * breathless == pytest.approx(0.004501375, abs=1e-12)


@pytest.mark.parametrize("x", [0, 1])
def test_chest_clinic_with_visit_and_smoking_known_is_a_group_check(x: int) -> None:
    """Then t and l are independent causes, and the X-ray is a check of "any of the two" (.98/.95)."""
    sets = all_sets(3, 3)
    chance = np.array([0.05, 0.1, 0.6])  # t, l, b given a and s
    odds = chance / (1 - chance)
    prior = prior_of_sets(sets, odds, independent_sizes(odds))
    ray = check_factor(sets, np.array([True, True, False]), 0.98, 0.95, bool(x))
    got = marginals(sets, normalised(prior * ray))
    for node, value in zip("tlb", got, strict=True):
        assert chances("chest", node, {"a": 1, "s": 1, "x": x}) == pytest.approx((value, value), abs=1e-12)


def test_sprinkler_by_the_engine() -> None:
    """Sprinkler and rain make a noisy-OR of .9 and .9; their dependence is one size prior with weights .21 and .41."""
    sets = all_sets(2, 2)
    prior = prior_of_sets(sets, np.array([0.21, 0.41]), [0.29, 0.62, 0.09])
    mass = prior * Finding.present(np.array([0.9, 0.9]), 0.0).factor(sets)
    assert mass.sum() == pytest.approx(0.6471, abs=1e-12)
    assert marginals(sets, normalised(mass)) == pytest.approx([0.4297635605, 0.7079276773], abs=1e-9)
    rained = normalised(mass * sets.holding(np.array([False, True])))
    assert marginals(sets, rained)[0] == pytest.approx(0.1945, abs=5e-5)
    assert marginals(sets, rained)[0] == pytest.approx(chances("sprinkler", "S", {"W": 1, "R": 1})[0], abs=1e-12)


# --- random two-layer nets -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(NETS))
def test_random_net_against_outside_programs(seed: int) -> None:
    """12 causes, 8 findings (4 present, 3 absent, 1 not asked), all 4,096 subsets: <= 1e-12 from three others."""
    pyagrum = quiet_import("pyagrum")
    net = Net.drawn(seed)
    answered = Answered.drawn(seed, net)
    chance, marginal, _ = ours(net, answered)
    evidence = {f"f{j}": state for j, state in answered.states().items()}

    outside = pgmpy_model(noisy_or_tables(net))
    by_pgmpy = [pgmpy_chance(outside, f"c{i}", evidence) for i in range(len(net.chance))]
    assert np.abs(marginal - by_pgmpy).max() <= 1e-12

    inference = pyagrum.LazyPropagation(pyagrum_noisy_or(net))
    inference.setEvidence(evidence)
    by_pyagrum = [float(inference.posterior(f"c{i}")[1]) for i in range(len(net.chance))]
    assert np.abs(marginal - by_pyagrum).max() <= 1e-12
    assert inference.evidenceProbability() == pytest.approx(chance, rel=1e-11)

    total, by_pass = or_pass(net.odds, independent_weights(net), net.links, net.leak, answered)
    assert np.abs(marginal - by_pass).max() <= 1e-12
    assert total == pytest.approx(chance, rel=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_every_set_of_a_random_net_against_pgmpy(seed: int) -> None:
    """Not only marginals: the posterior of each of the 4,096 sets is the joint that variable elimination gives."""
    net = Net.drawn(seed)
    answered = Answered.drawn(seed, net)
    sets = all_sets(12, 12)
    _, _, posterior = ours(net, answered, sets)
    causes = [f"c{i}" for i in range(12)]
    evidence = {f"f{j}": state for j, state in answered.states().items()}
    elimination = quiet_import("pgmpy.inference").VariableElimination(pgmpy_model(noisy_or_tables(net)))
    joint = elimination.query(causes, evidence, show_progress=False)
    table = np.moveaxis(joint.values, [joint.variables.index(cause) for cause in causes], range(12))
    acting = np.zeros((len(sets.sizes), 13), dtype=np.intp)
    np.put_along_axis(acting, sets.members, 1, axis=1)
    assert np.abs(table[tuple(acting[:, :12].T)] - posterior).max() <= 1e-12


@pytest.mark.parametrize("seed", range(5))
def test_checks_and_soft_reports_against_virtual_evidence(seed: int) -> None:
    """A check on one cause, one on "any of three" and unsure findings, as pyAgrum's likelihood evidence."""
    pyagrum = quiet_import("pyagrum")
    net = Net.drawn(seed, causes=8)
    sets = all_sets(8, 8)
    group = np.isin(np.arange(8), (1, 4, 6))
    mass = prior_of_sets(sets, net.odds, independent_sizes(net.odds))
    mass = mass * Finding.present(net.links[:, 0], float(net.leak[0])).factor(sets)
    mass = mass * Finding.present(net.links[:, 1], float(net.leak[1]), 0.3).factor(sets)
    mass = mass * Finding.absent(net.links[:, 2], float(net.leak[2]), 0.2).factor(sets)
    mass = mass * check_factor(sets, np.arange(8) == 2, 0.85, 0.7, True) * check_factor(sets, group, 0.8, 0.9, False)

    built = pyagrum_noisy_or(net)
    built.addOR(pyagrum.LabelizedVariable("any", "", 2))
    for i in np.flatnonzero(group):
        built.addArc(f"c{i}", "any")
    inference = pyagrum.LazyPropagation(built)
    inference.setEvidence({"f0": 1, "f1": [0.3, 1.0], "f2": [1.0, 0.2], "c2": [1 - 0.7, 0.85], "any": [0.9, 0.2]})
    outside = [float(inference.posterior(f"c{i}")[1]) for i in range(8)]
    assert np.abs(marginals(sets, normalised(mass)) - outside).max() <= 1e-12


@pytest.mark.parametrize(("causes", "largest"), [(40, 3), (100, 3), (300, 2)])
def test_limited_sets_of_a_large_net_against_a_pass_over_the_causes(causes: int, largest: int) -> None:
    """With a size prior and many causes, against the algorithm that lists no sets."""
    net = Net.drawn(causes, causes, density=0.1)
    answered = Answered.drawn(causes, net)
    sets = all_sets(causes, largest)
    acting = np.array([0.05, 0.62, 0.25, 0.08][: largest + 1])
    acting = acting / acting.sum()
    mass = prior_of_sets(sets, net.odds, acting)
    for j, seen in answered.states().items():
        make = Finding.present if seen else Finding.absent
        mass = mass * make(net.links[:, j], float(net.leak[j])).factor(sets)
    power = [float((net.odds**k).sum()) for k in range(4)]  # Newton's identities give the sums over sets of one size
    whole = [
        1.0,
        power[1],
        (power[1] ** 2 - power[2]) / 2,
        (power[1] ** 3 - 3 * power[1] * power[2] + 2 * power[3]) / 6,
    ]
    total, marginal = or_pass(net.odds, acting / whole[: largest + 1], net.links, net.leak, answered)
    assert mass.sum() == pytest.approx(total, rel=1e-11)
    assert np.abs(marginals(sets, normalised(mass)) - marginal).max() <= 1e-11
