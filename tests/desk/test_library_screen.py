"""The library on the desk: what a search finds, what an entry shows, and walking its links."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from arclore.engine.library.graph import build_graph
from arclore.engine.library.read import Document
from arclore.engine.library.stack import BUILT_IN, Library, load_library
from arclore.engine.upkeep.statuses import STATUSES
from arclore.tui.desk import Desk
from arclore.tui.entry_text import fields, links, sources
from arclore.tui.lesson_store import Store
from arclore.tui.library_search import catalogue
from arclore.tui.screens.lesson import LessonScreen
from arclore.tui.screens.library import LibraryScreen
from arclore.tui.thinker import Thinker
from textual.widgets import Input

from tests.desk.fakes import HOSTILE, LITERAL, FakeBench, column_text, keys, settled, shown, small_library

Make = Callable[..., Desk]
REAL = Thinker()


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library()


def entries(library: Library) -> dict[tuple[str, str], Any]:
    return {key: document.value for key, document in library.documents.items()}


def test_every_word_of_a_search_counts(library: Library) -> None:
    every = entries(library)
    listed = catalogue(every)
    assert listed.search("")
    assert not listed.search("no-such-word-anywhere")
    assert listed.search("kind:") == listed.search("")
    for query, holds in {
        "kind:drill": lambda kind, e: kind == "drill",
        "kind:drill minutes:6": lambda kind, e: kind == "drill" and e["minutes"] <= 6,
        "kind:drill safe:back-history": lambda kind, e: kind == "drill" and "back-history" not in e["not_for"],
        "cause:stands-too-close kind:drill": lambda kind, e: kind == "drill"
        and "stands-too-close" in e["for"]["causes"],
        "kind:drill not:back-history": lambda kind, e: kind == "drill" and "back-history" in e["not_for"],
        "space:2": lambda kind, e: e.get("space_m", 99) <= 2,
        "title:towel kind:drill": lambda kind, e: kind == "drill" and "towel" in e["title"],
        "kit:mirror": lambda kind, e: any("mirror" in thing for thing in e.get("kit", ())),
        "kind:cause club:putt": lambda kind, e: kind == "cause" and {"putt", "all"} & set(e["clubs"]),
    }.items():
        found = {(row.kind, row.id) for row in listed.search(query)}
        kinds = {"drill", "check", "cause", "symptom", "club", "words"}
        assert found == {key for key, e in every.items() if key[0] in kinds and holds(key[0], e)}, query
        assert found


def test_words_in_the_title_come_first(library: Library) -> None:
    titles = [row.title.lower() for row in catalogue(entries(library)).search("mirror")]
    held = ["mirror" in title for title in titles]
    assert held == sorted(held, reverse=True)


def test_a_cause_is_found_by_the_words_of_its_title(library: Library) -> None:
    title = library.causes["stands-too-close"]["title"].split()
    found = catalogue(entries(library)).search(" ".join(f"cause:{word}" for word in title) + " kind:drill")
    assert {row.id for row in found} >= {
        name for name, drill in library.drills.items() if drill["for"]["causes"] == ["stands-too-close"]
    }
    assert found


def test_a_search_of_ten_thousand_entries_walks_no_entry(library: Library) -> None:
    """A search takes a small part of the time that gathering the same texts once takes; both by processor time."""
    many = {(kind, f"{name}-{n}"): e for n in range(10) for (kind, name), e in entries(library).items()}
    began = process_time()
    listed = catalogue(many)
    gathered = process_time() - began
    for query in ("", "hand", "the ball", "club:driver hand kind:drill", "minutes:5 space:3 safe:back", "no-such-word"):
        times = []
        for _ in range(3):
            began = process_time()
            listed.search(query)
            times.append(process_time() - began)
        assert min(times) < gathered / 3, query


def test_each_link_leads_back(library: Library) -> None:
    graph, _ = build_graph(library)
    for key in library.documents:
        for link in links(graph, library, key):
            if link.to[0] != "case":
                assert key in [back.to for back in links(graph, library, link.to)]


def test_named_sources_are_shown_with_their_year(library: Library) -> None:
    key, entry = next((k, e) for k, e in entries(library).items() if e.get("sources"))
    assert str(library.sources[entry["sources"][0]]["year"]) in sources(entry, library)[0], key


def test_what_supports_a_single_field_is_shown_beside_its_source(library: Library) -> None:
    drill = library.drills["hoops-with-soft-balls"]
    lines = dict(fields(drill, "right"))["evidence"]
    assert lines[0].startswith("kind: common-practice")
    assert any(line.startswith("- about: hazards") and "macgregor-2002" in line for line in lines[1:])
    assert any("Golf related head injuries in children" in row for row in sources(drill, library))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_search_read_and_walk_by_keys(tmp_path: Path, size: tuple[int, int]) -> None:
    app = Desk(store=Store(tmp_path))
    app.thinker = app.lesson_screen.thinker = REAL
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, "l")
        screen = app.screen
        assert isinstance(screen, LibraryScreen)
        screen.query_one(Input).value = "kind:drill cause:stands-too-close"
        await keys(pilot, "enter enter")
        drill = screen.way[-1]
        assert drill[0] == "drill"
        assert any(status.replace("-", " ") in shown(app) for status in STATUSES)
        await keys(pilot, "enter")
        assert len(screen.way) == 2
        assert screen.way[-1] != drill
        await keys(pilot, "b")
        assert screen.way == [drill]
        await keys(pilot, "b slash")
        assert app.focused is screen.query_one(Input)
        await keys(pilot, "escape")
        assert isinstance(app.screen, LessonScreen)


async def test_hostile_entries_and_searches_are_shown_literally(desk: Make) -> None:
    app = desk()
    small = small_library(HOSTILE)
    given = {"kind": "drill", "id": "step", **small.drills["step"]}
    documents = {("drill", "step"): Document(Path("step.yaml"), given, {})}
    bench: Any = FakeBench(Library(drills={"step": given}, documents=documents))  # type: ignore[arg-type]
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        app.thinker.load = lambda: bench  # type: ignore[method-assign]
        await keys(pilot, "l enter enter")
        assert isinstance(app.screen, LibraryScreen)
        assert "".join(LITERAL.split()) in "".join(column_text(app).split())
        assert "\x1b" not in shown(app) and "‮" not in shown(app)
        for odd in (HOSTILE, "kind:", "minutes:x", ":", "[/]", "é" * 200):
            app.screen.query_one(Input).value = odd
            await settled(pilot)
        assert app.is_running


async def test_a_field_that_another_layer_gives_says_which(desk: Make) -> None:
    app = desk()
    given = {"kind": "drill", "id": "step", **small_library("").drills["step"]}
    below = Document(BUILT_IN / "drills" / "step.yaml", given, {})
    over = {**given, "cue": "brush it twice"}
    document = Document(Path("/larkmoor/drills/step.yaml"), over, {("cue",): (2, 1)}, below)
    library = Library(drills={"step": over}, documents={("drill", "step"): document})
    bench: Any = FakeBench(library)  # type: ignore[arg-type]
    async with app.run_test(size=(120, 60)) as pilot:
        await settled(pilot)
        app.thinker.load = lambda: bench  # type: ignore[method-assign]
        await keys(pilot, "l enter enter")
        assert "The one thought (from larkmoor):" in shown(app)
        assert "How it is tested again:" in shown(app)


async def test_a_library_that_cannot_be_read_is_said(desk: Make) -> None:
    app = desk()
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        app.thinker.load = lambda: (_ for _ in ()).throw(OSError("gone"))  # type: ignore[method-assign]
        await keys(pilot, "l")
        screen = app.screen
        assert isinstance(screen, LibraryScreen)
        screen.reading(True)
        await settled(pilot)
        assert "could not be read" in shown(app)
