"""What differs between two libraries, and what that does to the answers of their cases."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.once import Once
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import BUILT_IN, Library, load_layers
from arclore.engine.upkeep.compare import GROUPS, differences, opened
from arclore.engine.upkeep.comparison import markdown, marked, plain_text
from arclore.engine.upkeep.effects import effects
from arclore.tui.command import library_compare
from arclore.tui.command.exits import Exit
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA = "Orla Fenwick <orla@larkmoor.example>"
CASES = ("hands-jump-on-short-putts", "left-hander-shuts-the-putter")


@pytest.fixture(scope="module")
def built_in() -> Library:
    library = load_layers([BUILT_IN])
    return replace(library, cases={name: library.cases[name] for name in CASES})


def test_each_difference_is_told_once_and_by_the_field(make: Make) -> None:
    kept, gone, old = drill("larkmoor-brush"), drill("larkmoor-gone"), drill("larkmoor-old")
    a = make("larkmoor", kept, gone, old)
    b = make("stonebeck", {**kept, "minutes": 7, "dose": {**kept["dose"], "sets": 3}, "notes": "new"})
    put(b, {**old, "retired": {"reason": "too long", "replaced_by": ["larkmoor-brush"]}}, drill("larkmoor-new"))
    found = differences(load_layers([a]), load_layers([b]))
    assert [row["id"] for row in found["added"]] == ["larkmoor-new"]
    assert [row["id"] for row in found["removed"]] == ["larkmoor-gone"]
    assert [(row["id"], row["reason"], row["replaced_by"]) for row in found["retired"]] == [
        ("larkmoor-old", "too long", ["larkmoor-brush"])
    ]
    changed = {row["id"]: row["fields"] for row in found["changed"]}
    assert changed["larkmoor-brush"] == [
        {"field": "minutes", "was": 5, "is": 7},
        {"field": "dose.sets", "was": 1, "is": 3},
        {"field": "notes", "is": "new"},
    ]
    assert changed["library"] == [{"field": "id", "was": "larkmoor", "is": "stonebeck"}]


def test_a_list_is_told_by_item_where_none_came_or_went(make: Make) -> None:
    kept = {**drill("larkmoor-brush"), "steps": ["Brush the mat.", "Brush it again."]}
    a = make("larkmoor", kept)
    b = make("stonebeck", {**kept, "steps": ["Brush the mat.", "Brush it twice."]})
    longer = make("mirebank", {**kept, "steps": [*kept["steps"], "Rest."]})
    told, other = (differences(load_layers([a]), load_layers([second]))["changed"] for second in (b, longer))
    assert told[0]["fields"] == [{"field": "steps.2", "was": "Brush it again.", "is": "Brush it twice."}]
    assert [change["field"] for change in other[0]["fields"]] == ["steps"]


def test_the_comment_spells_values_as_an_entry_does(make: Make) -> None:
    was = drill("larkmoor-brush", kit=["chalk", "towel"])
    a, b = make("larkmoor", was), make("stonebeck", {**was, "kit": [], "dose": {**was["dose"], "with_ball": True}})
    libraries = load_layers([a]), load_layers([b])
    assert not any(library.problems for library in libraries)
    text = markdown({"a": "a", "b": "b", "cases": None, "no_longer_told_apart": None, **differences(*libraries)})
    assert 'kit: \\["chalk", "towel"\\] → \\[\\]\n' in text
    assert "dose.with\\_ball: false → true\n" in text


def test_a_library_does_not_differ_from_itself(built_in: Library) -> None:
    assert not any(differences(built_in, built_in).values())
    found = effects(built_in, replace(built_in))
    assert (found["cases"], found["asked"], found["changed"]) == (2, 0, [])


def test_two_revisions_of_a_library_are_compared_as_they_were_committed(run: Run, make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, ORLA)
    put(folder, drill("larkmoor-brush", cue="brush it twice"), drill("larkmoor-new"))
    (folder / "drills" / "link.yaml").symlink_to("/etc/passwd")
    commit(folder, ORLA)
    put(folder, drill("larkmoor-later"))
    done = run("library", "compare", "HEAD~1", "HEAD", "--in", folder, "--no-cases", "--json")
    assert done.code == Exit.DONE, done.err
    validator("library-compare").validate(done.json)
    assert [row["id"] for row in done.json["added"]] == ["larkmoor-new"]
    assert done.json["changed"][0]["fields"] == [{"field": "cue", "was": "brush the mat", "is": "brush it twice"}]
    assert done.json["removed"] == []
    told = run("library", "compare", "HEAD", folder, "--in", folder, "--no-cases").out
    assert "**1 added**" in told
    assert "larkmoor-later" in told


def test_a_terminal_shows_names_as_they_are_and_a_pipe_gets_markdown(
    run: Run, make: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, ORLA)
    put(folder, drill("larkmoor-brush", cue="brush *it*"), drill("larkmoor-new", title="one [of] \x1b[1mtwo"))
    commit(folder, ORLA)
    asked = ("library", "compare", "HEAD~1", "HEAD", "--in", folder, "--no-cases")
    in_a_pipe = run(*asked).out
    monkeypatch.setattr(library_compare, "to_a_terminal", lambda: True)
    shown = run(*asked).out
    assert shown.startswith("From HEAD~1 to HEAD\n\n1 added\n\n- drill larkmoor-new: one [of] \\x1b[1mtwo\n")
    assert "  - cue: brush the mat → brush *it*\n" in shown
    assert in_a_pipe.startswith("### From HEAD\\~1 to HEAD\n\n**1 added**\n")
    assert "brush \\*it\\*" in in_a_pipe


def test_libraries_read_together_are_what_each_is_alone(make: Make) -> None:
    """Of two files that hold the same, one is read; what is wrong with either is told of both, by its own name."""
    a = make("larkmoor", drill("larkmoor-brush"), drill("larkmoor-odd", minutes="five"))
    b = make("stonebeck", drill("larkmoor-brush"), drill("larkmoor-odd", minutes="five"), drill("larkmoor-new"))
    for folder in (a, b):
        (folder / "drills" / "spoiled.yaml").write_text("a: [", encoding="utf-8")
        same = (folder / "drills" / "larkmoor-brush.yaml").read_bytes()
        (folder / "drills" / "larkmoor-again.yaml").write_bytes(same)
    once = Once(shares=True)
    together = [load_layers([folder], once) for folder in (a, b)]
    assert together == [load_layers([folder]) for folder in (a, b)]
    assert [len(library.problems) for library in together] == [3, 3]
    one, other = (library.drills["larkmoor-brush"] for library in together)
    assert one is other


def test_a_library_may_be_called_as_a_folder_in_it(make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, ORLA)
    git(folder, "tag", "words")
    moved = folder.rename(tmp_path / "drills")
    for library in (opened("words", moved), opened(str(moved), moved)):
        assert library.problems == []
        assert library.settings["id"] == "larkmoor"


def test_a_revision_is_read_as_the_folder_that_was_committed(make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"), drill("larkmoor-odd", minutes="five"))
    (folder / "drills" / "spoiled.yaml").write_bytes(b"a: \xff")
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, ORLA)
    there, then = opened(str(folder), folder), opened("HEAD", folder)
    assert then.drills == there.drills
    assert then.settings == there.settings
    places = [(row.line, row.column, row.code, row.message) for row in there.problems]
    assert [(row.line, row.column, row.code, row.message) for row in then.problems] == places
    assert {row.path for row in then.problems} == {"HEAD/drills/spoiled.yaml", "HEAD/drills/larkmoor-odd.yaml"}


def test_where_no_entry_differs_no_case_is_asked(
    run: Run, make: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[object] = []
    none = {"cases": 0, "reached": 0, "asked": 0, "not_asked": [], "checks_not_compared": [], "changed": []}
    monkeypatch.setattr(library_compare, "effects", lambda *_: asked.append(1) or none)
    low, same, other = make("larkmoor"), make("stonebeck"), make("fenmere", drill("fenmere-brush"))
    (same / "library.yaml").write_text((low / "library.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    done = run("library", "compare", low, same, "--json")
    validator("library-compare").validate(done.json)
    assert (done.json["cases"], asked) == (None, [])
    assert run("library", "compare", low, other).code == Exit.DONE
    assert asked == [1]


@pytest.mark.parametrize("name", ["no-such", "--output=x", "HEAD; ls", "", "HEAD:library.yaml"])
def test_what_is_neither_folder_nor_revision_is_wrong_use(run: Run, make: Make, tmp_path: Path, name: str) -> None:
    folder = make("larkmoor")
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, ORLA)
    done = run("library", "compare", "--in", folder, "--no-cases", "--", name, "HEAD")
    assert (done.code, len(done.err.splitlines())) == (Exit.WRONG_USE, 1)


@settings(max_examples=200, deadline=None)
@given(st.text(st.sampled_from("\\`*_{}[]<>()#|~!&:@.a w/htps\n\u202e\"'"), max_size=40))
def test_text_of_a_library_never_becomes_markup(text: str) -> None:
    """Judged by an implementation of CommonMark with tables and bare links on."""
    inline = MarkdownIt("gfm-like", {"linkify": False}).parseInline("- x " + marked(text))[0].children
    assert inline is not None
    assert {token.type for token in inline} <= {"text", "text_special"}


def test_a_cause_that_still_leads_is_told_once() -> None:
    first, second = ({"id": "a-b", "probability": chance} for chance in (0.261, 0.264))
    row = {"id": "c", "unanswered": "", "leading_changed": False, "was": first, "is": second}
    row |= {f"{what}_{way}": [] for what in ("checks", "drills") for way in ("added", "gone")} | {"drills_added": ["d"]}
    whole = {"asked": 1, "cases": 1, "not_asked": [], "checks_not_compared": []}
    cases = {**whole, "changed": [row, {**row, "is": {"id": "a-b", "probability": 0.3}}]}
    text = markdown({"a": "one", "b": "two", **{group: [] for group in GROUPS}, "cases": cases})
    assert "- c: a-b (26 in 100) leads as before; drills added: d\n" in text
    assert "- c: a-b (26 in 100) → a-b (30 in 100); drills added: d\n" in text


def test_the_comment_holds_every_part(built_in: Library) -> None:
    answers = [triage(entry["case"], Bench(built_in)) for entry in built_in.cases.values()]
    leading = {answer["causes"][0]["id"] for answer in answers}
    causes = {name: entry for name, entry in built_in.causes.items() if name not in leading}
    compared: dict[str, Any] = {
        "a": "one",
        "b": "@two",
        "added": [{"kind": "drill", "id": "a-b", "title": "<b>a</b>"}],
        "removed": [],
        "retired": [{"kind": "drill", "id": "c", "title": "t", "reason": "old", "replaced_by": ["a-b"]}],
        "changed": [],
        "no_longer_told_apart": [{"causes": ["a-b", "*c"], "told_by": []}],
        "cases": effects(built_in, replace(built_in, causes=causes)),
    }
    text = markdown(compared)
    assert "@two" not in text
    assert "<b>" not in text
    assert "(old, instead a-b)" in text
    assert "- a-b, \\*c\n" in text
    assert "2 cases asked, 2 with another leading cause" in text
    assert "every" not in text
    compared["cases"] |= {"not_asked": ["d", "e"], "checks_not_compared": ["f"]}
    assert "\n2 more cases that this may change were not asked" in plain_text(compared)
    assert "\nLeft out: in 1 of the cases checks" in plain_text(compared)
