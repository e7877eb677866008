"""What the desk shows: hostile text literally, colours with contrast, help, and reports that tell nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from arclore.tui.broken import broken
from arclore.tui.desk import Desk
from arclore.tui.keys import APP, LESSON
from arclore.tui.screens.help import HelpScreen
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.words import WordsScreen
from textual.widgets import Input

from tests.desk.fakes import (
    HOSTILE,
    LITERAL,
    OPEN,
    FakeThinker,
    answer,
    cause,
    check_row,
    column_text,
    keys,
    settled,
    shown,
)

Make = Callable[..., Desk]
SIZES = [(80, 24), (120, 40)]


@pytest.mark.parametrize("view", ["r", "e", "d", "c", "o", "v"])
@pytest.mark.parametrize("size", SIZES)
async def test_hostile_text_is_shown_literally_everywhere(desk: Make, size: tuple[int, int], view: str) -> None:
    hostile = answer(
        cause("stance", 0.5, title=HOSTILE),
        theories=[HOSTILE],
        notes=[HOSTILE],
        next_checks=[check_row([cause("stance", 0.5, title=HOSTILE)], HOSTILE)],
    )
    app = desk(lambda case: hostile, HOSTILE)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + f" {view}")
        text = shown(app)
        assert "".join(LITERAL.split()) in "".join(column_text(app).split())
        assert "\x1b" not in text
        assert "‮" not in text
        rows = text.splitlines()
        for y, row in enumerate(rows):
            if "@click" in row:
                await pilot.click(offset=(row.index("@click"), y))
        assert app.is_running


async def test_doubts_come_after_the_explanation_and_leave_what_moved_as_it_was(
    desk: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    chances = iter((0.3, 0.5))
    conflict = {"bits": 2.5, "explained_by": None, "ask_again": {"finding": "driver: start left", "bits": 0.1}}

    def answers(self: FakeThinker, case: dict[str, Any], wanted: Callable[[], bool]) -> Iterator[dict[str, Any]]:
        explained = answer(cause("stance", next(chances)))
        yield explained
        yield {**explained, "conflict": conflict}

    monkeypatch.setattr(FakeThinker, "answers", answers)
    app = desk()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1")
        told = "The answers do not fit together (2.5 bits against): ask again about"
        assert told in " ".join(column_text(app).split())
        flow = app.lesson_screen.flow
        assert flow.before is not None and flow.answer is not None
        assert [given["causes"][0]["probability"] for given in (flow.before, flow.answer)] == [0.3, 0.5]
        assert not app.lesson_screen.thinking


async def test_hostile_words_of_a_student_are_shown_literally(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 44)) as pilot:
        await settled(pilot)
        thinker = app.thinker
        assert isinstance(thinker, FakeThinker)
        thinker.found = [
            {"phrase": HOSTILE, "outcome": {"start": "toward"}, "findings": [], "theory": None, "ask": [HOSTILE]}
        ]
        await keys(pilot, OPEN + " w")
        app.screen.query_one(Input).value = HOSTILE
        await keys(pilot, "enter")
        assert "".join(LITERAL.split()) in "".join(shown(app).split())
        await keys(pilot, "1 escape")
        assert app.lesson_screen.flow.case is not None
        assert app.lesson_screen.flow.case["shots"] == [{"club": "driver", "start": "left"}]
        assert "".join(LITERAL.split())[:20] in "".join(shown(app).split())


async def test_a_refused_proposal_says_nothing(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        thinker = app.thinker
        assert isinstance(thinker, FakeThinker)
        thinker.found = [{"phrase": p, "outcome": {"start": "toward"}, "findings": []} for p in ("pull", "left")]
        await keys(pilot, OPEN + " w x enter 2 2 escape")
        assert app.lesson_screen.flow.case is not None
        assert app.lesson_screen.flow.case["shots"] == [{"club": "driver"}]


async def test_words_of_pain_bring_the_safety_question_back(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        assert isinstance(app.thinker, FakeThinker)
        app.thinker.pain = True
        await keys(pilot, OPEN + " w x enter")
        assert not isinstance(app.screen, WordsScreen)
        assert app.lesson_screen.flow.current == "safety:words"
        assert app.lesson_screen.flow.answer is None
        await keys(pilot, "1")
        assert app.lesson_screen.flow.answer is not None


async def test_help_speaks_of_what_has_the_focus(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 60)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " e question_mark")
        assert isinstance(app.screen, HelpScreen)
        assert "The explanation of the marked cause" in shown(app)
        for deed in (*LESSON, *APP):
            assert deed.about in shown(app)
        await keys(pilot, "escape")
        assert isinstance(app.screen, LessonScreen)


async def test_the_palette_names_every_deed(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        named = {command.title.lower() for command in app.get_system_commands(app.screen)}
        assert named >= {deed.name for deed in (*LESSON, *APP)}
        await keys(pilot, OPEN + " ctrl+p r a n k i n g enter enter")
        assert app.lesson_screen.view == "ranking"


def test_the_report_of_a_crash_holds_no_word_of_a_student() -> None:
    try:
        student = "Miss Marker has a sore back"
        raise RuntimeError(student)
    except RuntimeError as error:
        report = broken(error)
    assert "Marker" not in report
    assert "RuntimeError" in report
    assert "test_shown.py" in report


async def test_a_crash_prints_that_report_and_no_local_values(desk: Make, capsys: pytest.CaptureFixture[str]) -> None:
    app = desk()
    marker = "Miss Marker"

    def crash() -> None:
        student = marker
        raise RuntimeError(student)

    with pytest.raises(RuntimeError):
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            app.call_later(crash)
            await pilot.pause()
    printed = "".join(capsys.readouterr())
    assert "Marker" not in printed
    assert "The desk stopped on an error (RuntimeError)" in printed
