"""Chances, bits and geometry in words: every figure stands in a sentence and keeps its side."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from arclore.tui import wording
from arclore.tui.chances import likely, standing
from arclore.tui.moved import Said, moved_lines, moved_mark
from arclore.tui.screens.openers import Openers

from tests.desk.fakes import answer, cause


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.001, "hardly likely (under 1 in 100)"),
        (0.3, "possible (30 in 100)"),
        (0.55, "as likely as not (55 in 100)"),
        (0.999, "nearly sure (over 99 in 100)"),
    ],
)
def test_how_likely_a_thing_is_has_words_and_its_number(chance: float, words: str) -> None:
    assert likely(chance) == words


@pytest.mark.parametrize(
    ("chance", "top", "words"),
    [
        (0.04, 0.04, "leads, but far from sure (4 in 100)"),
        (0.2, 0.2, "leads, but not sure (20 in 100)"),
        (0.6, 0.6, "leads, likelier than not (60 in 100)"),
        (0.9, 0.9, "leads, nearly sure (90 in 100)"),
        (0.035, 0.04, "close behind (4 in 100)"),
        (0.02, 0.04, "possible (2 in 100)"),
        (0.002, 0.04, "less likely (under 1 in 100)"),
        (0.55, 0.7, "likely too (55 in 100)"),
    ],
)
def test_a_cause_is_told_by_how_it_stands_in_the_field(chance: float, top: float, words: str) -> None:
    assert standing(chance, top, first=chance == top) == words


def test_a_drill_that_must_not_be_done_is_named_with_a_word_why() -> None:
    drills = {
        "arch": {"title": "arch {left}", "not_for": ["back-history", "pregnancy"], "for": {"causes": ["stance"]}},
        "step": {"title": "step in", "not_for": [], "for": {"causes": ["stance"]}},
        "other": {"title": "something else", "not_for": ["back-history"], "for": {"causes": ["grip"]}},
    }
    told = wording.left_out(drills, "stance", ["back-history", "junior"], "left")
    assert told == ["Left out: arch right (not with: back trouble, now or before)."]
    assert wording.left_out(drills, "stance", [], "left") == []


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (-6.4, -1.2, "1 to 6 degrees left"),
        (-0.3, 1.4, "up to 1 degree right"),
        (-1.0, 3.0, "between 1 degree left and 3 degrees right"),
        (2.1, 2.2, "2 degrees right"),
        (-0.2, 0.2, "level"),
    ],
)
def test_an_interval_names_the_sides_of_zero(low: float, high: float, words: str) -> None:
    assert wording.span(low, high, "left", "right", "degree") == words


def test_the_club_is_told_in_three_sentences_with_their_figures() -> None:
    going, looked, bottom = wording.delivery_lines("driver", answer(cause("stance", 0.5))["delivery"]["driver"])
    assert going == (
        "Driver: the club was going about 3 degrees left of the target (up to 6 degrees left), "
        "between 2 degrees down and 1 degree up."
    )
    assert looked == "The face looked about 1 degree right of the target (between 1 degree left and 3 degrees right)."
    assert bottom == "The swing bottomed out at the ball (between 3 cm behind and 4 cm ahead of the ball)."


@pytest.mark.parametrize(
    ("stage", "involved", "line"),
    [
        ("aim", {"aim": 0.6, "downswing": 0.2}, "Set-up, not swing."),
        ("release", {"aim": 0.2, "release": 0.6}, "Swing, not set-up."),
        ("release", {"aim": 0.36, "release": 0.56}, "Look at the swing first; the set-up is not ruled out."),
        ("grip", {"grip": 0.3, "backswing": 0.3}, "Look at the set-up first; the swing is not ruled out."),
        ("equipment", {"equipment": 0.5, "grip": 0.1}, "Neither set-up nor swing leads, but equipment."),
    ],
)
def test_set_up_or_swing_is_said_plainly(stage: str, involved: dict[str, float], line: str) -> None:
    rows = [{"id": name, "probability": chance} for name, chance in involved.items()]
    assert wording.place_line(answer(cause("x", 0.5, stage), stages={"involved": rows, "leading": stage})) == line


def test_set_up_or_swing_is_left_open_where_no_cause_stands_out() -> None:
    assert wording.place_line(answer(cause("x", 0.1, "aim"))) == "Set-up or swing: not told apart yet."


def test_the_shares_are_parts_of_a_hundred() -> None:
    parts = wording.shares(answer(cause("x", 0.5)))
    assert sum(parts.values()) == pytest.approx(1.0)
    assert wording.share_line(answer(cause("x", 0.5))).endswith("set-up, aim and hold 75, swing 25, else 0.")


def test_what_moved_names_the_answer_the_place_and_the_bits() -> None:
    before = answer(cause("stance", 0.5), cause("grip", 0.2))
    now = answer(cause("grip", 0.5), cause("stance", 0.2))
    heard, gained, lost = moved_lines(before, now, Said("driver started: left"))
    assert heard == "Heard: driver started: left. The lead changed: it came up from place 2."
    assert gained == "Gained most, strongly (2.0 bits): the grip of the test."  # log2 of odds 1 against odds 1/4
    assert lost == "Lost most, strongly (2.0 bits): the stance of the test."
    assert moved_lines(before, now, Said("x", taken_back=True))[0].startswith("Taken back: x.")
    assert moved_lines(None, now, Said("x")) == []


def test_marks_of_movement_are_words() -> None:
    before = {"a": 1, "b": 4}
    marks = [moved_mark(name, before, 2) for name in ("a", "b", "c")]
    assert marks == ["down 1", "up 2", "new here"]
    assert moved_mark("a", before, 1) == moved_mark("a", {}, 2) == ""


@pytest.mark.parametrize(
    ("finding", "words"),
    [
        ("driver: start left", "driver started left"),
        ("mid-iron: curve right (strong)", "mid iron bent far right"),
        ("mid-iron: curve none", "mid iron bent not at all"),
        ("driver: face part heel", "driver was struck toward the heel"),
        ("wedge: contact thin or fat", "wedge contact was thin or fat (the ground before the ball)"),
        ("driver: turf behind", "driver left a mark before the ball"),
        ("look: wide", "the {right} foot is looked at: wide".replace("{right}", "left")),
        ("numb: present", "something is numb"),
        ("something new", "something new"),
    ],
)
def test_a_finding_is_told_in_words(finding: str, words: str) -> None:
    titles = {"look": "the {right} foot is looked at", "numb": "something is numb"}
    assert wording.finding_words(finding, titles, "left") == words


def test_nothing_to_fix_and_none_of_these_head_the_page_only_where_they_are_worth_it() -> None:
    assert wording.beyond_the_list(answer(cause("x", 0.05), none_of_these=0.1)) == ""
    assert "not listed" in wording.beyond_the_list(answer(cause("x", 0.05), none_of_these=0.5))
    assert "nothing to fix" in wording.beyond_the_list(answer(cause("x", 0.05), nothing_to_fix=0.6))
    assert "nothing to fix" in wording.beyond_the_list(answer(nothing_to_fix=0.6))


@pytest.mark.parametrize(
    ("chances", "line"),
    [
        ((0.1, 0.09), "No cause stands out yet."),
        ((0.3, 0.25, 0.21, 0.1), "The first 3 are close; the next check parts them."),
        ((0.6, 0.2), ""),
        ((), ""),
    ],
)
def test_how_far_the_leader_stands_out(chances: tuple[float, ...], line: str) -> None:
    assert wording.stand_out(answer(*(cause(f"c{i}", chance) for i, chance in enumerate(chances)))) == line


def test_too_early_says_how_many_balls() -> None:
    assert wording.too_early(answer(need_balls=3)) == "Too early to say: hit 3 more balls."
    assert wording.too_early(answer(need_balls=1)) == "Too early to say: hit 1 more ball."
    assert wording.too_early(answer()) == ""


def test_a_proposal_turns_to_the_hand() -> None:
    proposal = {"outcome": {"curve": "away", "bend": "slight", "contact": ["thin", "top"]}, "findings": ["x"]}
    words = wording.proposal_words(proposal, {"x": "so {left}"}, "left")
    assert words == "it bent a bit left; contact: thin or topped; so right"
    told = wording.proposal_words({**proposal, "club": "mid-iron"}, {"x": "so {left}"}, "left")
    assert told == f"mid iron: {words}"


def test_where_nothing_was_told_nothing_leads_and_nothing_is_to_be_changed_first() -> None:
    priority = {"id": "grip", "title": "the grip", "stage": "grip", "tell_student": "s", "undone": {}}
    told = answer(cause("stance", 0.3), cause("grip", 0.2), priority={**priority, "why": "quicker", "brings_on": []})
    blank = {**told, "causes": [{**row, "because": []} for row in told["causes"]]}
    early = {**told, "causes": [{k: v for k, v in row.items() if k != "because"} for row in told["causes"]]}
    assert wording.headline(blank) == wording.stand_out(blank) == wording.NOTHING_TOLD
    assert wording.first_line(blank) == ""
    for known in (told, early):
        assert wording.headline(known).startswith("Leads")
        assert wording.first_line(known) == "Change first: the grip."


@pytest.mark.parametrize(("clubs", "first"), [(["putt"], "putt"), (["full-swing"], "driver"), (["all"], "chip")])
def test_a_sheet_shows_a_club_that_its_cause_is_about(clubs: list[str], first: str) -> None:
    """Where it is about several, the one that putting it right changes; else the one that is asked about."""
    flow = SimpleNamespace(current="start@chip")
    screen: Any = SimpleNamespace(flow=flow, marked="x", _cause=lambda _answer: {"clubs": clubs})
    given: dict[str, Any] = {"delivery": {"driver": {}, "chip": {}, "putt": {}}, "priority": None}
    assert Openers._clubs(screen, given)[0] == first
    undone = {club: {"face_deg": {"now": 0.0, "then": size}} for club, size in (("putt", -2.0), ("chip", 1.0))}
    given["priority"] = {"id": "x", "undone": undone}
    assert Openers._clubs(screen, given)[0] == ("driver" if first == "driver" else "putt")
