"""Entries are written by the field: comments stay, diffs are small, nothing is overwritten, ids are used once."""

from __future__ import annotations

import difflib
import json
import re
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.read import read_yaml
from arclore.engine.library.stack import BUILT_IN, load_layers, personal_folder
from arclore.engine.upkeep.entry_file import EditError, dumped, edited
from arclore.engine.upkeep.history import History, history_of
from arclore.engine.upkeep.new_entry import AuthorError, Desk, field_value
from arclore.tui.command.exits import Exit
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.command.running import Run
from tests.library.conftest import sound_entry
from tests.shared.conftest import Make, commit, drill, git

BUILT_IN_FILES = sorted(BUILT_IN.glob("*/*.yaml"))
TEXT = """\
# On the lower range only.
schema: 1
kind: drill
id: larkmoor-brush
title: the club brushes the grass   # short
author: Orla Fenwick
# why these steps: see the spring notes
steps:
  - Swing slowly.        # ten times
  - 'Brush the same spot.'

# how much
dose: {sets: 2, repetitions: 5,
       with_ball: false}
cue: "brush it"
"""


def value(text: str) -> dict[str, Any]:
    document, rows = read_yaml(text)
    assert document is not None, rows
    return document.value


def changed_lines(one: str, other: str) -> list[str]:
    rows = difflib.unified_diff(one.splitlines(), other.splitlines(), lineterm="", n=0)
    return [row for row in rows if row[0] in "+-" and row[:3] not in ("+++", "---")]


@pytest.mark.parametrize(
    ("fields", "diff"),
    [
        ({"cue": "brush it softly"}, ['-cue: "brush it"', '+cue: "brush it softly"']),
        (
            {"title": "it brushes"},
            ["-title: the club brushes the grass   # short", "+title: it brushes                   # short"],
        ),
        (
            {"steps": ["Swing slowly.", "Brush the same spot.", "Rest."]},
            ["+  - Rest."],
        ),
        ({"minutes": 8}, ["+minutes: 8"]),
        ({"cue": "NAN"}, ['-cue: "brush it"', '+cue: "NAN"']),
        ({"cue": "brush it"}, []),
    ],
)
def test_only_the_lines_of_a_changed_field_change(fields: dict[str, Any], diff: list[str]) -> None:
    text = edited(TEXT, Path("a.yaml"), fields)
    assert value(text) == {**value(TEXT), **fields}
    assert changed_lines(TEXT, text) == diff


def test_comments_inside_a_changed_list_stay_with_their_item() -> None:
    text = edited(TEXT, Path("a.yaml"), {"steps": ["Swing slowly.", "Brush a spot."]})
    assert "- Swing slowly.        # ten times" in text
    assert "# how much\ndose:" in text
    text = edited(TEXT, Path("a.yaml"), {"steps": ["Brush the same spot."]})
    assert "# why these steps: see the spring notes" in text
    assert "ten times" not in text


seen = st.characters(min_codepoint=32, max_codepoint=0x24F, exclude_categories=("Cc", "Cf"), exclude_characters="\xa0")
plain = st.text(seen, max_size=40)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-999, 999) | st.floats(-9, 9).map(lambda x: round(x, 3)) | plain,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("abcd"), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(BUILT_IN_FILES), values, st.data())
def test_any_field_of_any_entry_takes_any_value_and_the_others_keep_their_bytes(
    path: Path, new: Any, data: st.DataObject
) -> None:
    text = path.read_text(encoding="utf-8")
    old = value(text)
    name = data.draw(st.sampled_from([*old, "notes"]))
    written = edited(text, path, {name: new})
    assert value(written) == {key: item for key, item in {**old, name: new}.items() if key != name or new is not None}
    document, _ = read_yaml(text)
    assert document is not None
    lines = text.splitlines()
    starts = sorted(line for place, (line, _) in document.positions.items() if len(place) == 1)
    if name in old:
        first = document.positions[name,][0]
        after = next((line for line in starts if line > first), len(lines) + 1)
        assert written.splitlines()[: first - 1] == lines[: first - 1]
        rest = lines[after - 1 :]
        assert written.splitlines()[len(written.splitlines()) - len(rest) :] == rest
    else:
        assert written.startswith(text)


def test_a_field_is_taken_out_with_its_lines_and_nothing_else() -> None:
    text = edited(TEXT, Path("a.yaml"), {"steps": None, "notes": None})
    assert value(text) == {name: item for name, item in value(TEXT).items() if name != "steps"}
    assert "# why these steps: see the spring notes\n" in text
    assert all(row[0] == "-" for row in changed_lines(TEXT, text))
    with pytest.raises(EditError, match="by hand"):
        edited(json.dumps(sound_entry("drill")), Path("a.yaml"), {"cue": None})


def test_a_field_of_the_entry_underneath_can_be_replaced_but_not_taken_out(desk: Desk, make: Make) -> None:
    over = make("stonebeck")
    upper = Desk(over, load_layers([desk.folder, over]), History(), "Piers Oakley")
    with pytest.raises(AuthorError, match="underneath"):
        upper.amend("drill", "larkmoor-brush", {"fade": None})
    assert not (over / "drills").exists() or not list((over / "drills").iterdir())


def test_a_file_in_braces_is_changed_as_well() -> None:
    text = json.dumps(sound_entry("drill"), indent=1)
    assert value(edited(text, Path("a.yaml"), {"minutes": 9})) == {**sound_entry("drill"), "minutes": 9}


@pytest.mark.parametrize("text", ["a: &x 1\nb: *x\n", "a: 1\na: 2\n", "- a\n", "a: [\n"])
def test_a_file_that_is_not_plain_is_refused(text: str) -> None:
    with pytest.raises(EditError):
        edited(text, Path("a.yaml"), {"a": 3})


@pytest.fixture
def desk(make: Make) -> Desk:
    folder = make("larkmoor", drill("larkmoor-brush", author="Orla Fenwick"))
    return Desk(folder, load_layers([folder]), History(), "Piers Oakley")


def test_whoever_amends_joins_the_authors_and_only_once(desk: Desk) -> None:
    path = desk.amend("drill", "larkmoor-brush", {"minutes": 7})
    assert value(path.read_text(encoding="utf-8"))["authors"] == ["Piers Oakley"]
    again = Desk(desk.folder, load_layers([desk.folder]), History(), "oakley, p.")
    again.amend("drill", "larkmoor-brush", {"minutes": 8})
    assert value(path.read_text(encoding="utf-8"))["authors"] == ["Piers Oakley"]
    first = Desk(desk.folder, load_layers([desk.folder]), History(), "O. Fenwick")
    first.amend("drill", "larkmoor-brush", {"minutes": 9})
    written = value(path.read_text(encoding="utf-8"))
    assert (written["author"], written["authors"], written["minutes"]) == ("Orla Fenwick", ["Piers Oakley"], 9)


def test_a_copy_keeps_those_who_wrote_it_among_its_authors(desk: Desk) -> None:
    path = desk.copy("drill", "larkmoor-brush", "larkmoor-sweep", {"cue": "sweep it"})
    entry = value(path.read_text(encoding="utf-8"))
    assert (entry["id"], entry["author"], entry["authors"]) == ("larkmoor-sweep", "Piers Oakley", ["Orla Fenwick"])


def test_what_stands_below_is_amended_by_a_file_laid_over_it(desk: Desk, make: Make) -> None:
    over = make("stonebeck")
    upper = Desk(over, load_layers([desk.folder, over]), History(), "Piers Oakley")
    path = upper.amend("drill", "larkmoor-brush", {"minutes": 7})
    assert value(path.read_text(encoding="utf-8")) == {
        "kind": "drill",
        "amends": "larkmoor-brush",
        "minutes": 7,
        "authors": ["Piers Oakley"],
    }
    upper = Desk(over, load_layers([desk.folder, over]), History(), "Piers Oakley")
    assert upper.retire("drill", "larkmoor-brush", "nobody used it", []) == path
    library = load_layers([desk.folder, over])
    assert library.problems == []
    assert library.drills["larkmoor-brush"]["retired"] == {"reason": "nobody used it"}
    assert library.drills["larkmoor-brush"]["minutes"] == 7


def test_a_name_that_no_entry_has_is_told_before_anything_is_written(desk: Desk) -> None:
    fields = {"for": {"causes": ["no-such-cause"]}}
    for act in (
        lambda: desk.amend("drill", "larkmoor-brush", fields),
        lambda: desk.copy("drill", "larkmoor-brush", "larkmoor-new", fields),
        lambda: desk.new("drill", "larkmoor-new", fields),
    ):
        with pytest.raises(AuthorError) as told:
            act()
        assert [(row.code, "no-such-cause" in row.message) for row in told.value.rows] == [("unknown-id", True)]
    assert desk.amend("drill", "larkmoor-brush", {"minutes": 7})  # what it named wrongly before is no hindrance


@pytest.mark.parametrize("results", [5, ["soft"], {"id": "soft"}])
def test_results_of_no_shape_are_a_problem_and_no_crash(desk: Desk, results: object) -> None:
    with pytest.raises(AuthorError) as told:
        desk.new("check", "larkmoor-look", {"results": results, "likelihood": {"positive": "soft"}})
    assert "type" in {row.code for row in told.value.rows}


@pytest.mark.parametrize(
    ("fields", "code"),
    [({"minutes": 900}, "maximum"), ({"cue": "turn it to the left side"}, "bare-side"), ({"kit": [1]}, "type")],
)
def test_what_breaks_the_rules_is_told_and_not_written(desk: Desk, fields: dict[str, Any], code: str) -> None:
    path = desk.folder / "drills" / "larkmoor-brush.yaml"
    before = path.read_bytes()
    for act in (
        lambda: desk.amend("drill", "larkmoor-brush", fields),
        lambda: desk.copy("drill", "larkmoor-brush", "larkmoor-new", fields),
        lambda: desk.new("drill", "larkmoor-new", fields),
    ):
        with pytest.raises(AuthorError) as told:
            act()
        assert [row.code for row in told.value.rows] == [code]
    assert path.read_bytes() == before
    assert [item.name for item in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize(
    "name",
    ["larkmoor-brush", "brush", "Larkmoor-Brush", "../out", "larkmoor-../x", "larkmoor-", "larkmoor-a\n", "", "a/b"],
)
def test_an_id_that_is_taken_out_of_place_or_no_id_is_refused(desk: Desk, name: str) -> None:
    before = sorted(desk.folder.rglob("*"))
    for act in (lambda: desk.new("drill", name, {}), lambda: desk.copy("drill", "larkmoor-brush", name, {})):
        with pytest.raises(AuthorError):
            act()
    assert sorted(desk.folder.rglob("*")) == before


def test_an_id_that_stood_once_is_never_used_again(make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, "Orla Fenwick <orla@larkmoor.example>")
    (folder / "drills" / "larkmoor-brush.yaml").unlink()
    commit(folder, "Orla Fenwick <orla@larkmoor.example>")
    desk = Desk(folder, load_layers([folder]), history_of(folder), "Orla Fenwick")
    with pytest.raises(AuthorError, match="never used again"):
        desk.new("drill", "larkmoor-brush", {})


def test_a_file_that_comes_in_the_meantime_is_left_as_it_is(desk: Desk) -> None:
    path = desk.folder / "drills" / "larkmoor-new.yaml"
    path.symlink_to(desk.folder / "nowhere.yaml")
    with pytest.raises(AuthorError):
        desk.new("drill", "larkmoor-new", {})
    assert not (desk.folder / "nowhere.yaml").exists()


def test_text_is_taken_as_typed_and_the_rest_as_yaml() -> None:
    assert field_value("drill", "title", "club: #2, a 'brush'") == "club: #2, a 'brush'"
    assert field_value("drill", "kit", "[chalk, towel]") == ["chalk", "towel"]
    assert field_value("drill", "minutes", "8") == 8
    for name, text in (("id", "x"), ("titel", "x"), ("kit", "[a"), ("kit", "1\nid: other"), ("minutes", "&a 1")):
        with pytest.raises(AuthorError):
            field_value("drill", name, text)


def test_a_new_entry_says_what_is_still_to_fill_in_and_becomes_sound(run: Run, make: Make) -> None:
    folder = make("larkmoor")
    this = ("--in", folder, "--author", "Orla Fenwick")
    done = run("library", "new", "drill", "larkmoor-brush", "--set", "title=it brushes the grass", *this, "--json")
    assert done.code == Exit.DONE
    path = Path(done.json["path"])
    text = path.read_text(encoding="utf-8")
    assert "\n# minutes: a number (how long it takes at the bay)\n" in text
    assert "\n# dose: {sets: a whole number, repetitions: a whole number, with_ball: true or false}\n" in text
    assert len(done.json["to_fill_in"]) == text.count("\n# ")
    assert run("library", "check", folder).code == Exit.PROBLEMS
    entry = drill("larkmoor-brush")
    filled = text + "".join(f"{name}: {json.dumps(entry[name])}\n" for name in entry if f"\n# {name}: " in text)
    path.write_text(filled, encoding="utf-8")
    assert run("library", "check", folder).code == Exit.DONE


def test_the_coachs_own_library_begins_by_itself(run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    name = "a-hand-fits-behind-the-handle"
    done = run("library", "amend", "drill", name, "--set", "minutes=9", "--author", "Orla Fenwick")
    assert done.code == Exit.DONE, done.err
    assert (personal_folder() / "drills" / f"{name}.yaml").is_file()
    done = run("library", "new", "drill", "my-own", "--from", name, "--author", "Orla Fenwick", "--set", "cue=mine")
    assert done.code == Exit.DONE, done.err
    assert (
        run("library", "retire", "drill", "my-own", "--reason", "no use", "--author", "Orla Fenwick").code == Exit.DONE
    )
    assert run("library", "check").code == Exit.DONE
    refused = run("library", "amend", "drill", "my-own", "--set", "minutes=nine", "--author", "Orla Fenwick")
    assert (refused.code, "minutes" in refused.err) == (Exit.PROBLEMS, True)
    assert run("library", "copy", "drill", name, "my-own", "--author", "Orla Fenwick").code == Exit.WRONG_USE


@settings(max_examples=200, deadline=None)
@given(st.dictionaries(st.sampled_from("abcd"), values | st.text(seen, min_size=95, max_size=300), min_size=1))
def test_a_new_file_reads_as_it_was_meant(entry: dict[str, Any]) -> None:
    assert value(dumped(entry)) == entry


def test_a_new_file_is_laid_out_as_its_neighbours_are() -> None:
    for name in ("causes/stands-too-close", "drills/foam-sleeve-outside"):
        path = BUILT_IN / f"{name}.yaml"
        old, new = path.read_text(encoding="utf-8"), dumped(value(path.read_text(encoding="utf-8")))
        assert abs(len(new.splitlines()) - len(old.splitlines())) <= 2, name
        assert all(row == row.rstrip() and len(row) <= 120 for row in new.splitlines())


@pytest.mark.parametrize(
    ("name", "told"),
    [("for.causes", "set the whole of it, as for={"), ("titel", "nearest: title"), ("zzz.a", "to set")],
)
def test_a_field_that_cannot_be_set_says_what_can(name: str, told: str) -> None:
    with pytest.raises(AuthorError, match=re.escape(told)):
        field_value("drill", name, "x")
