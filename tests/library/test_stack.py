"""Layers laid over each other, and files written whole."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library import atomic
from arclore.engine.library.stack import BUILT_IN, load_layers, load_library, personal_folder

Entry = Callable[..., dict[str, Any]]
Write = Callable[..., Path]


def test_the_built_in_library_is_the_lowest_layer(entry: Entry, write: Write) -> None:
    mine = write(entry("symptom", "it-stings-here"), layer="mine")
    both = load_library(mine)
    assert both.origin["symptom", "it-stings-here"] == mine
    built_in = [key for key in both.documents if key != ("symptom", "it-stings-here")]
    assert built_in and all(both.origin[key] == BUILT_IN for key in built_in)
    assert list(both.symptoms) == sorted(both.symptoms)


def test_a_layer_amends_whole_fields(entry: Entry, write: Write) -> None:
    low = write(entry("drill", kit=["a mat", "a towel"]), layer="low")
    change = {"schema": 1, "kind": "drill", "amends": "brush-mat", "kit": ["a coin"], "minutes": 9}
    high = write(change, layer="high")
    library = load_layers([low, high])
    assert library.problems == []
    drill = library.drills["brush-mat"]
    assert (drill["kit"], drill["minutes"], drill["cue"]) == (["a coin"], 9, "brush the mat")
    assert "amends" not in drill
    document = library.documents["drill", "brush-mat"]
    assert document.origin(("kit", 0)).path == (high / "drills" / "brush-mat.yaml").resolve()
    assert document.origin(("cue",)).path == (low / "drills" / "brush-mat.yaml").resolve()
    assert load_layers([low]).drills["brush-mat"]["kit"] == ["a mat", "a towel"]


def test_an_amendment_that_breaks_the_schema_leaves_the_entry_below(entry: Entry, write: Write) -> None:
    low = write(entry("drill"), layer="low")
    high = write({"schema": 1, "kind": "drill", "amends": "brush-mat", "minutes": -4}, layer="high")
    library = load_layers([low, high])
    assert library.drills["brush-mat"]["minutes"] == 5
    assert [(Path(row.path).parent.parent.name, row.field, row.line) for row in library.problems] == [
        ("high", "minutes", 5)
    ]


def test_the_same_id_twice_is_a_row_and_the_lower_stands(entry: Entry, write: Write) -> None:
    low, high = write(entry("drill"), layer="low"), write(entry("drill", minutes=8), layer="high")
    library = load_layers([low, high])
    assert library.drills["brush-mat"]["minutes"] == 5
    assert [row.code for row in library.problems] == ["duplicate-id"]
    assert "amends: brush-mat" in library.problems[0].hint


def test_amending_what_is_not_there_names_the_nearest(entry: Entry, write: Write) -> None:
    low = write(entry("drill"), layer="low")
    high = write({"schema": 1, "kind": "drill", "amends": "brush-matt"}, layer="high")
    rows = load_layers([low, high]).problems
    assert [(row.code, row.hint) for row in rows] == [("unknown-id", "nearest: brush-mat")]


def test_kind_and_id_must_fit_folder_and_file(entry: Entry, write: Write) -> None:
    root = write(entry("drill"), entry("cause"))
    (root / "drills" / "brush-mat.yaml").rename(root / "drills" / "other.yaml")
    (root / "causes" / "bent-low.yaml").rename(root / "drills" / "bent-low.yaml")
    library = load_layers([root])
    assert library.documents == {}
    found = {(Path(row.path).name, row.field) for row in library.problems}
    assert {("other.yaml", "id"), ("bent-low.yaml", "kind")} <= found


def test_one_bad_file_hides_no_other(entry: Entry, write: Write) -> None:
    root = write(entry("drill"), entry("cause"))
    (root / "causes" / "worse.yaml").write_text("a: [", encoding="utf-8")
    (root / "causes" / "worst.yaml").write_text("a: 1\na: 2\nb: 3\nb: 4\n", encoding="utf-8")
    library = load_layers([root])
    assert set(library.documents) == {("drill", "brush-mat"), ("cause", "bent-low")}
    assert len({row.path for row in library.problems}) == 2 and len(library.problems) == 3
    assert library.problems == sorted(library.problems)


def test_sources_of_all_layers_are_known(tmp_path: Path) -> None:
    for layer, name in (("low", "one"), ("high", "two")):
        (tmp_path / layer).mkdir()
        (tmp_path / layer / "sources.yaml").write_text(
            f"schema: 1\nkind: sources\nsources:\n  - {{id: {name}, kind: book, authors: A. Writer,"
            " title: a book, where: a press, seen: read}\n",
            encoding="utf-8",
        )
    library = load_layers([tmp_path / "high", tmp_path / "low"])
    assert library.problems == [] and list(library.sources) == ["one", "two"]


def test_a_missing_layer_is_a_row(tmp_path: Path) -> None:
    assert [row.code for row in load_layers([tmp_path / "absent"]).problems] == ["no-folder"]


def test_the_personal_folder_is_the_user_s_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    folder = personal_folder()
    assert folder.name == "library" and "arclore" in folder.parts
    assert not folder.exists()


def test_a_file_is_written_whole_and_for_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "x.yaml"
    atomic.write_text(path, "title: é\n")
    atomic.write_text(path, "title: è\n")
    assert path.read_bytes() == "title: è\n".encode()
    assert list(path.parent.iterdir()) == [path]
    if os.name == "posix":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        assert all(
            stat.S_IMODE(folder.stat().st_mode) == 0o700 for folder in (path.parent, path.parent.parent)
        )


def test_a_failed_write_leaves_the_old_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    atomic.write_text(path, "old\n")

    def fail(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="disk full"):
        atomic.write_text(path, "new\n")
    assert path.read_text(encoding="utf-8") == "old\n"
    assert list(tmp_path.iterdir()) == [path]


def test_no_layer_changes_the_safety_questions(tmp_path: Path) -> None:
    """A stranger's settings may not weaken the safety gate; the rest of the settings still counts."""
    below = load_library().settings
    lines = (BUILT_IN / "library.yaml").read_text(encoding="utf-8").replace("sore or painful today", "fine today")
    changed = lines.replace("unlisted_weight: 0.08", "unlisted_weight: 0.1")
    (tmp_path / "library.yaml").write_text(changed, encoding="utf-8")
    library = load_library(tmp_path)
    assert library.settings["safety"] == below["safety"]
    assert library.settings["unlisted_weight"] == 0.1
    assert [problem.code for problem in library.problems] == ["safety"]
