"""What proved to be the cause is kept once, taken back with its answer; and what waits is said on the first screen."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from arclore.tui.confirmed_store import add_line, confirmed_path, take_back_line
from arclore.tui.desk import Desk
from arclore.tui.lesson import Lesson
from arclore.tui.lesson_store import Store
from arclore.tui.screens.wrap import WrapScreen
from arclore.tui.waiting import waiting_line

from tests.desk.fakes import OPEN, column_text, keys, settled, shown

Make = Callable[..., Desk]


def kept() -> list[list[str]]:
    text = confirmed_path().read_text(encoding="utf-8") if confirmed_path().exists() else ""
    return [json.loads(line)["causes"] for line in text.splitlines()]


async def test_a_cause_that_proved_right_is_kept_once_and_follows_the_lesson(
    desk: Make, store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    store.save(Lesson((("handed", "left"),), 1))
    store.begin()
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "n")
        assert "Waiting: 1 unfinished lesson (L opens)." in shown(app)
        await keys(pilot, OPEN + " o")
        assert isinstance(app.screen, WrapScreen) and kept() == []
        await keys(pilot, "c")
        assert "Kept on this computer without names" in shown(app) and kept() == [["stance"]]
        await keys(pilot, "c")
        assert kept() == []
        await keys(pilot, "c escape j o c")  # another cause: of one lesson one line is kept
        assert kept() == [["grip"]]
        await keys(pilot, "escape u")
        assert kept() == [["stance"]]
        await keys(pilot, "U")
        assert kept() == [["grip"]]
        await keys(pilot, "q")
    again = desk(store=Store(store.folder))
    async with again.run_test(size=(120, 30)) as pilot:
        await settled(pilot)
        await keys(pilot, "1 u")  # the lesson is gone on with, and its last answer taken back
        assert kept() == [["stance"]]
        await keys(pilot, "N")
        assert kept() == [["stance"]]
        assert "Waiting: 1 unfinished lesson (L opens)." in " ".join(column_text(again).split())


def test_a_line_is_taken_back_from_the_end_and_others_stay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    take_back_line("a")  # nothing is kept yet
    for line in ("a", "b", "a", "c"):
        add_line(line)
    take_back_line("a")
    assert confirmed_path().read_text(encoding="utf-8") == "a\nb\nc\n"
    assert confirmed_path().stat().st_mode & 0o077 == 0


def test_what_waits_is_counted_in_words() -> None:
    assert waiting_line(0, 0, {}) == ""
    assert waiting_line(2, 0, {}) == "Waiting: 2 unfinished lessons (L opens)."
    assert waiting_line(1, 1, {"lesson.lessons": "x"}) == (
        "Waiting: 1 unfinished lesson (x opens) and 1 entry begun (Ctrl+N opens)."
    )
