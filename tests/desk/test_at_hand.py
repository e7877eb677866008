"""What there is to work with: asked only when wanted, any of it left out, and part of the case once it is told."""

from __future__ import annotations

from typing import Any

from arclore.tui.at_hand import PLACE, kit_of
from arclore.tui.lesson import Lesson, case_input

from tests.desk.fakes import valid
from tests.desk.test_flow import flow_at_clubs

KIT = kit_of({"a": {"kit": ["phone on a stand", "chalk line"]}}, {"b": {}})


def test_nobody_is_led_to_it() -> None:
    flow = flow_at_clubs()
    flow.kit = KIT
    flow.choose(0)
    flow.confirm()
    seen = []
    for _ in range(8):
        seen.append(flow.current)
        flow.wave("skipped")
    assert not {"minutes", "place", "without"} & set(seen)


def test_it_is_asked_when_wanted_and_leads_back() -> None:
    flow = flow_at_clubs()
    flow.kit = KIT
    flow.at_hand()
    assert flow.current == "minutes"
    flow.choose(3)
    flow.wave("skipped")
    assert flow.current == "without"
    assert [choice.value for choice in flow.question.choices] == ["phone", "chalk"]  # type: ignore[union-attr]
    assert "skip" in flow.wave("unsure")
    flow.choose(0)
    flow.confirm()
    assert flow.current == "clubs"
    flow.at_hand()
    assert flow.current == "place"  # what was passed over comes first
    flow.choose(0)
    assert flow.current == "clubs"
    flow.choose(0)
    flow.confirm()
    assert flow.case is not None
    told: dict[str, Any] = {"minutes": 20, "place": "indoors", "without": ["phone"]}
    assert told.items() <= flow.case.items()
    flow.undo()
    assert flow.undo() and flow.lesson.answers["place"] == "skipped"


def test_every_place_is_one_that_a_case_takes() -> None:
    for choice in PLACE.choices:
        given = case_input(Lesson((("place", choice.value),), 1))
        assert given["place"] == choice.value
        valid(given, "definitions", "#/$defs/case_input")  # raises where it is not


def test_of_what_is_told_together_none_is_said_to_be_doubtful() -> None:
    """Two contacts may be either; two things that are missing are both missing."""
    flow = flow_at_clubs()
    flow.kit = KIT
    flow.go_to("without")
    assert flow.question is not None
    assert flow.question.words(["phone", "chalk"]) == "a phone or camera, chalk"
