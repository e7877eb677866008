"""Signed numbers as values of flags, and numbers as they are shown."""

from __future__ import annotations

import math

import pytest
from arclore.tui.command.page import Page, between, counted, in_hundred, number
from arclore.tui.command.parser import numbers_bound
from arclore.tui.hand import for_hand, side_for_hand
from hypothesis import given
from hypothesis import strategies as st


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_any_number_is_bound_to_its_flag(value: float) -> None:
    bound = numbers_bound(["predict", "--attack-deg", f"{value:+}"])
    assert bound[0] == "predict"
    assert float(bound[1].removeprefix("--attack-deg=")) == value


@pytest.mark.parametrize("arguments", [["triage", "-"], ["--a", "--b"], ["-3"], ["--a=1", "-2"], ["--", "-2"]])
def test_what_is_no_number_of_a_flag_is_left_alone(arguments: list[str]) -> None:
    assert numbers_bound(arguments) == arguments


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [(-0.0, 1, "0.0"), (-0.04, 1, "0.0"), (2.5, 0, "3"), (-2.5, 0, "-3"), (0.15, 1, "0.2"), (1e6, 0, "1000000")],
)
def test_rounding_is_half_away_from_zero_and_never_minus_zero(value: float, digits: int, shown: str) -> None:
    assert number(value, digits) == shown


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_shown_number_is_the_nearest(value: float, digits: int) -> None:
    shown = number(value, digits)
    assert math.isclose(float(shown), value, abs_tol=0.5000001 * 10**-digits)
    assert not shown.startswith("-0" + ("." + "0" * digits if digits else "")) or float(shown) != 0


def test_intervals_name_their_sides() -> None:
    words = ("left", "right", "deg", "straight")
    assert between(-9.4, -5.2, *words) == "5 to 9 deg left"
    assert between(0.4, 5.2, *words) == "up to 5 deg right"
    assert between(-2.0, 3.0, *words) == "somewhere from 2 deg left to 3 deg right"
    assert between(-0.3, 0.4, *words) == "straight"
    assert between(3.8, 4.2, *words) == "about 4 deg right"


def test_chances_do_not_claim_certainty() -> None:
    assert [in_hundred(p) for p in (0.0, 0.144, 0.9999)] == ["under 1 in 100", "14 in 100", "over 99 in 100"]


def test_counts_have_their_plural() -> None:
    assert [counted(n, "minute") for n in (1, 2, 1.5)] == ["1 minute", "2 minutes", "1.5 minutes"]


def test_a_page_wraps_and_makes_data_harmless() -> None:
    page = Page(width=40, bold=True)
    page.heading("a title")
    page.paragraph("word " * 30 + "\x1b[31m[@click=app.quit] [/x]", indent=2, mark="- ")
    assert page.lines[0] == "\x1b[1ma title\x1b[0m"
    assert all(len(line) <= 40 for line in page.lines[1:])
    text = " ".join(page.lines[1:])
    assert "\x1b" not in text
    assert r"\x1b[31m[@click=app.quit]" in text
    assert "[/x]" in text


def test_sides_are_the_golfers_own() -> None:
    assert for_hand("{left} of {right}", "right") == "left of right"
    assert for_hand("{left} of {right}", "left") == "right of left"
    assert [side_for_hand(word, "left") for word in ("toward", "away", "none")] == ["right", "left", "none"]
