"""Two small counts compared, against published tables."""

from __future__ import annotations

import warnings

import pytest
from arclore.engine.diagnosis.visits import compare

COUNTS = [
    ((7, 10), (3, 10)),
    ((10, 10), (0, 10)),
    ((5, 5), (5, 5)),
    ((0, 7), (1, 9)),
    ((9, 10), (3, 12)),
    ((4, 30), (11, 30)),
]


def test_the_chance_is_that_of_the_exact_test() -> None:
    """Fisher 1935, The Logic of Inductive Inference: convicts' twins, 10 of 13 against 2 of 17, one-sided 1/2150 or so;
    two-sided 0.0005367 (Agresti 2002, Categorical Data Analysis, from memory: warned of, not asserted).
    """
    chance = compare((10, 13), (2, 17)).chance
    assert 1 / 2200 < chance < 1 / 1700
    if round(chance, 7) != 0.0005367:
        warnings.warn(f"{chance:.7f}, not 0.0005367", stacklevel=1)


@pytest.mark.parametrize(
    ("before", "now", "low", "high"),
    [((48, 80), (56, 70), 0.0524, 0.3339), ((3, 10), (9, 10), 0.1705, 0.8090), ((0, 10), (10, 10), 0.6075, 1.0000)],
)
def test_the_interval_of_a_change_is_that_of_newcombe(
    before: tuple[int, int], now: tuple[int, int], low: float, high: float
) -> None:
    """Newcombe 1998, Statistics in Medicine 17, 873-890, table II, method 10: from memory, so it warns only."""
    change = compare(before, now)
    assert -1.0 <= change.low < change.now - change.before <= change.high <= 1.0
    if (round(change.low, 4), round(change.high, 4)) != (low, high):
        warnings.warn(f"{before} to {now}: {change.low:.4f} to {change.high:.4f}, not {low} to {high}", stacklevel=1)


@pytest.mark.parametrize(("before", "now"), COUNTS)
def test_a_change_turns_round_with_its_counts_and_lies_in_its_interval(
    before: tuple[int, int], now: tuple[int, int]
) -> None:
    change, back = compare(before, now), compare(now, before)
    assert (change.low, change.high) == pytest.approx((-back.high, -back.low))
    assert change.low <= change.now - change.before <= change.high
    assert change.chance == pytest.approx(back.chance)


@pytest.mark.parametrize(("before", "now"), [((1, 0), (1, 2)), ((3, 2), (1, 2)), ((1, 2), (-1, 2))])
def test_counts_that_cannot_be_are_refused(before: tuple[int, int], now: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        compare(before, now)
