"""A lesson as plain state: undo, redo, the safety gate, and the case it makes."""

from __future__ import annotations

import json

import pytest
from arclore.tui.lesson import Lesson, case_input, from_json, gate, to_json
from hypothesis import given
from hypothesis import strategies as st

from tests.desk.fakes import valid

START, CURVE = ["left", "on-line", "right", "varies", "skipped", "unsure"], ["left-strong", "none", "right-slight"]
EVENTS = st.lists(
    st.one_of(
        st.tuples(st.just("handed"), st.sampled_from(["left", "right", "unsure"])),
        st.tuples(st.just("level"), st.sampled_from(["novice", "skilled", "skipped"])),
        st.tuples(st.just("clubs"), st.sampled_from([["driver"], ["driver", "wedge"], "skipped"])),
        st.tuples(st.sampled_from(["start@driver", "start@wedge"]), st.sampled_from(START)),
        st.tuples(st.just("curve@driver"), st.sampled_from(CURVE)),
        st.tuples(st.just("contact@driver"), st.lists(st.sampled_from(["thin", "toe"]), min_size=1, unique=True)),
        st.tuples(st.just("turf@wedge"), st.sampled_from(["none", "deep"])),
        st.tuples(st.just("balls@driver"), st.sampled_from(["2", "usual"])),
        st.tuples(st.just("check:tee-ladder"), st.sampled_from(["gone", "unsure"])),
    ),
    max_size=12,
)


def lesson_of(*events: tuple[str, object]) -> Lesson:
    lesson = Lesson()
    for question, value in events:
        lesson = lesson.answered(question, value)
    return lesson


@given(EVENTS)
def test_every_lesson_makes_a_case_that_the_schema_of_cases_takes(events: list[tuple[str, object]]) -> None:
    made = case_input(lesson_of(*events))
    valid(made, "definitions", "#/$defs/case_input")  # raises where it does not
    assert [shot["club"] for shot in made["shots"]] == list(lesson_of(*events).clubs)


@given(EVENTS, st.integers(0, 12))
def test_undo_and_redo_lead_back_to_the_same_lesson(events: list[tuple[str, object]], steps: int) -> None:
    lesson = back = lesson_of(*events)
    for _ in range(steps):
        back = back.undone()
    assert back.answers == lesson_of(*events[: max(len(events) - steps, 0)]).answers
    for _ in range(steps):
        back = back.redone()
    assert back == lesson


@given(EVENTS, st.integers(0, 5))
def test_a_lesson_survives_json(events: list[tuple[str, object]], steps: int) -> None:
    lesson = lesson_of(*events)
    for _ in range(steps):
        lesson = lesson.undone()
    read = from_json(json.loads(json.dumps(to_json(lesson))))
    assert (read.done, read.answers) == (lesson.done, lesson.answers)


@pytest.mark.parametrize(
    "broken",
    [
        None,
        [],
        {},
        {"format": 2, "events": [], "done": 0},
        {"format": 1, "events": [], "done": 1},
        {"format": 1, "events": [], "done": True},
        {"format": 1, "events": [["a"]], "done": 0},
        {"format": 1, "events": [[1, 2]], "done": 0},
        {"format": 1, "events": {"a": 1}, "done": 0},
        {"format": 1, "events": [["clubs", [["driver"]]]], "done": 1},
        {"format": 1, "events": [["handed", None]], "done": 1},
        {"format": 1, "events": [["handed", {"a": 1}]], "done": 1},
        {"format": 1, "events": [["said:x", "slice"]], "done": 1},
        {"format": 1, "events": [["said:x", {"outcome": {}, "findings": [1]}]], "done": 1},
        {"format": 1, "events": [["said:x", {"outcome": {}, "findings": [], "club": [1]}]], "done": 1},
    ],
)
def test_what_is_no_lesson_is_refused_in_one_line(broken: object) -> None:
    with pytest.raises(ValueError, match=r"^[^\n]+$"):
        from_json(broken)


def test_a_new_answer_after_undo_forgets_what_could_be_redone() -> None:
    lesson = lesson_of(("handed", "left"), ("level", "novice")).undone().answered("level", "skilled")
    assert lesson.redone() == lesson
    assert lesson.answers == {"handed": "left", "level": "skilled"}


@pytest.mark.parametrize(
    ("given_answers", "stands"),
    [
        ({}, "waiting"),
        ({"safety:0": "no"}, "waiting"),
        ({"safety:0": "no", "safety:1": "no"}, "open"),
        ({"safety:0": "yes"}, "stopped"),
        ({"safety:0": "no", "safety:1": "unsure"}, "stopped"),
        ({"safety:0": "no", "safety:1": "no", "safety:words": "asked"}, "waiting"),
        ({"safety:0": "no", "safety:1": "no", "safety:words": "yes"}, "stopped"),
        ({"safety:0": "no", "safety:1": "no", "safety:words": "no"}, "open"),
    ],
)
def test_the_gate_opens_only_when_everything_was_answered_with_no(
    given_answers: dict[str, str], stands: str
) -> None:
    assert gate(given_answers, 2) == stands


def test_a_gate_without_questions_stays_shut() -> None:
    assert gate({}, 0) == "waiting"


def test_skipped_and_not_sure_say_nothing() -> None:
    said = lesson_of(("clubs", ["driver"]), ("start@driver", "skipped"), ("curve@driver", "unsure"))
    assert case_input(said)["shots"] == [{"club": "driver"}]


def test_it_varies_is_a_finding_and_no_side() -> None:
    case = case_input(lesson_of(("clubs", ["driver"]), ("start@driver", "varies"), ("curve@driver", "varies")))
    assert case["shots"] == [{"club": "driver"}]
    assert case["present"] == ["start-line-scatter", "two-way-miss"]


@pytest.mark.parametrize(("hand", "side"), [("right", "right"), ("left", "left"), ("unsure", "right")])
def test_accepted_words_fill_only_what_was_not_answered_and_turn_to_the_hand(hand: str, side: str) -> None:
    words = {"phrase": "slice", "outcome": {"curve": "away", "bend": "strong", "height": "high"}, "findings": []}
    lesson = lesson_of(("handed", hand), ("clubs", ["driver"]), ("height@driver", "low"), ("said:slice", words))
    assert case_input(lesson)["shots"] == [{"club": "driver", "curve": side, "bend": "strong", "height": "low"}]


def test_accepted_words_that_name_a_club_are_of_that_club_alone() -> None:
    words = {"phrase": "go left", "outcome": {"finish": "toward"}, "findings": [], "club": "mid-iron"}
    case = case_input(lesson_of(("clubs", ["driver", "mid-iron"]), ("said:go left", words)))
    assert case["shots"] == [{"club": "driver"}, {"club": "mid-iron", "finish": "left"}]


def test_a_theory_stays_a_theory() -> None:
    words = {"phrase": "over the top", "outcome": {}, "findings": [], "theory": "the arms start"}
    case = case_input(lesson_of(("clubs", ["driver"]), ("said:over the top", words)))
    assert case["theories"] == ["the arms start"]
    assert "present" not in case


def test_few_balls_are_counted_and_usual_is_a_statement() -> None:
    few = case_input(lesson_of(("clubs", ["driver"]), ("start@driver", "left"), ("balls@driver", "2")))
    usual = case_input(lesson_of(("clubs", ["driver"]), ("start@driver", "left"), ("balls@driver", "usual")))
    assert few["shots"][0]["count"] == 2
    assert "count" not in usual["shots"][0]
