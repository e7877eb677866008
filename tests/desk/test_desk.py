"""The desk driven by keys and mouse on a small engine: state and messages first, the screen's text last."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.lesson_store import Store
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.resume import ResumeScreen
from arclore.tui.screens.stop import StopScreen
from arclore.tui.widgets.question_pane import CaseList
from textual.content import Content
from textual.widgets import Static
from textual.widgets._footer import FooterKey

from tests.desk.fakes import HOSTILE, OPEN, FakeThinker, answer, cause, column_text, keys, settled, shown

Make = Callable[..., Desk]
SIZES = [(80, 24), (120, 40)]


@pytest.mark.parametrize("size", SIZES)
async def test_keys_alone_lead_from_safety_to_a_ranking(desk: Make, size: tuple[int, int]) -> None:
    app = desk()
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        assert "Is anything sore?" in shown(app)
        await keys(pilot, OPEN + " 1")
        flow = app.lesson_screen.flow
        assert flow.lesson.answers["start@driver"] == "left"
        assert flow.answer is not None
        assert [c["id"] for c in flow.answer["causes"]] == ["grip", "stance"]
        if size == (80, 24):
            assert "The lead changed" not in shown(app)
            assert "Leads, likelier than not (60 in 100): the grip of the test." in shown(app)
            await keys(pilot, "r")
        assert "Heard: driver started: left. The lead changed" in " ".join(column_text(app).split())


async def test_each_answer_asks_the_engine_once_and_skipping_does_not(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN)
        thinker = app.thinker
        assert isinstance(thinker, FakeThinker)
        before = len(thinker.cases)
        await keys(pilot, "1")
        assert len(thinker.cases) == before + 1
        await keys(pilot, "s 0")
        assert len(thinker.cases) == before + 1
        assert app.lesson_screen.flow.current == "contact@driver"


async def test_undo_and_redo_go_through_the_ranking_and_the_file(desk: Make, store: Store) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 u")
        flow = app.lesson_screen.flow
        assert flow.current == "start@driver"
        assert flow.answer is not None
        assert flow.answer["causes"][0]["id"] == "stance"
        assert json.loads(store.path.read_text(encoding="utf-8"))["done"] == 5
        await keys(pilot, "U")
        assert flow.answer["causes"][0]["id"] == "grip"
        await keys(pilot, "u u u u u u u u u u")
        assert flow.lesson.done == 0
        assert flow.answer is None


async def test_yes_to_a_safety_question_stops_and_nothing_is_ranked(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "n y")
        assert isinstance(app.screen, StopScreen)
        assert "Stop here for now." in shown(app)
        assert app.lesson_screen.flow.case is None
        assert isinstance(app.thinker, FakeThinker)
        assert app.thinker.cases == []
        await keys(pilot, "u n")
        assert isinstance(app.screen, LessonScreen)
        assert app.lesson_screen.flow.gate == "open"


async def test_a_late_yes_takes_the_ranking_away(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 up up up up up up 2")
        assert isinstance(app.screen, StopScreen)
        assert app.lesson_screen.flow.answer is None


async def test_an_engine_that_stops_is_shown_as_a_stop(desk: Make) -> None:
    app = desk(lambda case: answer(stop="See somebody first."))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN)
        assert isinstance(app.screen, StopScreen)
        assert "See somebody first." in shown(app)


async def test_an_engine_error_is_a_notice_and_the_desk_goes_on(desk: Make) -> None:
    def failing(case: Mapping[str, Any]) -> dict[str, Any]:
        if "curve" in case["shots"][0]:
            raise RuntimeError(HOSTILE)
        return answer(cause("stance", 0.5))

    app = desk(failing)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 5 3")
        assert "could not be ranked" in shown(app)
        assert len(app._notifications) == 1
        assert app.lesson_screen.flow.lesson.answers["height@driver"] == "high"
        await keys(pilot, "r")
        assert "before the last answer" in shown(app)
        await keys(pilot, "u u")
        assert "before the last answer" not in shown(app)


async def test_a_lost_library_is_a_notice(desk: Make) -> None:
    app = desk()

    def lost() -> None:
        raise OSError("no such folder")

    app.thinker.load = lost  # type: ignore[method-assign, assignment]
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settled(pilot)
        assert "could not be read" in " ".join(shown(app).split())
        await keys(pilot, "1")
        assert app.lesson_screen.flow.lesson.done == 1


async def test_a_disk_that_refuses_is_a_notice(desk: Make, store: Store) -> None:
    app = desk()

    def refuse(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    store.save = refuse  # type: ignore[method-assign]
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await settled(pilot)
        await keys(pilot, "1")
        assert "space left on device" in shown(app)
        assert app.lesson_screen.flow.lesson.done == 1


async def test_an_older_ranking_never_replaces_a_newer_one(desk: Make) -> None:
    slow = threading.Event()

    def answers(case: Mapping[str, Any]) -> dict[str, Any]:
        if "start" not in case["shots"][0]:
            slow.wait(5)
            return answer(cause("old", 0.5))
        return answer(cause("new", 0.5))

    app = desk(answers)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await pilot.press(*OPEN.split(), "1")
        slow.set()
        await settled(pilot)
        flow = app.lesson_screen.flow
        assert flow.answer is not None
        assert flow.answer["causes"][0]["id"] == "new"


async def test_too_small_says_so_answers_nothing_and_loses_nothing(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN)
        await pilot.resize_terminal(24, 10)
        await settled(pilot)
        text = shown(app)
        assert "This window is 24 x 10." in text
        assert "The desk needs 80 x 24." in text
        assert "driver" not in text
        await keys(pilot, "1 u")
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        assert isinstance(app.focused, CaseList)
        assert "u undo" in shown(app).splitlines()[-1]
        assert "driver: where did the ball start" in shown(app)
        assert app.lesson_screen.flow.lesson.done == 5
        await pilot.resize_terminal(120, 36)
        await settled(pilot)
        text = shown(app)
        assert "where did the ball" in text
        assert "Ranking" in text
        assert "Why" in text
        assert "Drill" in text


@pytest.mark.parametrize("view", ["r", "e", "d"])
async def test_at_80_by_24_each_pane_is_one_key_away_and_the_summary_stays(desk: Make, view: str) -> None:
    app = desk()
    """The keys at the foot stay the same widgets meanwhile, so that no click on them is lost."""
    heads = {"r": "Ranking", "e": "Why", "d": "Drill"}
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN)
        assert heads[view] not in shown(app)
        foot = list(app.screen.query(FooterKey))
        await keys(pilot, view)
        assert list(app.screen.query(FooterKey)) == foot
        assert shown(app).lstrip().startswith(heads[view])
        assert "Leads, likelier than not (50 in 100): the stance of the test." in shown(app)
        assert "Next check: the feet are looked at" in shown(app)
        await keys(pilot, "escape")
        assert "where did the ball start" in shown(app)


async def test_a_drill_keeps_its_cautions_in_sight(desk: Make) -> None:
    """All of them, down to the last word, where the drill has little room too."""
    app = desk(title="stand clear of the swing " * 8 + "at last")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " d pagedown pagedown")
        assert "Caution" in shown(app)
        await pilot.resize_terminal(120, 30)
        await settled(pilot)
        pane = app.lesson_screen.query_one("#cautions", Static)
        assert isinstance(pane.content, Content)
        assert pane.region.height == len(pane.content.wrap(pane.size.width))
        assert pane.region.bottom <= app.lesson_screen.query_one("#beside").region.bottom


async def test_a_left_hander_sees_the_tokens_turned(desk: Make) -> None:
    app = desk(title="point it {left}")
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "1 1 2 1 1 enter c")
        text = shown(app)
        assert "point it right" in text
        assert "{" not in text
        assert isinstance(app.thinker, FakeThinker)
        assert app.thinker.cases[-1]["handed"] == "left"


async def test_the_result_of_a_check_enters_the_case(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " c 2")
        assert app.lesson_screen.flow.case is not None
        assert app.lesson_screen.flow.case["checks"] == {"look": "narrow"}


async def test_single_keys_work_while_a_number_is_asked_for(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.lesson_screen.flow.checks["look"]["type"] = "measurement"  # type: ignore[index]
        await keys(pilot, OPEN + " c")
        assert "undo" in shown(app).splitlines()[-1]
        await keys(pilot, "e")
        assert app.lesson_screen.view == "why"
        await keys(pilot, "c 7 escape r")
        assert app.lesson_screen.view == "ranking"
        await keys(pilot, "c 7 enter r")
        assert app.lesson_screen.view == "ranking"
        assert app.lesson_screen.flow.lesson.answers["check:look"] == 7.0


@pytest.mark.parametrize(("typed", "value"), [("minus 3 . 5 enter", -3.5), ("0 enter", 0.0), ("1 2 enter", 12.0)])
async def test_a_measured_number_is_typed(desk: Make, typed: str, value: float) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.lesson_screen.flow.checks["look"]["type"] = "measurement"  # type: ignore[index]
        await keys(pilot, OPEN + " c")
        await keys(pilot, typed.replace(".", "full_stop"))
        assert app.lesson_screen.flow.case is not None
        assert app.lesson_screen.flow.case["checks"] == {"look": value}
        await keys(pilot, "q")
        assert app.return_value == 0


async def test_the_mouse_answers_everything(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        for label in ("1/n no", "1/n no", "1 right-handed", "1 newer", "] mid iron", "Enter done", "3 right"):
            await click_on(pilot, label)
        assert app.lesson_screen.flow.lesson.answers["clubs"] == ["mid-iron"]
        assert app.lesson_screen.flow.lesson.answers["start@mid-iron"] == "right"
        await click_on(pilot, "s skip")
        await click_on(pilot, "hand:")
        assert app.lesson_screen.flow.current == "handed"


async def click_on(pilot: Any, label: str) -> None:
    """Click the first place on the screen where this text stands."""
    rows = shown(pilot.app).splitlines()
    y, x = next((y, row.index(label)) for y, row in enumerate(rows) if label in row)
    await pilot.click(offset=(x, y))
    await settled(pilot)


async def test_an_unfinished_lesson_is_offered_again(desk: Make, store: Store) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 q")
    assert app.return_value == 0
    again = desk(store=Store(store.folder))
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert isinstance(again.screen, ResumeScreen)
        assert "driver; 6 answers" in shown(again)
        await keys(pilot, "1")
        flow = again.lesson_screen.flow
        assert flow.current == "curve@driver"
        assert flow.answer is not None
        assert flow.answer["causes"][0]["id"] == "grip"
        await keys(pilot, "N")
        assert flow is not again.lesson_screen.flow
    third = desk(store=Store(store.folder))
    async with third.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert isinstance(third.screen, LessonScreen)


async def test_ctrl_c_saves_and_quits_from_anywhere(desk: Make, store: Store) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " w")
        await pilot.press("a", "q", "ctrl+c")
    assert app.return_value == 130
    assert json.loads(store.path.read_text(encoding="utf-8"))["done"] == 5


async def test_the_first_screen_says_what_can_be_done_and_offers_no_answer_that_is_refused(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        text = " ".join(column_text(app).split())
        assert "L goes on with an earlier lesson." in text
        assert "Ctrl+N goes on with an entry that you began, or begins one." in text
        assert "0 not sure" in text
        await keys(pilot, "1 1 1 1")
        assert app.lesson_screen.flow.current == "clubs"
        assert "not sure" not in " ".join(column_text(app).split())
