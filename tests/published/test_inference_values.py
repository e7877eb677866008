"""Check values of the inference, each with its source beside it.

Derived values were worked out by full enumeration outside this project; published ones name their source.
"""

from __future__ import annotations

import numpy as np
import pytest
from arclore.engine.diagnosis.next_check import binary_bits
from arclore.engine.diagnosis.posterior import (
    Finding,
    Sets,
    all_sets,
    check_factor,
    compound_to_net,
    marginals,
    normalised,
    prior_of_sets,
)

from tests.diagnosis.formulas import independent_sizes, shapley_bits

P = np.array([0.2, 0.1, 0.05, 0.15])
LINKS = np.array([[0.8, 0.3, 0.0], [0.5, 0.0, 0.7], [0.0, 0.9, 0.6], [0.1, 0.2, 0.0]])
LEAK = np.array([0.05, 0.02, 0.01])
ODDS = P / (1 - P)


def net(largest: int = 4, acting: np.ndarray | None = None) -> tuple[Sets, np.ndarray]:
    sets = all_sets(4, largest)
    sizes = independent_sizes(ODDS) if acting is None else acting
    return sets, prior_of_sets(sets, ODDS, sizes)


def evidence(sets: Sets, present: tuple[int, ...] = (), absent: tuple[int, ...] = ()) -> np.ndarray:
    mass = np.ones(len(sets.sizes))
    for j in present:
        mass = mass * Finding.present(LINKS[:, j], LEAK[j]).factor(sets)
    for j in absent:
        mass = mass * Finding.absent(LINKS[:, j], LEAK[j]).factor(sets)
    return mass


@pytest.mark.parametrize(
    ("inhibitors", "probability"),
    [
        ((), 0.0),
        ((0.6,), 0.4),
        ((0.2,), 0.8),
        ((0.1,), 0.9),
        ((0.6, 0.2), 0.88),
        ((0.6, 0.1), 0.94),
        ((0.2, 0.1), 0.98),
        ((0.6, 0.2, 0.1), 0.988),
    ],
)
def test_noisy_or_without_leak(inhibitors: tuple[float, ...], probability: float) -> None:
    """Fever from cold, flu, malaria: Russell and Norvig's table, in Pearl 1988's noisy-OR."""
    sets = all_sets(3, 3)
    links = np.array([0.4, 0.8, 0.9])
    wanted = {i for i, c in enumerate(links) if any(abs(1 - c - q) < 1e-12 for q in inhibitors)}
    row = next(r for r, m in enumerate(sets.members) if set(m[m < 3]) == wanted)
    assert Finding.present(links, 0.0).factor(sets)[row] == pytest.approx(probability, abs=1e-12)


def test_leaky_noisy_or() -> None:
    """Leak .1 with causes .8 and .6 (public user guide of a Bayesian-network library); Henrion 1989's reading."""
    sets = all_sets(2, 2)
    factor = Finding.present(np.array([0.8, 0.6]), 0.1).factor(sets)
    assert factor == pytest.approx([0.1, 0.82, 0.64, 0.928], abs=1e-12)
    assert compound_to_net(0.82, 0.1) == pytest.approx(0.8, abs=1e-12)


def test_likelihood_ratios_of_a_check() -> None:
    """Ferritin: 731/809 and 1500/1770 (Evidence-based Medicine toolkit, published counts)."""
    se, sp = 731 / 809, 1500 / 1770
    sets = all_sets(1, 1)
    for pretest, positive, negative in [
        (0.25, 0.6638090254, 0.0365377287),
        (0.5, 0.8555643721, 0.1021486283),
        (0.1, 0.3969242946, 0.0124833176),
    ]:
        prior = np.array([1 - pretest, pretest])
        for result, expected in ((True, positive), (False, negative)):
            mass = prior * check_factor(sets, np.array([True]), se, sp, result)
            assert normalised(mass)[1] == pytest.approx(expected, abs=1e-9)


FOUR_CAUSES = [
    ((0,), (), 0.2532715, (0.6492696573, 0.2396578375, 0.05, 0.18816369), 0.1147780149),
    ((0, 1), (), 0.0699143333, (0.8582383907, 0.1519875643, 0.1673990051, 0.2520075414), 0.0083158914),
    ((0, 1), (2,), 0.0560522800, (0.9029803244, 0.0474886581, 0.0689715186, 0.2534274655), 0.0102687348),
    ((0, 1, 2), (), 0.0138620533, (0.6773209371, 0.5745369373, 0.5653981250, 0.2462659693), 0.0004194184),
    ((), (0, 1, 2), 0.636852362, (0.0338164251, 0.0163934426, 0.0021008403, 0.1127348643), 0.8414360972),
]


@pytest.mark.parametrize(("present", "absent", "chance", "expected", "none"), FOUR_CAUSES)
def test_four_cause_net(present, absent, chance, expected, none) -> None:  # type: ignore[no-untyped-def]
    """Independent causes, all 16 sets; derived by enumeration outside the project."""
    sets, prior = net()
    mass = prior * evidence(sets, present, absent)
    assert mass.sum() == pytest.approx(chance, abs=1e-9)
    posterior = normalised(mass)
    assert marginals(sets, posterior) == pytest.approx(expected, abs=1e-9)
    assert posterior[0] == pytest.approx(none, abs=1e-9)


def test_leading_sets_and_explaining_away() -> None:
    """Top sets of the four-cause net, and what confirming or refuting cause 0 does to the others (derived)."""
    sets, prior = net()
    mass = prior * evidence(sets, (0, 1), (2,))
    posterior = normalised(mass)
    named = {tuple(int(i) for i in m[m < 4]): p for m, p in zip(sets.members, posterior, strict=True)}
    for key, value in {
        (0,): 0.65293750,
        (0, 3): 0.16945442,
        (3,): 0.05675590,
        (0, 2): 0.04077412,
        (0, 1): 0.02431722,
    }.items():
        assert named[key] == pytest.approx(value, abs=1e-8)
    holds = sets.holding(np.array([True, False, False, False]))
    assert marginals(sets, normalised(mass * holds))[1:] == pytest.approx(
        [0.0358164905, 0.0554166394, 0.2031416777], abs=1e-9
    )
    assert marginals(sets, normalised(mass * ~holds))[1:] == pytest.approx(
        [0.1561237116, 0.1951293227, 0.7214467264], abs=1e-9
    )


def test_size_prior() -> None:
    """pi = (.05, .70, .25), at most two causes (derived)."""
    acting = np.array([0.05, 0.70, 0.25])
    sets, prior = net(2, acting)
    assert marginals(sets, prior) == pytest.approx([0.4739976030, 0.2428702755, 0.1214669076, 0.3616652139], abs=1e-9)
    posterior = normalised(prior * evidence(sets, (0, 1), (2,)))
    assert marginals(sets, posterior) == pytest.approx(
        [0.9152692846, 0.0562828995, 0.0828570681, 0.3238337802], abs=1e-9
    )
    assert posterior[0] == pytest.approx(0.0003718245, abs=1e-9)
    named = {tuple(int(i) for i in m[m < 4]): p for m, p in zip(sets.members, posterior, strict=True)}
    assert named[(0, 3)] == pytest.approx(0.25609313, abs=1e-8)
    assert named[(0, 2)] == pytest.approx(0.06162112, abs=1e-8)
    assert named[(0, 1)] == pytest.approx(0.03675014, abs=1e-8)


def test_checks_and_soft_reports() -> None:
    """A check on cause 0 (.9/.8), a finding "present, not sure" and one "absent, not sure" (derived)."""
    sets, prior = net()
    mass = prior * evidence(sets, (0, 1), (2,))
    first = np.array([True, False, False, False])
    positive = normalised(mass * check_factor(sets, first, 0.9, 0.8, True))
    negative = normalised(mass * check_factor(sets, first, 0.9, 0.8, False))
    assert marginals(sets, positive) == pytest.approx(
        [0.9766803794, 0.0386220093, 0.0586746862, 0.2152283548], abs=1e-9
    )
    assert marginals(sets, negative) == pytest.approx(
        [0.5377642992, 0.0914267832, 0.1199968295, 0.4427207752], abs=1e-9
    )
    soft = prior * evidence(sets, (0,), (2,)) * Finding.present(LINKS[:, 1], LEAK[1], 0.25).factor(sets)
    assert marginals(sets, normalised(soft)) == pytest.approx(
        [0.8030015090, 0.0687375735, 0.0425600313, 0.2210581414], abs=1e-9
    )
    three = all_sets(4, 3)
    sizes = independent_sizes(ODDS)[:4]
    prior3 = prior_of_sets(three, ODDS, sizes / sizes.sum())
    mass3 = prior3 * evidence(three, (0, 1)) * Finding.absent(LINKS[:, 2], LEAK[2], 0.25).factor(three)
    assert marginals(three, normalised(mass3)) == pytest.approx(
        [0.8897595361, 0.0774954250, 0.0972098546, 0.2524582995], abs=1e-9
    )


@pytest.mark.parametrize(
    ("chance", "bits"), [(0.05, 0.0773446402), (0.3, 0.3304521243), (0.5, 0.3973126097), (0.8, 0.2754581855)]
)
def test_bits_of_a_check(chance: float, bits: float) -> None:
    """Mutual information of a .9/.8 check (derived from the entropy formula; Shannon 1948)."""
    assert binary_bits(chance, 0.9, 0.8) == pytest.approx(bits, abs=1e-9)


def test_bits_of_a_check_in_the_net() -> None:
    """The check on cause 0 after findings 0 and 1 and not 2 (derived over all 16 sets)."""
    sets, prior = net()
    chance = marginals(sets, normalised(prior * evidence(sets, (0, 1), (2,))))[0]
    assert binary_bits(float(chance), 0.9, 0.8) == pytest.approx(0.1593750284, abs=1e-9)


@pytest.mark.parametrize(
    ("cause", "prior_bits", "parts", "posterior_bits"),
    [
        (0, -2.0, (2.9078434388, 1.9600708443, 0.3504310076), 3.2183452910),
        (2, -4.2479275134, (-0.6211503231, 2.4757500134, -1.3614248419), -3.7547526650),
    ],
)
def test_shapley_bits(cause: int, prior_bits: float, parts: tuple[float, ...], posterior_bits: float) -> None:
    """The answers' shares of the log odds add up to the change (Shapley 1953; values derived)."""
    sets, prior = net()
    factors = [
        Finding.present(LINKS[:, 0], LEAK[0]).factor(sets),
        Finding.present(LINKS[:, 1], LEAK[1]).factor(sets),
        Finding.absent(LINKS[:, 2], LEAK[2]).factor(sets),
    ]
    shares = shapley_bits(sets, prior, factors)[cause]
    assert shares == pytest.approx(parts, abs=1e-9)
    before = marginals(sets, prior)[cause]
    after = marginals(sets, normalised(prior * np.prod(factors, axis=0)))[cause]
    assert np.log2(before / (1 - before)) == pytest.approx(prior_bits, abs=1e-9)
    assert np.log2(after / (1 - after)) == pytest.approx(posterior_bits, abs=1e-9)
    assert prior_bits + shares.sum() == pytest.approx(posterior_bits, abs=1e-9)
