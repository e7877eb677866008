"""What must hold of the posterior, of plans and of explanations whatever the numbers are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations

import numpy as np
import pytest
from arclore.engine.diagnosis.conflict import conflict_bits, conflict_given
from arclore.engine.diagnosis.learning import Links, learn_links, learned
from arclore.engine.diagnosis.next_check import binary_bits, bits_of_rates
from arclore.engine.diagnosis.plan import best_order, coverage, ratio_order
from arclore.engine.diagnosis.posterior import (
    Finding,
    Sets,
    all_sets,
    check_factor,
    marginals,
    normalised,
    prior_of_sets,
)
from arclore.engine.diagnosis.reasons import log2_odds
from arclore.engine.diagnosis.sensitivity import logit, response
from arclore.engine.quantities import Array
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.diagnosis.formulas import decision_value, expected_cost, largest_change, shapley_bits

ACTING = (0.05, 0.62, 0.25, 0.08)
seeds = st.integers(0, 2**32 - 1)
few = settings(max_examples=40, deadline=None, derandomize=True)


@dataclass(frozen=True)
class Lesson:
    """A random two-layer library, its sets of at most three causes, and what was seen of its findings."""

    weights: Array
    links: Array
    leak: Array
    states: tuple[int, ...]  # 1 present, 0 absent, -1 not asked
    exclusive: tuple[tuple[int, int], ...] = ()
    largest: int = 3

    @classmethod
    def drawn(cls, seed: int, largest: int = 3) -> Lesson:
        rng = np.random.default_rng(seed)
        n, m = int(rng.integers(4, 9)), int(rng.integers(1, 7))
        links = rng.uniform(0.02, 0.97, (n, m)) * (rng.random((n, m)) < 0.5)
        states = tuple(int(s) for s in rng.integers(-1, 2, m))
        pair = tuple(int(i) for i in rng.choice(n, 2, replace=False))
        exclusive = ((pair[0], pair[1]),) if rng.random() < 0.5 else ()
        return cls(rng.uniform(0.01, 1, n), links, rng.uniform(0.005, 0.3, m), states, exclusive, largest)

    @property
    def sets(self) -> Sets:
        return all_sets(len(self.weights), self.largest, self.exclusive)

    @property
    def prior(self) -> Array:
        return prior_of_sets(self.sets, self.weights, ACTING)

    def factors(self) -> list[Array]:
        return [
            (Finding.present if state else Finding.absent)(self.links[:, j], float(self.leak[j])).factor(self.sets)
            for j, state in enumerate(self.states)
            if state >= 0
        ]

    @property
    def mass(self) -> Array:
        return self.prior * np.prod(self.factors(), axis=0)

    @property
    def marginal(self) -> Array:
        return marginals(self.sets, normalised(self.mass))


@few
@given(seeds)
def test_causes_of_no_weight_and_no_link_change_nothing(seed: int) -> None:
    """A library padded with entries that never act gives the same posterior, and those get 0 exactly."""
    lesson = Lesson.drawn(seed)
    m = len(lesson.leak)
    padded = Lesson(
        np.append(lesson.weights, np.zeros(4)),
        np.vstack([lesson.links, np.zeros((4, m))]),
        lesson.leak,
        lesson.states,
        lesson.exclusive,
    )
    assert padded.marginal == pytest.approx([*lesson.marginal, 0, 0, 0, 0], abs=1e-13)
    assert padded.mass.sum() == pytest.approx(lesson.mass.sum(), rel=1e-12)
    assert normalised(padded.mass)[0] == pytest.approx(normalised(lesson.mass)[0], rel=1e-12)


@few
@given(seeds)
def test_order_of_causes_and_of_answers_is_of_no_account(seed: int) -> None:
    """Causes renamed and findings asked in another order: the same probabilities under the new names."""
    lesson = Lesson.drawn(seed)
    rng = np.random.default_rng(seed)
    causes, asked = rng.permutation(len(lesson.weights)), rng.permutation(len(lesson.leak))
    place = np.argsort(causes)
    turned = Lesson(
        lesson.weights[causes],
        lesson.links[np.ix_(causes, asked)],
        lesson.leak[asked],
        tuple(lesson.states[j] for j in asked),
        tuple((int(place[a]), int(place[b])) for a, b in lesson.exclusive),
    )
    assert turned.marginal == pytest.approx(lesson.marginal[causes], abs=1e-12)


@few
@given(seeds, st.floats(0.005, 0.9), st.booleans())
def test_finding_that_no_cause_makes_tells_nothing(seed: int, leak: float, present: bool) -> None:
    """Seen or not, it leaves every set as it was."""
    lesson = Lesson.drawn(seed)
    make = Finding.present if present else Finding.absent
    factor = make(np.zeros(len(lesson.weights)), leak).factor(lesson.sets)
    assert normalised(lesson.mass * factor) == pytest.approx(normalised(lesson.mass), abs=1e-14)


@few
@given(seeds, st.floats(0.0, 0.99))
def test_present_and_absent_sum_to_not_asked(seed: int, unsure: float) -> None:
    """The two results of a finding are the whole of what can be seen; so are those of a check, and unsure reports."""
    lesson = Lesson.drawn(seed)
    links, leak = lesson.links[:, 0], float(lesson.leak[0])
    present, absent = Finding.present(links, leak).factor(lesson.sets), Finding.absent(links, leak).factor(lesson.sets)
    assert (lesson.mass * (present + absent)).sum() == pytest.approx(lesson.mass.sum(), rel=1e-12)
    mask = np.arange(len(links)) % 2 == 0
    results = [check_factor(lesson.sets, mask, 0.85, 0.7, positive) for positive in (True, False)]
    assert (lesson.mass * sum(results)).sum() == pytest.approx(lesson.mass.sum(), rel=1e-12)
    soft = Finding.present(links, leak, unsure).factor(lesson.sets)
    assert soft == pytest.approx(present + unsure * absent, abs=1e-13)
    soft = Finding.absent(links, leak, unsure).factor(lesson.sets)
    assert soft == pytest.approx(absent + unsure * present, abs=1e-13)


@few
@given(seeds)
def test_cause_of_no_weight_never_acts(seed: int) -> None:
    """Whatever it is linked to, its marginal is 0 exactly."""
    lesson = Lesson.drawn(seed)
    weights = lesson.weights.copy()
    weights[0] = 0.0
    silent = Lesson(weights, lesson.links, lesson.leak, lesson.states, lesson.exclusive)
    assert silent.marginal[0] == 0.0


@few
@given(seeds, st.floats(0.05, 0.95))
def test_cause_in_two_parts_is_one_cause_where_one_acts(seed: int, share: float) -> None:
    """With at most one cause acting, an entry split into two alike leaves the others and the sum as they were."""
    lesson = Lesson.drawn(seed, largest=1)
    weights = np.append(lesson.weights, lesson.weights[0] * (1 - share))
    weights[0] *= share
    links = np.vstack([lesson.links, lesson.links[:1]])
    split = Lesson(weights, links, lesson.leak, lesson.states, largest=1).marginal
    assert split[0] + split[-1] == pytest.approx(lesson.marginal[0], abs=1e-13)
    assert split[1:-1] == pytest.approx(lesson.marginal[1:], abs=1e-13)


@few
@given(seeds)
def test_sizes_of_the_prior_are_the_stated_ones(seed: int) -> None:
    """Exclusive pairs or not, "how many act" is what the library says, as far as sets of a size can be had at all."""
    lesson = Lesson.drawn(seed)
    assert np.bincount(lesson.sets.sizes, weights=lesson.prior, minlength=4) == pytest.approx(ACTING, abs=1e-12)
    two = prior_of_sets(all_sets(2, 3), np.array([0.3, 0.1]), ACTING)
    assert np.bincount(all_sets(2, 3).sizes, weights=two) == pytest.approx(np.array(ACTING[:3]) / 0.92, abs=1e-12)
    for first, second in lesson.exclusive:
        together = (lesson.sets.members == first).any(axis=1) & (lesson.sets.members == second).any(axis=1)
        assert not together.any()


@few
@given(seeds)
def test_any_of_a_group_is_one_minus_the_evidence_without_it(seed: int) -> None:
    """1 - Z(group cannot act) / Z, the prior's factors kept, is the summed posterior of sets that meet the group."""
    lesson = Lesson.drawn(seed)
    group = np.random.default_rng(seed).random(len(lesson.weights)) < 0.4
    posterior = normalised(lesson.mass)
    without = lesson.mass * (1.0 - np.append(group, False)[lesson.sets.members]).prod(axis=1)
    meets = posterior[lesson.sets.holding(group)].sum()
    assert meets == pytest.approx(1 - without.sum() / lesson.mass.sum(), abs=1e-12)
    # by the weights themselves: e_k of the whole library stays, the weights of the group are 0
    product = np.append(lesson.weights, 1.0)[lesson.sets.members].prod(axis=1)
    silenced = np.append(np.where(group, 0.0, lesson.weights), 1.0)[lesson.sets.members].prod(axis=1)
    z = (lesson.mass / product * silenced).sum()
    assert meets == pytest.approx(1 - z / lesson.mass.sum(), abs=1e-12)


@few
@given(seeds, st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_bits_are_never_negative_nor_more_than_is_open(seed: int, chance: float, se: float, sp: float) -> None:
    """0 <= bits <= entropy of what is asked; a check that says the same under both tells nothing."""
    assert -1e-12 <= binary_bits(chance, se, sp) <= binary_bits(chance, 1.0, 1.0) + 1e-12
    assert binary_bits(chance, se, 1 - se) == pytest.approx(0.0, abs=1e-12)
    lesson = Lesson.drawn(seed)
    posterior = normalised(lesson.mass)
    rate = Finding.present(lesson.links[:, 0], float(lesson.leak[0])).factor(lesson.sets)
    assert bits_of_rates(posterior, rate) >= -1e-12
    by_set = np.where(lesson.sets.holding(np.arange(len(lesson.weights)) == 0), se, 1 - sp)
    both = bits_of_rates(posterior, by_set), binary_bits(float(lesson.marginal[0]), se, sp)
    assert both[0] == pytest.approx(both[1], abs=1e-9)


@few
@given(seeds)
def test_shapley_bits_add_up(seed: int) -> None:
    """To 1e-9, for every cause; an answer that is the same under every set has no share."""
    lesson = Lesson.drawn(seed)
    factors = [*lesson.factors(), np.full(len(lesson.prior), 0.3)]
    shares = shapley_bits(lesson.sets, lesson.prior, factors)
    change = log2_odds(lesson.marginal) - log2_odds(marginals(lesson.sets, lesson.prior))
    assert shares.sum(axis=1) == pytest.approx(change, abs=1e-9)
    assert shares[:, -1] == pytest.approx(0.0, abs=1e-9)


@few
@given(seeds)
def test_shapley_bits_of_like_answers_are_alike(seed: int) -> None:
    """The same report given twice gets the same share twice."""
    lesson = Lesson.drawn(seed)
    factor = Finding.present(lesson.links[:, 0], float(lesson.leak[0])).factor(lesson.sets)
    shares = shapley_bits(lesson.sets, lesson.prior, [factor, *lesson.factors(), factor])
    assert shares[:, 0] == pytest.approx(shares[:, -1], abs=1e-9)


@few
@given(seeds, st.floats(0.01, 0.99), st.floats(0.01, 0.99))
def test_one_link_moves_log_odds_no_further_than_its_own(seed: int, link: float, other: float) -> None:
    """Chan and Darwiche 2002, for every cause; and the fitted quotient foretells the posterior at both values."""
    lesson = Lesson.drawn(seed)

    def at(value: float) -> Array:
        links = lesson.links.copy()
        links[0, 0] = value
        return Lesson(lesson.weights, links, lesson.leak, (1, *lesson.states[1:]), lesson.exclusive).marginal

    before, after = at(link), at(other)
    moved = np.abs(logit(after) - logit(before))
    assert (moved <= largest_change(link, other) + 1e-9).all()
    nodes = np.array([0.05, 0.5, 0.95])
    fitted = response(nodes, np.array([at(c) for c in nodes]))
    assert fitted(link) == pytest.approx(before, abs=1e-9)
    assert fitted(other) == pytest.approx(after, abs=1e-9)


@few
@given(seeds)
def test_leader_leads_in_its_range_and_not_beyond(seed: int) -> None:
    """Against the posterior worked out anew on both sides of each border."""
    lesson = Lesson.drawn(seed)

    def at(value: float) -> Array:
        links = lesson.links.copy()
        links[0, 0] = value
        return Lesson(lesson.weights, links, lesson.leak, (1, *lesson.states[1:]), lesson.exclusive).marginal

    nodes, everywhere = np.array([0.05, 0.5, 0.95]), np.linspace(0, 1, 21)
    fitted = response(nodes, np.array([at(c) for c in nodes]))
    table = np.array([at(c) for c in everywhere])
    for cause in range(len(lesson.weights)):
        lead = table[:, cause] - np.delete(table, cause, axis=1).max(axis=1)
        low, high = fitted.leader_range(cause) or (2.0, -1.0)
        inside = (low <= everywhere) & (everywhere <= high)
        assert (lead[inside] >= -1e-9).all() and (lead[~inside] <= 1e-9).all()
        for border in {low, high} & set(np.clip([low, high], 1e-9, 1 - 1e-9)):
            there = at(border)
            assert there[cause] == pytest.approx(np.delete(there, cause).max(), abs=1e-8)


@few
@given(seeds)
def test_conflict_is_the_same_in_any_order_and_none_for_one_answer(seed: int) -> None:
    """One answer cannot disagree with itself; two reports of one thing agree, never less than nothing."""
    lesson = Lesson.drawn(seed)
    factors = lesson.factors()

    def conflict(answers: Sequence[Array]) -> float:
        def evidence(chosen: tuple[int, ...]) -> float:
            mass = lesson.prior.copy()
            for j in chosen:
                mass *= answers[j]
            return float(mass.sum())

        return conflict_bits(evidence, range(len(answers)))

    assert conflict(factors) == pytest.approx(conflict(factors[::-1]), abs=1e-9)
    one = Finding.present(lesson.links[:, 0], float(lesson.leak[0])).factor(lesson.sets)
    assert conflict([]) == pytest.approx(0.0, abs=1e-12)
    assert conflict([one]) == pytest.approx(0.0, abs=1e-12)
    assert conflict([one, one]) <= 1e-12
    named = lesson.sets.holding(np.arange(len(lesson.weights)) == 0).astype(float)
    before = marginals(lesson.sets, lesson.prior)
    after = marginals(lesson.sets, normalised(lesson.prior * np.prod(factors, axis=0)))
    joined = conflict([*factors, named])
    assert conflict_given(conflict(factors), before, after)[0] == pytest.approx(joined, abs=1e-9)


@few
@given(seeds)
def test_order_of_repairs_by_chance_per_cost_is_best_for_one_fault(seed: int) -> None:
    """One repair a fault, constant costs: no other order is cheaper, and what a check saves is never below 0."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(1, 6))
    fault, costs, fixes = rng.dirichlet(np.ones(n)), rng.uniform(0.5, 20, n), np.eye(n)
    by_ratio = expected_cost(fault, costs, fixes, ratio_order(fault, costs, fixes))
    every = [expected_cost(fault, costs, fixes, order) for order in permutations(range(n))]
    assert by_ratio == pytest.approx(min(every), rel=1e-12)
    assert expected_cost(fault, costs, fixes, best_order(fault, costs, fixes)) == pytest.approx(min(every), rel=1e-12)
    rates = rng.dirichlet(np.ones(3), n).T
    assert -1e-9 <= decision_value(fault, costs, fixes, rates) <= decision_value(fault, costs, fixes, np.eye(n)) + 1e-9


@few
@given(seeds)
def test_coverage_has_falling_gains(seed: int) -> None:
    """A drill adds no more to a longer plan than to a shorter one, and never takes anything away."""
    rng = np.random.default_rng(seed)
    chance, cures = rng.random(4), rng.random((5, 4))
    plan = [int(d) for d in rng.permutation(4)]
    gains = [coverage(chance, cures, [*plan[:k], 4]) - coverage(chance, cures, plan[:k]) for k in range(5)]
    assert all(later <= earlier + 1e-12 for earlier, later in pairwise(gains))
    assert gains[-1] >= -1e-12
    assert coverage(chance, cures, plan) <= chance.sum() + 1e-12


@few
@given(seeds, st.floats(0.1, 60), st.floats(0, 60))
def test_learned_numbers_stay_between_statement_and_data(seed: int, strength: float, cap: float) -> None:
    """A share lies between what was stated and what was seen; links and leak stay chances; no lesson, no change."""
    rng = np.random.default_rng(seed)
    stated, total = rng.uniform(0.01, 0.97), float(rng.integers(1, 80))
    count = float(rng.integers(0, int(total) + 1))
    got = float(learned(stated, strength, count, total, cap))
    assert min(stated, count / total) - 1e-12 <= got <= max(stated, count / total) + 1e-12
    acting = rng.random((5, 3)) < 0.5
    links = Links(rng.uniform(0.05, 0.95, 3), float(rng.uniform(0.01, 0.3)))
    after = learn_links(acting, rng.integers(0, 6, 5), rng.integers(0, 6, 5), links, strength, cap)
    assert ((after.links >= 0) & (after.links <= 1)).all() and 0 <= after.leak <= 1
    untouched = ~acting.any(axis=0)
    assert after.links[untouched] == pytest.approx(links.links[untouched], abs=1e-12)
    same = learn_links(acting, np.zeros(5), np.zeros(5), links, strength, cap)
    assert same.links == pytest.approx(links.links, abs=1e-12) and same.leak == pytest.approx(links.leak, abs=1e-12)
