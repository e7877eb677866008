"""Writing an entry at the desk: by keys and by mouse, kept through quits and kills, hostile text shown literally."""

from __future__ import annotations

import json
import shutil
import signal
import time
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.read import read_yaml
from arclore.engine.library.stack import BUILT_IN, load_layers
from arclore.tui.desk import Desk
from arclore.tui.form.fields import found
from arclore.tui.lesson_store import Store
from arclore.tui.screens.entry_form import FormScreen
from arclore.tui.screens.library import LibraryScreen
from arclore.tui.screens.pick import PickScreen
from arclore.tui.screens.rows import RowScreen, RowsScreen
from arclore.tui.screens.write import WriteScreen
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.field_box import Chosen, FieldBox
from arclore.tui.widgets.typed import Line, Words
from textual.events import Paste
from textual.widgets import Input, OptionList

from tests.desk.fakes import HOSTILE, LITERAL, column_text, keys, settled, shown
from tests.desk.terminal import Terminal

SMALL = {
    "clubs": ("driver", "mid-iron"),
    "causes": ("stands-too-close", "shoulder-and-arms-start-outward", "hands-thrown-outward"),
    "drills": ("foam-sleeve-outside", "back-stays-to-the-target"),
    "symptoms": ("feels-crowded",),
}


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A handful of the built-in library's files, to be read quickly."""
    folder = tmp_path_factory.mktemp("small")
    for name in ("library.yaml", "sources.yaml"):
        shutil.copy(BUILT_IN / name, folder)
    for kind, names in SMALL.items():
        (folder / kind).mkdir()
        for name in names:
            shutil.copy(BUILT_IN / kind / f"{name}.yaml", folder / kind)
    return folder


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The coach's own library, not there yet; nobody is known to git."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path / "data" / "arclore" / "library"


@pytest.fixture(scope="module")
def bench(small: Path) -> Bench:
    return Bench(load_layers([small]))


@pytest.fixture
def app(tmp_path: Path, own: Path, small: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """A desk on the handful of files."""
    for module in ("arclore.engine.library.stack", "arclore.tui.form.saving"):
        monkeypatch.setattr(f"{module}.BUILT_IN", small)
    return desk(tmp_path / "state" / "lessons", bench)


def desk(folder: Path, bench: Bench | None) -> Desk:
    made = Desk(store=Store(folder))
    made.thinker = made.lesson_screen.thinker = Thinker(bench=bench)
    return made


def form_of(app: Desk) -> FormScreen:
    screen = app.screen
    assert isinstance(screen, FormScreen)
    return screen


async def typed(pilot: Any, path: str, text: str) -> None:
    """Put text into a field as a keyboard or a paste would."""
    form = form_of(pilot.app)
    for part in form.parts:
        if part.holds(tuple(path.split("."))):
            await part.fold(True)
    box = form.box(tuple(path.split(".")))
    for area in box.query(Words):
        area.focus()
        area.select_all()
        area.replace(text, *area.selection)
    for line in box.query(Line):
        line.focus()
        line.value = text
    await pilot.pause()
    form.settle()


async def new(pilot: Any, key: str) -> FormScreen:
    """Open a new form from the lesson."""
    await settled(pilot)
    await keys(pilot, f"ctrl+n {key}")
    return form_of(pilot.app)


async def copied(pilot: Any) -> FormScreen:
    """Open a copy of a drill that was found in the library."""
    await settled(pilot)
    await keys(pilot, "l")
    pilot.app.screen.query_one(Input).value = "foam-sleeve-outside"
    await keys(pilot, "ctrl+n c")
    return form_of(pilot.app)


def drafts(app: Desk) -> list[dict[str, Any]]:
    folder = app.store.folder.parent / "drafts"
    return [json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))]


async def test_a_copy_from_the_library_is_changed_saved_and_read(app: Desk, own: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        form = await copied(pilot)
        assert "Much like it" in shown(app)
        await typed(pilot, "title", "a rope lies outside the ball and stays where it is")
        await keys(pilot, "ctrl+s")
        assert "1 to fill in" in shown(app)  # nobody is known to git here, so the name is asked
        assert form.box(("writer",)).has_focus_within
        await typed(pilot, "writer", "Kim Vale")
        await keys(pilot, "ctrl+s")
        await settled(pilot)
        path = own / "drills" / "rope-lies-outside-ball-stays-where-it.yaml"
        document, rows = read_yaml(path)
        assert document is not None
        assert rows == []
        assert (document.value["author"], document.value["authors"]) == ("Kim Vale", ["Arclore"])
        screen = app.screen
        assert isinstance(screen, LibraryScreen)
        assert screen.way == [("drill", path.stem)]
        assert drafts(app) == []
        assert path.stem in app.lesson_screen.shelf.drills
        assert app.lesson_screen.flow.question is not None
        assert app.lesson_screen.flow.question.id == app.lesson_screen.flow.current


async def test_problems_come_and_go_beside_their_field_while_typing(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        form = await new(pilot, "1")
        box = form.box(("title",))
        assert box.has_focus_within
        await keys(pilot, "x")
        form.settle()
        await pilot.pause()
        assert box.mark == "wrong"
        assert "at least 3" in shown(app)
        await keys(pilot, "y z enter")
        form.settle()
        await pilot.pause()
        assert box.mark == "done"
        assert "at least 3" not in shown(app)
        assert isinstance(app.focused, Chosen)
        await keys(pilot, "ctrl+g ctrl+g")
        assert form.box(("minutes",)).has_focus_within
        await keys(pilot, "q")
        form.settle()
        await pilot.pause()
        assert "it must be a number" in shown(app)


async def test_choosing_by_keys_and_by_mouse(app: Desk) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        form = await new(pilot, "1")
        await keys(pilot, "tab enter")
        assert isinstance(app.screen, PickScreen)
        assert isinstance(app.focused, OptionList)  # few causes here: the list itself has the focus
        app.screen.query_one(Input).value = "so close"
        await settled(pilot)
        await keys(pilot, "space escape")
        causes = found(form.draft.entry, ("for", "causes"))
        assert len(causes) == 1
        title = str(app.thinker.load().library.causes[causes[0]]["title"])
        assert title in " ".join(column_text(app).split())
        await pilot.click(form.box(("clubs",)).query_one(Chosen))
        await settled(pilot)
        assert isinstance(app.screen, PickScreen)
        await pilot.click(app.screen.query_one(OptionList), offset=(6, 2))
        await settled(pilot)
        await keys(pilot, "escape")
        assert form.draft.entry["clubs"] == ["fairway-wood"]


async def test_looking_at_a_choice_answers_nothing(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        form = await new(pilot, "1")
        await form.parts[2].fold(True)
        form.box(("not_for",)).to_focus()
        await keys(pilot, "enter")
        assert "[x]" not in shown(app)
        await keys(pilot, "escape")
        assert "not_for" not in form.draft.entry
        await keys(pilot, "enter")
        app.screen.query_one(OptionList).highlighted = 0
        await keys(pilot, "space")
        assert form.draft.entry["not_for"] == []
        assert form.box(("not_for",)).mark == "done"


async def test_rows_are_added_mended_and_removed(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        form = await new(pilot, "3")
        await form.parts[3].fold(True)
        form.box(("moves",)).to_focus()
        await keys(pilot, "enter")
        assert isinstance(app.screen, RowsScreen)
        await keys(pilot, "enter")
        row = app.screen
        assert isinstance(row, RowScreen)
        next(box for box in row.query(FieldBox) if box.field.path == ("size",)).query_one(Line).value = "far"
        await settled(pilot)
        assert "it must be a number" in shown(app)
        await keys(pilot, "escape")
        assert "[!]" in shown(app)
        await keys(pilot, "escape")
        assert form.draft.entry["moves"] == [{"size": "far"}]
        assert form.box(("moves",)).mark == "wrong"
        await keys(pilot, "enter d escape")
        assert "moves" not in form.draft.entry
        assert form.box(("moves",)).mark == "free"


async def test_hostile_text_is_literal_in_the_form_and_in_the_file(app: Desk, own: Path) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        form = await copied(pilot)
        area = form.box(("title",)).query_one(Words)
        area.select_all()
        await area._on_paste(Paste(HOSTILE))
        await typed(pilot, "cue", "שלום עולם 日本語 🏌 [b]not bold[/b]")
        await typed(pilot, "steps", "one: step\n- two # not a comment\n" + "x" * 10_000)
        await typed(pilot, "writer", "Kim [red]Vale")
        assert "\x1b" not in shown(app) and "\u202e" not in shown(app)
        assert "".join(LITERAL.split()) in "".join(column_text(app).split())
        assert "at most 320" in form.judged.wrong["steps",]
        assert form.draft.entry["steps"][2] == "x" * 10_000
        await typed(pilot, "steps", "one: step\n- two # not a comment")
        await keys(pilot, "ctrl+s")
        await settled(pilot)
        [path] = (own / "drills").iterdir()
        document, _ = read_yaml(path)
        assert document is not None
        assert document.value["title"] == LITERAL
        assert document.value["cue"] == "שלום עולם 日本語 🏌 [b]not bold[/b]"
        assert document.value["steps"] == ["one: step", "- two # not a comment"]
        assert "\x1b" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("leave", ["ctrl+c", "escape"])
async def test_what_was_typed_is_kept_and_offered_again(app: Desk, leave: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        form = await new(pilot, "2")
        form.box(("title",)).query_one(Words).insert("the heel marks tell")
        await pilot.press(leave)
        await pilot.pause()
    assert [draft["entry"]["title"] for draft in drafts(app)] == ["the heel marks tell"]
    again = desk(app.store.folder, app.thinker.bench)
    async with again.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "ctrl+n")
        assert isinstance(again.screen, WriteScreen)
        assert "the heel marks tell" in shown(again)
        await keys(pilot, "5")
        assert form_of(again).draft.entry["title"] == "the heel marks tell"
        assert len(drafts(again)) == 1
        await keys(pilot, "f8 f8")
        assert drafts(again) == []


async def test_a_file_that_stands_is_written_only_when_asked_twice(app: Desk, own: Path) -> None:
    (own / "drills").mkdir(parents=True)
    text = (BUILT_IN / "drills" / "foam-sleeve-outside.yaml").read_text(encoding="utf-8")
    path = own / "drills" / "mine.yaml"
    app.thinker.bench = None
    path.write_text(text.replace("id: foam-sleeve-outside", "id: mine  # after the old one"), encoding="utf-8")
    before = path.read_bytes()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, "l")
        app.screen.query_one(Input).value = "mine"
        await settled(pilot)
        await keys(pilot, "ctrl+n h")
        form = form_of(app)
        assert not any(part.holds(("id",)) for part in form.parts)
        await typed(pilot, "minutes", "7")
        await typed(pilot, "writer", "Kim Vale")
        await keys(pilot, "ctrl+s")
        assert path.read_bytes() == before
        await keys(pilot, "ctrl+s")
        await settled(pilot)
        now = path.read_text(encoding="utf-8")
        assert "minutes: 7\n" in now
        assert "# after the old one" in now


async def test_how_it_reads_is_one_key_away_where_it_does_not_fit(app: Desk) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await new(pilot, "3")
        await typed(pilot, "title", "the player {left} stands")
        await typed(pilot, "tell_student", "stand a little taller")
        assert "As the student sees it" not in shown(app)
        await keys(pilot, "ctrl+r")
        assert "Stand a little taller." in shown(app)
        await keys(pilot, "escape")
        assert "As the student sees it" not in shown(app)
        assert isinstance(app.screen, FormScreen)


async def test_the_audit_gives_advice_on_a_whole_entry(app: Desk) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        form = await copied(pilot)
        await typed(pilot, "title", "a rope lies outside the ball")
        await typed(pilot, "writer", "Kim Vale")
        await typed(pilot, "cue", "it will never fail")
        form.ask_audit()
        await settled(pilot)
        assert "never" in form.judged.advice["cue",]
        assert form.judged.whole


def test_a_kill_loses_no_more_than_the_last_moment(tmp_path: Path) -> None:
    with Terminal("from arclore.tui.desk import run; run()", tmp_path) as terminal:
        terminal.wait_for(b"safety 1")
        terminal.type("\x0e")
        terminal.wait_for(b"new drill")
        terminal.type("1")
        terminal.wait_for(b"What it is")
        terminal.type("the rope stays")
        until = time.perf_counter() + 15
        folder = tmp_path / "arclore" / "drafts"

        def kept() -> bool:
            return any("the rope stays" in path.read_text(encoding="utf-8") for path in folder.glob("*.json"))

        while not kept() and time.perf_counter() < until:
            terminal._take(0.1)
        terminal.signal(signal.SIGKILL)
        assert kept()


def test_the_form_is_not_loaded_before_it_is_wanted(tmp_path: Path) -> None:
    code = "import sys, arclore.tui.desk; sys.exit(any(name.startswith('arclore.tui.form') for name in sys.modules))"
    with Terminal(code, tmp_path) as terminal:
        assert terminal.ended(20) == 0


