"""The run of a lesson: order, any order, several answers, and being led to the check that tells most."""

from __future__ import annotations

from arclore.tui.flow import Flow
from arclore.tui.questions import club_questions, flags_of, flight_questions

from tests.desk.fakes import answer, cause, small_library


def flow_at_clubs() -> Flow:
    flow = Flow()
    flow.safety = ("Sore?", "Numb?")
    flow.checks = small_library("").checks
    flow.advance()
    for _ in range(4):
        flow.choose(0)
    return flow


def test_safety_comes_first_then_who_then_the_clubs() -> None:
    flow = Flow()
    flow.safety = ("Sore?", "Numb?")
    flow.advance()
    seen = []
    while flow.current != "clubs":
        seen.append(flow.current)
        flow.choose(0)
    assert seen == ["safety:0", "safety:1", "handed", "level"]


def test_where_it_started_and_which_way_it_bent_are_two_questions_for_each_club() -> None:
    flow = flow_at_clubs()
    flow.choose(0)
    flow.choose(4)
    flow.confirm()
    asked = [question.id.split("@") for question in flow.questions if "@" in question.id]
    for club in ("driver", "mid-iron"):
        own = [name for name, of in asked if of == club]
        assert own == ["start", "curve", "contact", "height", "turf", "balls"]


def test_clubs_of_one_swing_are_asked_about_in_turns_and_others_by_themselves() -> None:
    """In turns the same number of answers tells more: ``python -m tests.students.questions`` measures it."""
    asked = [question.id for question in flight_questions(["driver", "putt", "wedge"])]
    first = ["start@driver", "curve@driver", "start@wedge", "curve@wedge", "contact@driver", "contact@wedge"]
    assert asked[:6] == first
    assert [name for name in asked if name.endswith("putt")] == asked[-5:]
    assert sorted(asked) == sorted(q.id for club in ("driver", "putt", "wedge") for q in club_questions(club))
    assert [q.id for q in flight_questions(["driver", "putt"])] == [
        q.id for club in ("driver", "putt") for q in club_questions(club)
    ]


def test_at_most_three_clubs_and_at_least_one() -> None:
    flow = flow_at_clubs()
    assert "at least one" in flow.confirm()
    assert [flow.choose(number) for number in range(3)] == ["", "", ""]
    assert "At most 3" in flow.choose(3)
    flow.choose(2)
    flow.choose(3)
    flow.confirm()
    assert flow.lesson.clubs == ("driver", "fairway-wood", "long-iron")


def test_a_safety_question_is_not_skipped() -> None:
    flow = Flow()
    flow.safety = ("Sore?",)
    flow.advance()
    assert "cannot be skipped" in flow.wave("skipped")
    assert flow.lesson.events == ()
    flow.wave("unsure")
    assert flow.gate == "stopped"


def test_any_order_and_back_to_what_is_open() -> None:
    flow = flow_at_clubs()
    flow.choose(0)
    flow.confirm()
    flow.go_to("turf@driver")
    flow.choose(1)
    assert flow.current == "balls@driver"
    flow.choose(4)
    assert flow.current == "start@driver"


def test_taking_back_the_clubs_takes_their_questions_and_giving_again_brings_them_back() -> None:
    flow = flow_at_clubs()
    flow.choose(0)
    flow.confirm()
    flow.undo()
    assert flow.current == "clubs"
    assert not [question for question in flow.questions if "@" in question.id]
    assert flow.case is None
    flow.redo()
    assert flow.current == "start@driver"
    assert flow.case is not None


def test_changed_clubs_keep_what_was_said_of_the_others() -> None:
    flow = flow_at_clubs()
    flow.choose(0)
    flow.confirm()
    flow.choose(0)
    flow.go_to("clubs")
    assert flow.picked == ["driver"]
    flow.choose(6)
    flow.confirm()
    assert flow.case is not None
    assert flow.case["shots"] == [{"club": "driver", "start": "left"}, {"club": "wedge"}]


def all_answered() -> Flow:
    flow = flow_at_clubs()
    flow.choose(0)
    flow.confirm()
    for _ in range(6):
        flow.wave("skipped")
    return flow


def test_who_is_led_to_the_end_is_led_on_to_the_next_check() -> None:
    flow = all_answered()
    flow.ranked(answer(cause("stance", 0.5)))
    assert flow.current == "check:look"
    flow.choose(1)
    assert flow.case is not None
    assert flow.case["checks"] == {"look": "narrow"}


def test_after_one_check_the_next_one_is_asked() -> None:
    flow = all_answered()
    flow.checks = {name: dict(flow.checks["look"]) for name in ("look", "feel")}
    flow.ranked(answer(cause("stance", 0.5)))
    flow.choose(0)
    feel = {"id": "feel", "title": "the hands are felt", "bits": 0.4, "minutes": 1.0}
    flow.ranked(answer(cause("stance", 0.5), next_checks=[feel]))
    assert flow.current == "check:feel"
    flow.choose(0)
    flow.ranked(answer(cause("stance", 0.5), next_checks=[]))
    assert flow.current == "check:feel"


def test_a_check_that_the_library_no_longer_has_is_left_out_of_the_case() -> None:
    flow = all_answered()
    flow.lesson = flow.lesson.answered("check:gone-since", "wide").answered("check:look", "wide")
    assert flow.case is not None
    assert flow.case["checks"] == {"look": "wide"}


def test_who_went_back_to_a_question_is_left_there_when_the_ranking_comes() -> None:
    flow = all_answered()
    flow.go_to("handed")
    flow.ranked(answer(cause("stance", 0.5)))
    assert flow.current == "handed"


def test_nothing_leads_on_where_no_check_is_on_offer() -> None:
    flow = all_answered()
    flow.ranked(answer(cause("stance", 0.5), next_checks=[]))
    assert not flow.next_check()
    assert flow.current == "balls@driver"


def test_what_is_to_spare_is_asked_where_the_library_names_it_and_nothing_is_an_answer() -> None:
    flow = Flow()
    flow.safety = ("Sore?",)
    flow.flags = flags_of({"a": {"not_for": ["pregnancy", "junior"]}}, {"b": {}})
    flow.advance()
    for _ in range(3):
        flow.choose(0)
    assert flow.current == "avoid"
    assert [choice.value for choice in flow.question.choices] == ["junior", "pregnancy"]  # type: ignore[union-attr]
    assert flow.wave("unsure") == "Ask the player, or skip."
    assert flow.confirm() == ""
    flow.choose(0)
    flow.confirm()
    assert flow.case is not None
    assert "avoid" not in flow.case
    flow.go_to("avoid")
    flow.choose(1)
    flow.confirm()
    assert flow.case["avoid"] == ["pregnancy"]


def test_the_cases_foreseen_are_those_that_the_next_answers_make() -> None:
    flow = flow_at_clubs()
    assert flow.foreseen == []  # no club yet
    flow.choose(0)
    [alone] = flow.foreseen
    flow.confirm()
    assert flow.case == alone and alone["shots"][0]["club"] == "driver"
    foreseen = flow.foreseen
    for number in range(4):
        flow.choose(number)
        assert flow.case == foreseen[number]
        flow.undo()
    flow.go_to("contact@driver")
    assert len(flow.foreseen) == 9
    flow.choose(5)
    flow.choose(1)
    [both] = flow.foreseen
    flow.confirm()
    assert flow.case == both and both["shots"][0]["contact"] == ["thin", "heel"]
    flow.go_to("level")
    assert flow.foreseen == []  # another level is another model, and seldom the next answer
