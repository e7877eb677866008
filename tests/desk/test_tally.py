"""Balls counted one key each, the next visit that begins with them, and earlier lessons: listed, copied, deleted."""

from __future__ import annotations

import json
import stat
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from arclore.tui import tally
from arclore.tui.command import main
from arclore.tui.desk import Desk
from arclore.tui.lesson import COUNTED, Lesson, case_input
from arclore.tui.lesson_store import Store
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.lessons import LessonsScreen
from arclore.tui.screens.tally import TallyScreen

from tests.desk.fakes import OPEN, FakeThinker, keys, settled, shown

Make = Callable[..., Desk]
RIGHT = ["right"] * 7 + ["left"] * 3


def lesson_of(**answers: object) -> Lesson:
    lesson = Lesson()
    for question, value in answers.items():
        lesson = lesson.answered(question.replace("__", ":").replace("_at_", "@"), value)
    return lesson


def test_balls_counted_enter_the_case_ball_by_ball() -> None:
    lesson = lesson_of(handed="left", clubs=["driver", "putt"], start_at_driver="left", height_at_driver="high")
    lesson = lesson.answered("tally:start@driver", RIGHT).answered("tally:curve@driver", ["right-slight", "none"])
    lesson = lesson.answered("tally:contact@putt", ["heel"])
    said = {"club": "driver", "start": "left", "height": "high"}
    bends = [{"club": "driver", "curve": "none", "count": 1}]
    bends += [{"club": "driver", "curve": "right", "bend": "slight", "count": 1}]
    heel = {"club": "putt", "contact": ["heel"], "count": 1}
    assert case_input(lesson)["shots"] == [said, *bends, heel]  # what was said by hand stands
    starts = [{"club": "driver", "start": "left", "count": 3}, {"club": "driver", "start": "right", "count": 7}]
    counted = lesson.answered("start@driver", COUNTED)
    assert case_input(counted)["shots"] == [{"club": "driver", "height": "high"}, *starts, *bends, heel]
    assert case_input(counted.answered("start@driver", "right"))["shots"][0]["start"] == "right"


@pytest.mark.parametrize(
    ("balls", "words"),
    [
        (0, "Too early to say: hit 5 balls at least."),
        (4, "Too early to say: hit 1 more ball at least."),
        (5, "The ranking counts on them. 5 more also tell how much the balls scatter."),
        (10, "The ranking counts on them, and on how much they scatter."),
    ],
)
def test_what_so_many_balls_are_worth(balls: int, words: str) -> None:
    assert tally.worth(balls) == words


def test_a_next_visit_keeps_who_and_the_first_count_and_asks_safety_anew() -> None:
    first = lesson_of(safety__0="no", handed="left", level="novice", clubs=["driver"], tally__start_at_driver=RIGHT)
    second = tally.next_visit(first, "then")
    assert second.answers == {
        "visit": "then", "handed": "left", "level": "novice", "clubs": ["driver"], "before:start@driver": RIGHT
    }  # fmt: skip
    third = tally.next_visit(second.answered("tally:start@driver", ["left"] * 10), "again")
    assert third.answers["before:start@driver"] == RIGHT


@pytest.mark.parametrize(
    ("now", "word"),
    [
        (["right"] * 3 + ["left"] * 7, "Perhaps more than luck, but not sure: by luck alone two such counts"),
        (["left"] * 10, "More than luck would give: "),
        (["right"] * 6 + ["left"] * 4, "No more than luck would give: "),
    ],
)
def test_a_change_is_told_with_its_chance_and_its_interval(now: list[str], word: str) -> None:
    first, second, third = tally.compared("tally:start@driver", RIGHT, now)
    assert first == f"Right: 7 of 10 at the first visit, {now.count('right')} of 10 now."
    assert second.startswith(word)
    assert "19 times in 20" in third
    assert len(tally.compared("tally:start@driver", RIGHT, now[:4])) == 1


async def test_the_next_visit_opens_with_ten_balls_beside_the_first_ones(desk: Make, store: Store) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        thinker = app.thinker
        assert isinstance(thinker, FakeThinker)
        await keys(pilot, OPEN + " t 3 3 3 3 3 1 1 2 u")
        assert json.loads(store.path.read_text(encoding="utf-8"))["events"][-1] == [
            "tally:start@driver", ["right"] * 5 + ["left"] * 2
        ]  # fmt: skip
        await keys(pilot, "escape")
        answers = app.lesson_screen.flow.lesson.answers
        assert (answers["start@driver"], answers["balls@driver"]) == (COUNTED, "usual")
        assert len(thinker.cases) > 7  # every ball was ranked
        assert thinker.cases[-1]["shots"][1] == {"club": "driver", "start": "right", "count": 5}
        assert "driver started: as counted" in shown(app)
        assert app.lesson_screen.flow.current == "curve@driver"
        await keys(pilot, "N L enter")
        assert isinstance(app.screen, LessonScreen)
        assert app.lesson_screen.flow.current == "safety:0"
        await keys(pilot, "1 1")
        assert isinstance(app.screen, TallyScreen)
        await keys(pilot, "1 1 1 1 1 1 1 1 1 1")
        text = " ".join(shown(app).split())
        assert "Right: 5 of 7 at the first visit, 0 of 10 now. More than luck would give:" in text
        await keys(pilot, "escape u")
        assert isinstance(app.screen, LessonScreen)


async def test_lessons_are_copied_and_deleted_at_the_desk(
    desk: Make, store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.save(lesson_of(handed="left"), finished=True)
    kept = store.path
    monkeypatch.setattr("arclore.tui.screens.lessons.usual_folder", lambda: tmp_path / "copies")
    app = desk(store=Store(store.folder))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "L x x D n")
        assert isinstance(app.screen, LessonsScreen)
        copies = sorted((tmp_path / "copies").iterdir())
        assert len(copies) == 2
        assert json.loads(copies[0].read_text(encoding="utf-8"))["events"] == [["handed", "left"]]
        assert stat.S_IMODE(copies[0].stat().st_mode) == 0o600
        assert kept.exists()
        await keys(pilot, "D y")
        assert not kept.exists()
        assert "No earlier lesson" in shown(app)


def test_lessons_at_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    store = Store()
    store.save(lesson_of(clubs=["driver"]), finished=True)
    name = store.path.stem
    assert main(["lessons", "list", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["lessons"]
    assert [(row["id"], row["clubs"], row["finished"]) for row in rows] == [(name, ["driver"], True)]
    assert main(["lessons", "export", name, "--to", str(tmp_path / "out")]) == 0
    assert Path(capsys.readouterr().out.strip()).is_file()
    assert main(["lessons", "delete"]) == main(["lessons", "delete", "nobody", "--yes"]) == 2
    assert "nobody" in capsys.readouterr().err
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    assert main(["lessons", "delete", name]) == 2
    assert store.path.exists()
    assert main(["lessons", "delete", name, "--yes"]) == 0
    assert not store.path.exists()
