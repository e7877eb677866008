"""The order in which causes are shown: a choice of design, held to what it says of itself."""

from __future__ import annotations

import numpy as np
from arclore.engine.diagnosis.shown import SHOWN_CAUSES, shown_order
from hypothesis import given
from hypothesis import strategies as st


def names(count: int) -> list[str]:
    return [f"c{i:02d}" for i in range(count)]


def test_kin_stands_back_for_another_family_and_not_for_a_much_less_likely_one() -> None:
    chance = np.array([0.30, 0.20, 0.10, 0.08, 0.02])
    assert shown_order(chance, names(5), ["aim", "aim", "grip", "aim", "turn"]) == [0, 2, 1, 3, 4]
    assert shown_order(chance, names(5), ["aim", "aim", "aim", "aim", "aim"]) == [0, 1, 2, 3, 4]
    assert shown_order(np.array([0.3, 0.3, 0.1]), ["b", "a", "c"], ["x", "x", "y"]) == [1, 2, 0]


@given(st.lists(st.tuples(st.floats(0, 1), st.sampled_from("abcd")), max_size=20))
def test_every_cause_once_likeliest_first_and_the_rest_by_chance(rows: list[tuple[float, str]]) -> None:
    chance = np.array([row[0] for row in rows])
    order = shown_order(chance, names(len(rows)), [row[1] for row in rows])
    assert len(set(order)) == len(order) == min(len(rows), SHOWN_CAUSES)
    if order:
        assert chance[order[0]] >= chance.max() - 1e-11
    rest = chance[order[3:]]
    assert np.all(rest[1:] <= rest[:-1] + 1e-11)
