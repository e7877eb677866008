"""Regions of correlated outcomes: the engine's grids against scipy's multivariate normal, and in the posterior.

Derived values were worked out outside this project; the outside oracle is scipy's multivariate normal.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from arclore.engine.diagnosis.blocks import NODES_PER_AXIS
from arclore.engine.diagnosis.condition import BODY, DIRECTION, LINE, TOE
from arclore.engine.diagnosis.grid import Grid
from arclore.engine.diagnosis.posterior import Finding, all_sets, check_factor, marginals, normalised, prior_of_sets
from arclore.engine.quantities import Array
from scipy.special import ndtr, ndtri
from scipy.stats import multivariate_normal, norm

from tests.diagnosis.formulas import independent_sizes

A = np.array([[0.8, 0.2], [1.0, -1.0]])
SPREAD = np.array([[4.0, 2.4], [2.4, 4.0]])
WORDS = 0.25 * np.eye(2)
CUTS = np.array([1.5, 2.0])
SHIFTED = [
    ((0, 0), 0.0504678610),
    ((4, 0), 0.7145648019),
    ((0, -4), 0.1103229345),
    ((4, -4), 0.6790206806),
    ((4, 2), 0.4541777014),
    ((-4, 0), 3.756805e-05),
]


def rectangle(mean: Array, covariance: Array, low: Array, high: Array) -> float:
    """P(low <= y <= high) by scipy."""
    normal = multivariate_normal(mean, covariance, abseps=1e-9, releps=1e-9, maxpts=400_000)
    return float(normal.cdf(high, lower_limit=low))


def both_above(shift: Sequence[float]) -> float:
    return rectangle(A @ np.asarray(shift), A @ SPREAD @ A.T + WORDS, CUTS, np.full(2, np.inf))


def test_values_of_the_normal_oracle() -> None:
    """Sheppard 1899's orthants 1/4 + asin(r)/2 pi, one-dimensional tails, and the table of shifts (derived)."""
    for r, chance in [(0.5, 1 / 3), (-0.5, 1 / 6), (0.8, 0.3975836177)]:
        assert rectangle(np.zeros(2), np.array([[1, r], [r, 1]]), np.zeros(2), np.full(2, np.inf)) == pytest.approx(
            chance, abs=1e-9
        )
    assert norm(2, 2.5).sf(1.5) == pytest.approx(0.5792597094, abs=1e-9)
    assert np.diff(norm(2, 2.5).cdf([-1, 1]))[0] == pytest.approx(0.2295085882, abs=1e-9)
    assert pytest.approx(np.array([[3.738, 0.96], [0.96, 3.45]]), abs=1e-12) == A @ SPREAD @ A.T + WORDS
    for shift, chance in SHIFTED:
        assert both_above(shift) == pytest.approx(chance, abs=1e-9)
    apart = norm.sf(1.5 / np.sqrt(3.738)) * norm.sf(2 / np.sqrt(3.45))
    assert apart == pytest.approx(0.0308226667, abs=1e-9)
    assert (1.5 + np.sqrt(3.738) * ndtri(0.725)) / 0.8 == pytest.approx(3.319629913, abs=1e-8)


def test_posterior_from_physics_a_frequency_and_a_check() -> None:
    """Three causes with shifts, a finding, a check (.9/.8), a cause that makes the outcome another way (derived)."""
    odds, shifts = np.array([0.3, 0.2, 0.25]), np.array([[4.0, 0.0], [0.0, -4.0], [0.0, 0.0], [0.0, 0.0]])
    sets = all_sets(3, 3)
    prior = prior_of_sets(sets, odds, independent_sizes(odds))
    region = np.array([both_above(shifts[members].sum(axis=0)) for members in sets.members])
    links = np.array([0.0, 0.25, 0.75])
    present, absent = Finding.present(links, 0.05).factor(sets), Finding.absent(links, 0.05).factor(sets)
    seen = normalised(prior * region * present)
    assert marginals(sets, seen) == pytest.approx([0.7568748640, 0.3269831483, 0.6694553559], abs=1e-8)
    named = {tuple(int(i) for i in m[m < 3]): p for m, p in zip(sets.members, seen, strict=True)}
    expected = {(0, 2): 0.43156754, (0, 1): 0.12370240, (0,): 0.11319804, (2,): 0.10160166, (0, 1, 2): 0.08840688,
                (1,): 0.06699458, (1, 2): 0.04787928, (): 0.02664962}  # fmt: skip
    assert named == pytest.approx(expected, abs=1e-8)
    missed = normalised(prior * region * absent)
    assert marginals(sets, missed) == pytest.approx([0.7851640000, 0.1510037772, 0.0588235294], abs=1e-8)
    refuted = check_factor(sets, np.arange(3) == 0, 0.9, 0.8, False)
    assert marginals(sets, normalised(prior * region * present * refuted)) == pytest.approx(
        [0.2801293907, 0.4186351312, 0.6350483711], abs=1e-8
    )
    other_way = 1 - (1 - region) * np.where(sets.holding(np.arange(3) == 2), 0.75, 1.0)
    assert marginals(sets, normalised(prior * other_way * present)) == pytest.approx(
        [0.4978097216, 0.2665641825, 0.7969592624], abs=1e-8
    )


# --- the engine's way: a field of the region, blurred and looked up ---------------------------------------------------


def field_of_region() -> Array:
    """P(both outcomes above their cuts | path, face) on the direction grid, the words' own blur worked in."""
    return np.asarray(ndtr((np.stack(DIRECTION.mesh(), axis=-1) @ A.T - CUTS) / 0.5).prod(axis=-1))


def lookup_error(grid: Grid, field: Array) -> float:
    """What a look-up can cost: half a fine step along the steepest slope, and the bend that a straight line misses."""
    nearest = sum(float(np.abs(np.diff(field, axis=d)).max()) / (2 * finer) for d, finer in enumerate(grid.fineness))
    straight = sum(float(np.abs(np.diff(field, n=2, axis=d)).max()) / 8 for d in range(field.ndim))
    return nearest + straight


@pytest.mark.parametrize("grid", [TOE, LINE, BODY])
@pytest.mark.parametrize(("own", "sd"), [(1.0, 3.0), (1.0, 1.0), (0.5, 2.0)])
def test_blurred_border_is_the_normal_tail(grid: Grid, own: float, sd: float) -> None:
    """One dimension, spreads in steps: on the grid's points to 1e-3, between them to what a look-up costs."""
    axis = grid.axes[0]
    cut, width = 1.3 * axis.step, np.hypot(own, sd) * axis.step
    blurred = grid.blurred(ndtr((axis.points - cut) / (own * axis.step)), np.array([sd * axis.step]))
    inner = slice(20, -20)
    assert np.abs(blurred - norm.cdf((axis.points - cut) / width))[inner].max() < 1e-3
    places = np.random.default_rng(1).uniform(axis.first / 3, axis.last / 3, (500, 1))
    error = np.abs(grid.read(blurred, grid.index(places)) - norm.cdf((places[:, 0] - cut) / width)).max()
    assert error < lookup_error(grid, blurred) + 1e-3


def test_blurred_rectangle_is_the_bivariate_normal() -> None:
    """Two correlated outcomes: on the grid's points to 1e-5, between them to what a look-up costs."""
    sd = np.array([2.0, 3.0])
    covariance = A @ np.diag(sd**2) @ A.T + WORDS
    blurred = DIRECTION.blurred(field_of_region(), sd)
    rng = np.random.default_rng(2)
    for i, j in rng.integers(20, 53, (60, 2)):
        point = np.array([DIRECTION.axes[0].points[i], DIRECTION.axes[1].points[j]])
        exact = rectangle(A @ point, covariance, CUTS, np.full(2, np.inf))
        assert blurred[i, j] == pytest.approx(exact, abs=1e-5)
    points = rng.uniform(-9, 9, (200, 2))
    exact = np.array([rectangle(A @ point, covariance, CUTS, np.full(2, np.inf)) for point in points])
    error = DIRECTION.read(blurred, DIRECTION.index(points)) - exact
    assert np.abs(error).max() < lookup_error(DIRECTION, blurred) + 1e-3
    assert np.sqrt(np.mean(error**2)) < 0.006


def normal_nodes(dimensions: int) -> tuple[Array, Array]:
    """Gauss-Hermite nodes and weights of the engine's number, for a deviation that is shared."""
    x, w = np.polynomial.hermite_e.hermegauss(NODES_PER_AXIS)
    nodes = np.stack([axis.ravel() for axis in np.meshgrid(*[x] * dimensions, indexing="ij")], axis=1)
    return nodes, np.prod(np.meshgrid(*[w / w.sum()] * dimensions, indexing="ij"), axis=0).ravel()


def test_shared_deviation_by_quadrature() -> None:
    """Spreads of 4 that share 2.4: one shared deviation by quadrature, 1.6 each by blur, against the derived table."""
    smooth = DIRECTION.blurred(field_of_region(), np.sqrt([1.6, 1.6]))
    nodes, weights = normal_nodes(1)
    for shift, exact in SHIFTED:
        points = np.asarray(shift) + nodes * np.sqrt(2.4)
        assert weights @ DIRECTION.read(smooth, DIRECTION.index(points)) == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize("seed", range(6))
def test_two_clubs_share_the_player(seed: int) -> None:
    """Four outcomes of two clubs, the player's own deviation common: to 0.008 of scipy's four-dimensional normal."""
    rng = np.random.default_rng(seed)
    own, rest = np.array([2.0, 1.5]), np.array([[1.8, 1.6], [1.5, 2.0]])
    means = rng.uniform(-4, 5, (2, 2))
    covariance = np.tile(A @ np.diag(own**2) @ A.T, (2, 2))
    nodes, weights = normal_nodes(2)
    together = np.ones(len(weights))
    for club in range(2):
        part = slice(2 * club, 2 * club + 2)
        covariance[part, part] += A @ np.diag(rest[club] ** 2) @ A.T + WORDS
        smooth = DIRECTION.blurred(field_of_region(), rest[club])
        together *= DIRECTION.read(smooth, DIRECTION.index(means[club] + nodes * own))
    exact = rectangle((means @ A.T).ravel(), covariance, np.tile(CUTS, 2), np.full(4, np.inf))
    assert weights @ together == pytest.approx(exact, abs=0.008)


def test_nine_cells_of_two_cuts_sum_to_one() -> None:
    """However blurred and wherever looked up, the cells of two variables stay a distribution."""
    mesh = np.stack(DIRECTION.mesh(), axis=-1) @ A.T
    parts = [np.searchsorted([-cut, cut], mesh[..., k]) for k, cut in enumerate(CUTS)]
    cells = [(parts[0] == a) & (parts[1] == b) for a in range(3) for b in range(3)]
    points = np.random.default_rng(4).uniform(-40, 40, (500, 2))
    fields = [DIRECTION.blurred(cell.astype(float), np.array([2.0, 1.0])) for cell in cells]
    total = np.sum([DIRECTION.read(field, DIRECTION.index(points)) for field in fields], axis=0)
    assert total == pytest.approx(np.ones(500), abs=1e-12)


@pytest.mark.parametrize("dimensions", [1, 2, 3])
def test_weights_laid_on_a_grid_keep_their_sum_and_mean(dimensions: int) -> None:
    """Sharing a point linearly among its neighbours keeps total and centre; a point off the grid goes to its edge."""
    rng = np.random.default_rng(dimensions)
    grid = Grid((TOE.axes[0], LINE.axes[0], BODY.axes[0])[:dimensions], (2,) * dimensions)
    points, weights = rng.uniform(-20, 20, (200, dimensions)), rng.random(200)
    field = grid.scattered(points, weights)
    assert field.sum() == pytest.approx(weights.sum(), rel=1e-12)
    centre = [float((field * mesh).sum() / field.sum()) for mesh in grid.mesh()]
    assert centre == pytest.approx((weights @ points / weights.sum()).tolist(), abs=1e-9)
    far = grid.scattered(np.full((1, dimensions), 1e6), np.ones(1))
    assert far.ravel()[-1] == pytest.approx(1.0)
