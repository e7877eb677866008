"""Check values of what stands beside the posterior: conflict, sensitivity, learning, pooling and calibration.

Derived values were worked out by full enumeration or direct maximisation outside this project; published ones name
their source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from arclore.engine.diagnosis.confirmed import STRENGTH
from arclore.engine.diagnosis.conflict import conflict_bits, conflict_given, conflict_without
from arclore.engine.diagnosis.learning import Links, credit, learn_links, learned, surprise
from arclore.engine.diagnosis.next_check import bits_of_rates
from arclore.engine.diagnosis.posterior import Finding, all_sets, marginals, normalised, prior_of_sets
from arclore.engine.diagnosis.sensitivity import logit, response
from arclore.engine.quantities import Array
from scipy.stats import beta, betabinom

from tests.diagnosis.formulas import (
    brier,
    calibration_error,
    equal_counts,
    equal_widths,
    independent_sizes,
    largest_change,
    log_loss,
    strength_from_quartiles,
    top,
)
from tests.diagnosis.oracles import Answered, Net, ours, quickscore_terms

NET = Net(
    np.array([0.2, 0.1, 0.05, 0.15]),
    np.array([[0.8, 0.3, 0.0], [0.5, 0.0, 0.7], [0.0, 0.9, 0.6], [0.1, 0.2, 0.0]]),
    np.array([0.05, 0.02, 0.01]),
)
SETS = all_sets(4, 4)
PRIOR = prior_of_sets(SETS, NET.odds, independent_sizes(NET.odds))


def factors(present: Sequence[int], absent: Sequence[int] = (), net: Net = NET) -> list[Array]:
    seen = [Finding.present(net.links[:, j], float(net.leak[j])) for j in present]
    missed = [Finding.absent(net.links[:, j], float(net.leak[j])) for j in absent]
    return [finding.factor(SETS) for finding in (*seen, *missed)]


def test_quickscore_terms() -> None:
    """Heckerman 1989's signed terms of the four-cause net add up to the engine's P(evidence) (derived)."""
    answered = Answered((0, 1), (2,))
    terms = quickscore_terms(NET, answered)
    expected = {(): 0.9021, (0,): -0.6976409265, (1,): -0.7911258230, (0, 1): 0.6432852141}
    assert terms == pytest.approx(expected, abs=1e-9)
    assert sum(terms.values()) * 0.99 == pytest.approx(0.0560522800, abs=1e-9)
    assert sum(terms.values()) * 0.99 == pytest.approx(ours(NET, answered)[0], rel=1e-12)


def test_bits_of_a_check_fed_by_two_causes() -> None:
    """Fed by causes 0 (.8) and 2 (.6), leak .05, after findings 0, 1 and not 2 (derived over 16 sets)."""
    posterior = normalised(PRIOR * np.prod(factors((0, 1), (2,)), axis=0))
    rate = Finding.present(np.array([0.8, 0.0, 0.6, 0.0]), 0.05).factor(SETS)
    assert posterior @ rate == pytest.approx(0.7527605105, abs=1e-9)
    assert bits_of_rates(posterior, rate) == pytest.approx(0.1486470658, abs=1e-9)
    single = np.where(SETS.holding(np.arange(4) == 0), 0.9, 0.2)
    assert bits_of_rates(posterior, single) == pytest.approx(0.1593750284, abs=1e-9)


# --- conflict and sensitivity ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("present", "absent", "bits"),
    [
        ((0, 1), (2,), -0.7568871511),
        ((0, 1, 2), (), -1.8034976320),
        ((1,), (2,), 0.2534767231),
        ((1,), (0,), 0.5130960160),
    ],
)
def test_conflict_of_answers(present: tuple[int, ...], absent: tuple[int, ...], bits: float) -> None:
    """Jensen's measure in the four-cause net (values derived)."""
    answers = factors(present, absent)
    assert conflict_bits(evidence(answers), range(len(answers))) == pytest.approx(bits, abs=1e-9)


def test_cause_and_answer_that_explain_a_conflict() -> None:
    """Finding 1 without finding 0: cause 2 (or 3) explains it; with either taken back no conflict is left (derived)."""
    answers = factors((1,), (0,))
    after = marginals(SETS, normalised(PRIOR * np.prod(answers, axis=0)))
    bits = conflict_bits(evidence(answers), range(2))
    assert conflict_given(bits, marginals(SETS, PRIOR), after) == pytest.approx(
        [0.7634454754, 1.4390954345, -2.6272458948, -0.7068944690], abs=1e-9
    )
    assert conflict_without(evidence(answers), range(2)) == pytest.approx([0.0, 0.0], abs=1e-12)
    three = evidence(factors((1,), (0, 2)))
    pairs = [conflict_bits(three, [j for j in range(3) if j != out]) for out in range(3)]
    assert conflict_without(three, range(3)) == pytest.approx(pairs, abs=1e-12)
    with pytest.raises(ValueError, match="no set"):
        conflict_bits(evidence([np.zeros(len(PRIOR))]), [0])


def evidence(answers: Sequence[Array]) -> Callable[[tuple[int, ...]], float]:
    """P(chosen answers), for answers given as their likelihoods over the sets."""
    return lambda chosen: float((PRIOR * np.prod([answers[j] for j in chosen], axis=0)).sum())


def with_link(link: float) -> Array:
    links = NET.links.copy()
    links[0, 0] = link
    return ours(Net(NET.chance, links, NET.leak), Answered((0, 1), (2,)))[1]


def test_posterior_as_a_function_of_one_link() -> None:
    """Kjærulff and van der Gaag's quotient of linear functions from three evaluations (values derived)."""
    values = [0.1, 0.4, 0.8, 0.95]
    expected = [0.6667330722, 0.8369208948, 0.9029803244, 0.9157744759]
    assert [with_link(c)[0] for c in values] == pytest.approx(expected, abs=1e-9)
    at = np.array([0.1, 0.5, 0.9])
    fitted = response(at, np.array([with_link(c) for c in at]))
    assert fitted.growth == pytest.approx(5.334213858, abs=1e-8)
    assert (fitted.rise[0], fitted.at_zero[0]) == pytest.approx((5.334213858, 0.4889613657), abs=1e-8)
    for c in (0.0, *values, 1.0):
        assert fitted(c) == pytest.approx(with_link(c), abs=1e-12)


def test_link_of_no_account_keeps_the_leader() -> None:
    """Where the posterior does not depend on the link, the leader leads everywhere and no other cause anywhere."""
    fitted = response(np.array([0.1, 0.5, 0.9]), np.tile(with_link(0.8), (3, 1)))
    assert fitted(0.3) == pytest.approx(with_link(0.8), abs=1e-12)
    assert [fitted.leader_range(cause) for cause in range(4)] == [(0.0, 1.0), None, None, None]


def test_bound_on_the_move_of_the_log_odds() -> None:
    """Chan and Darwiche 2002: .8 to .9 may move a log odds by .8109302162, and moves this one by .1062948333."""
    assert largest_change(0.8, 0.9) == pytest.approx(0.8109302162, abs=1e-9)
    moved = float(logit(with_link(0.9)[0]) - logit(with_link(0.8)[0]))
    assert moved == pytest.approx(0.1062948333, abs=1e-9)


# --- learning ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cap", "mean"), [(np.inf, 0.53), (20, 0.5625), (10, 0.6166666667)])
def test_stated_link_after_thirty_cases(cap: float, mean: float) -> None:
    """Stated .725 worth 20 cases, 12 of 30 seen (derived); without a cap it is the mean of scipy's Beta."""
    assert learned(0.725, 20, 12, 30, cap) == pytest.approx(mean, abs=1e-9)
    assert learned(0.725, 20, 12, 30) == pytest.approx(beta(0.725 * 20 + 12, 0.275 * 20 + 18).mean(), abs=1e-12)


def test_learned_shares() -> None:
    """Laplace's rule of succession, 3 of 4 (1814); two opinions as 10 and 20 cases; a Dirichlet's shares sum to 1."""
    assert learned(0.5, 2, 3, 4) == pytest.approx(2 / 3, abs=1e-12)
    assert learned(0.6, 10, 20 * 0.8, 20) == pytest.approx(0.7333333333, abs=1e-9)
    shares = learned(np.array([0.05, 0.62, 0.25, 0.08]), 40, np.array([9.0, 31.0, 12.0, 8.0]), 60, cap=20)
    assert shares.sum() == pytest.approx(1.0, abs=1e-12)
    assert shares == pytest.approx((40 * np.array([0.05, 0.62, 0.25, 0.08]) + np.array([9, 31, 12, 8]) / 3) / 60)
    assert learned(0.3, 12, 0, 0, cap=20) == 0.3
    assert learned(0.3, 0, 0, 0) == 0.3


def test_surprise_is_the_spread_of_the_beta_binomial() -> None:
    """Stated .725 worth 20 cases against 12 of 30 (scipy's betabinom)."""
    drawn = betabinom(30, 0.725 * 20, 0.275 * 20)
    assert surprise(0.725, 20, 12, 30) == pytest.approx((12 - drawn.mean()) / drawn.std(), rel=1e-12)
    assert abs(surprise(0.725, 20, 12, 30)) < 3 < abs(surprise(0.725, 200, 60, 150))


CONFIRMED = np.array([[1, 0], [1, 1], [0, 1], [0, 0]], dtype=bool)
SEEN, NOT_SEEN = np.array([14.0, 9.0, 4.0, 2.0]), np.array([6.0, 1.0, 6.0, 18.0])
STATED = Links(np.array([0.725, 0.25]), 0.05)


@pytest.mark.parametrize(
    ("strength", "cap", "links", "leak"),
    [
        (0, np.inf, (0.7013704949, 0.3759489293), 0.0960462413),
        (20, np.inf, (0.7206175100, 0.2882887779), 0.0779507281),
        (20, 20, (0.7230989083, 0.2920688864), 0.0639216719),
    ],
)
def test_links_learned_with_shared_credit(strength: float, cap: float, links: tuple[float, float], leak: float) -> None:
    """Díez 1993's rule iterated; the first two confirmed by direct maximisation outside this project."""
    got = learn_links(CONFIRMED, SEEN, NOT_SEEN, STATED, strength, cap)
    assert got.links == pytest.approx(links, abs=1e-9)
    assert got.leak == pytest.approx(leak, abs=1e-9)


def test_learned_links_are_the_likeliest() -> None:
    """No small step from the maximum likelihood raises the likelihood, written out here by itself."""

    def log_likelihood(first: float, second: float, leak: float) -> float:
        missing = (1 - leak) * np.where(CONFIRMED, [1 - first, 1 - second], 1.0).prod(axis=1)
        return float(SEEN @ np.log(1 - missing) + NOT_SEEN @ np.log(missing))

    got = learn_links(CONFIRMED, SEEN, NOT_SEEN, STATED, 0)
    best = np.array([*got.links, got.leak])
    for step in 1e-4 * np.vstack([np.eye(3), -np.eye(3)]):
        assert log_likelihood(*(best + step)) < log_likelihood(*best)


def test_credit_for_a_symptom_two_causes_can_make() -> None:
    """Cause 0 of .725 beside .25 and leak .05 (derived); who did not act gets none."""
    made, leaked = credit(CONFIRMED, STATED)
    assert made[1, 0] == pytest.approx(0.9016712009, abs=1e-9)
    assert made[0, 1] == made[2, 0] == made[3, 0] == made[3, 1] == 0.0
    assert leaked[3] == pytest.approx(1.0, abs=1e-12)


MOSTELLER_YOUTZ = [
    ("rarely", 0.036, 0.072, 0.100, 25.24),
    ("seldom", 0.074, 0.102, 0.175, 13.48),
    ("occasionally", 0.125, 0.200, 0.277, 11.94),
    ("sometimes", 0.175, 0.250, 0.350, 10.86),
    ("often", 0.650, 0.725, 0.754, 33.43),
    ("usually", 0.656, 0.751, 0.822, 12.07),
    ("very often", 0.775, 0.828, 0.899, 15.90),
    ("almost always", 0.897, 0.917, 0.952, 42.44),
]


@pytest.mark.parametrize(("word", "lower", "middle", "upper", "cases"), MOSTELLER_YOUTZ)
def test_cases_a_word_stands_for(word: str, lower: float, middle: float, upper: float, cases: float) -> None:
    """Quartiles of Mosteller and Youtz 1990 as transcribed by a third party; the cases are derived."""
    strength = strength_from_quartiles(middle, lower, upper)
    assert strength == pytest.approx(cases, abs=1e-2), word
    quartiles = beta(strength * middle, strength * (1 - middle)).ppf([0.25, 0.75])
    assert quartiles[1] - quartiles[0] == pytest.approx(upper - lower, abs=1e-9)


def test_a_stated_frequency_counts_as_many_cases_as_words_do() -> None:
    """The strength of what a library states is that of one of these words, and no more than the middle one's."""
    cases = [strength_from_quartiles(middle, lower, upper) for _, lower, middle, upper, _ in MOSTELLER_YOUTZ]
    assert min(cases) < STRENGTH < np.median(cases)


@pytest.mark.parametrize("quartiles", [(0.5, 0.6, 0.7), (0.1, 0.01, 0.9), (0.3, 0.3, 0.3), (0.5, 0.0, 0.7)])
def test_impossible_quartiles_are_refused(quartiles: tuple[float, float, float]) -> None:
    """Middle outside them, wider than any single hump, no width, or touching 0."""
    with pytest.raises(ValueError, match="quartiles"):
        strength_from_quartiles(*quartiles)


PREDICTED = np.array([[0.7, 0.2, 0.1], [0.5, 0.3, 0.2], [0.2, 0.6, 0.2], [0.9, 0.05, 0.05], [0.4, 0.35, 0.25]])
TRUTH = np.array([0, 1, 1, 0, 2])


def test_scores_of_five_predictions() -> None:
    """Brier .404, log loss .7126256498, first .6, first two .8, calibration .14 (2 bins) and .34 (5 bins); derived."""
    assert brier(PREDICTED, TRUTH) == pytest.approx(0.404, abs=1e-12)
    assert log_loss(PREDICTED, TRUTH) == pytest.approx(0.7126256498, abs=1e-9)
    assert [top(PREDICTED, TRUTH, k) for k in (1, 2, 3)] == pytest.approx([0.6, 0.8, 1.0])
    confidence, right = PREDICTED.max(axis=1), PREDICTED.argmax(axis=1) == TRUTH
    assert calibration_error(confidence, right, equal_widths(2)) == pytest.approx(0.14, abs=1e-12)
    assert calibration_error(confidence, right, equal_widths(5)) == pytest.approx(0.34, abs=1e-12)


def test_scores_of_extremes() -> None:
    """Certain and right is 0 everywhere; certain and wrong is a Brier score of 2 and an infinite log loss."""
    assert (brier(np.eye(3), np.arange(3)), log_loss(np.eye(3), np.arange(3))) == (0.0, 0.0)
    assert (brier(np.eye(2), np.array([1, 0])), log_loss(np.eye(2), np.array([1, 0]))) == (2.0, np.inf)


def test_calibration_of_drawn_outcomes_in_bins_of_equal_counts() -> None:
    """Outcomes drawn at the stated chance: within three times the error expected of 10 bins of 2,000."""
    rng = np.random.default_rng(3)
    confidence = rng.beta(2, 3, 20_000)
    right = rng.random(20_000) < confidence
    borders = equal_counts(confidence, 10)
    assert np.bincount(np.searchsorted(borders, confidence, side="right")) == pytest.approx(np.full(10, 2000), abs=1)
    assert calibration_error(confidence, right, borders) < 3 * 0.5 / np.sqrt(2000)
    assert calibration_error(np.clip(confidence + 0.1, 0, 1), right, borders) == pytest.approx(0.1, abs=0.015)
