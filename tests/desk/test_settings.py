"""Units, theme and keys: kept in a private file, used by desk and command line, and a bad file is as none."""

from __future__ import annotations

import json
import stat
from collections.abc import Callable

import pytest
from arclore.engine.quantities import M_PER_INCH, M_PER_YARD
from arclore.tui.desk import Desk
from arclore.tui.keys import LESSON, key_for
from arclore.tui.measures import OTHER
from arclore.tui.screens.rebind import RebindScreen
from arclore.tui.settings import Settings, load, save, settings_path

from tests.desk.fakes import OPEN, column_text, keys, settled, shown

Make = Callable[..., Desk]


def test_settings_come_back_and_only_their_owner_reads_them() -> None:
    save(Settings("yards", "dusk", {"lesson.undo": "z"}))
    assert load() == Settings("yards", "dusk", {"lesson.undo": "z"})
    assert stat.S_IMODE(settings_path().stat().st_mode) == 0o600


BAD = ["", "{", "[]", "[" * 100_000, "\x00", '{"units": "furlongs", "theme": 3}', '{"keys": {"lesson.undo": 7}}']


@pytest.mark.parametrize("text", BAD)
def test_a_file_that_makes_no_sense_is_as_none(text: str) -> None:
    settings_path().parent.mkdir(parents=True)
    settings_path().write_text(text, encoding="utf-8")
    assert load() == Settings()


def test_the_measures_of_first_screens_are_those_of_the_engine() -> None:
    sizes = {"m": 1.0 / M_PER_YARD, "cm": 0.01 / M_PER_INCH, "mm": 0.001 / M_PER_INCH}
    assert {unit: share for unit, (_, share) in OTHER.items()} == pytest.approx(sizes)


async def test_yards_and_theme_are_kept_for_the_next_desk(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1")
        assert "between 3 cm behind" in " ".join(column_text(app).split())
        await keys(pilot, "m ctrl+t")
        text = " ".join(column_text(app).split())
        assert "between 1 in behind and 2 in ahead of the ball" in text
        assert " cm " not in text
    again = desk()
    assert again.theme == "dusk"
    async with again.run_test(size=(120, 40)):
        assert again.lesson_screen.shelf.units == "yards"


async def test_a_key_of_ones_own_works_shows_in_the_help_and_can_be_put_back(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 60)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 K")
        assert isinstance(app.screen, RebindScreen)
        await keys(pilot, "enter 5")
        assert "5 is taken" in shown(app)
        await keys(pilot, "enter r")
        assert "r is taken" in shown(app)
        place = next(i for i, row in enumerate(app.screen.query_one("#deeds")._options) if row.id == "lesson.undo")
        app.screen.query_one("#deeds").highlighted = place
        await keys(pilot, "enter z")
        assert json.loads(settings_path().read_text(encoding="utf-8"))["keys"] == {"lesson.undo": "z"}
        await keys(pilot, "escape z")
        assert "start@driver" not in app.lesson_screen.flow.lesson.answers
        await keys(pilot, "U u")
        assert "start@driver" in app.lesson_screen.flow.lesson.answers
        await keys(pilot, "question_mark")
        assert "z         take the last answer back" in shown(app)
        await keys(pilot, "escape K x escape u")
        assert "start@driver" not in app.lesson_screen.flow.lesson.answers


async def test_hints_name_the_key_of_ones_own(desk: Make) -> None:
    wrap = next(deed for deed in LESSON if deed.action == "wrap")
    own = {str(wrap.binding().id): "x"}
    assert (key_for("wrap", {}), key_for("wrap", own)) == ("o", "x")
    save(Settings(keys=own))
    app = desk()
    async with app.run_test(size=(80, 60)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " c")
        assert "the student's view, x the page to take home" in " ".join(shown(app).split())
