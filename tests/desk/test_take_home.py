"""The page to take home: what stands on it, that it asks for nothing elsewhere, and that no file is lost to it."""

from __future__ import annotations

import stat
from collections.abc import Callable
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.student import StudentScreen
from arclore.tui.screens.wrap import WrapScreen
from arclore.tui.take_home import PAIN, as_html, as_text, files_in, take_home
from textual.widgets import Input

from tests.desk.fakes import HOSTILE, OPEN, answer, cause, keys, settled, shown, small_library

Make = Callable[..., Desk]
LIBRARY: Any = small_library("stand {left} of it")
PARTS: Any = LIBRARY.causes["stance"], LIBRARY.drills["step"]
DAY = date(2031, 3, 5)


class Page(HTMLParser):
    """Every element and attribute of a page, and the elements that are never closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_holds_one_change_drill_dose_pass_mark_caution_cue_and_date() -> None:
    page = take_home(*PARTS, (), "right", DAY)
    text = as_text(page)
    for part in ("CHANGE", "2 x 8, with a ball", "6 of 8", "Stand left of it.", "On 5 March 2031", PAIN.split(":")[0]):
        assert part in text
        assert part in as_html(page) or part.isupper()
    assert max(map(len, text.splitlines())) <= 70
    assert "stand right of it" in as_text(take_home(*PARTS, (), "left", DAY)).lower()


def test_a_name_stands_there_only_when_typed() -> None:
    assert as_text(take_home(*PARTS, (), "right", DAY)).startswith("To take home\n")
    assert as_text(take_home(*PARTS, (), "right", DAY, "Ines")).startswith("To take home: Ines\n")
    assert "Ines" not in str(files_in(Path("x"), DAY))


def test_hostile_text_stays_text_and_nothing_is_fetched() -> None:
    hostile = f"<script src='https://x.invalid/a.js'></script><img src=x>&{HOSTILE}"
    made: Any = small_library(hostile)
    html = as_html(take_home(made.causes["stance"], made.drills["step"], (), "right", DAY, hostile), "<svg></svg>")
    page = Page(html)
    assert page.open == []
    assert not {"script", "img", "link", "iframe", "object", "a"} & set(page.tags)
    assert not [name for name, _ in page.attributes if name in ("src", "href", "onclick", "style")]
    assert "url(" not in html and "@import" not in html
    assert "\x1b" not in html and "‮" not in html


async def test_the_wrap_saves_privately_and_asks_before_it_writes_over(desk: Make, tmp_path: Path) -> None:
    app = desk(lambda case: answer(cause("stance", 0.5)))
    folder = tmp_path / "for" / "students"
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " o f A n n")
        screen = app.screen
        assert isinstance(screen, WrapScreen)
        assert "To take home: Ann" in shown(app)
        screen.query_one("#folder", Input).value = str(folder)
        await keys(pilot, "enter s")
        text, html = files_in(folder, date.today())
        assert {stat.S_IMODE(path.stat().st_mode) for path in (text, html)} == {0o600}
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        kept = html.read_text(encoding="utf-8")
        assert "<svg" in kept and "Face-on" in kept.replace("face-on", "Face-on")
        text.write_text("mine", encoding="utf-8")
        await keys(pilot, "s")
        assert screen.asking
        await keys(pilot, "n")
        assert text.read_text(encoding="utf-8") == "mine"
        await keys(pilot, "s y")
        assert "Ann" in text.read_text(encoding="utf-8")
        await keys(pilot, "escape")
        assert isinstance(app.screen, LessonScreen)


@pytest.mark.parametrize("day", ["tomorrow", "", "2020-01-01"])
async def test_a_day_that_is_none_or_over_saves_nothing(desk: Make, tmp_path: Path, day: str) -> None:
    app = desk(lambda case: answer(cause("stance", 0.5)))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " o")
        app.screen.query_one("#folder", Input).value = str(tmp_path / "new")
        app.screen.query_one("#retest", Input).value = day
        await keys(pilot, "s")
        assert not (tmp_path / "new").exists()
        assert f"{date.today() + timedelta(days=14):%Y-%m-%d}" in shown(app)


async def test_a_folder_that_cannot_be_is_said_in_a_line(desk: Make, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    app = desk(lambda case: answer(cause("stance", 0.5)))
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " o")
        app.screen.query_one("#folder", Input).value = str(tmp_path / "file" / "new")
        await keys(pilot, "s")
        assert "could not be saved" in shown(app)


async def test_the_student_sees_one_thing_and_no_chances(desk: Make) -> None:
    app = desk(lambda case: answer(cause("stance", 0.5)), "ease in")
    async with app.run_test(size=(80, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " v")
        assert isinstance(app.screen, StudentScreen)
        text = shown(app)
        assert all(part in text for part in ("One thing today", "Ease in.", "Think only of this", "From above"))
        assert not any(word in text for word in (" in 100", "bits", "deg", "fault of"))


async def test_without_a_ranking_there_is_no_page(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "o v")
        assert isinstance(app.screen, LessonScreen)
