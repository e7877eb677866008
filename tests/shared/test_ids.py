"""Ids are for ever: in the library's namespace, never used for something else, retired and not taken out."""

from __future__ import annotations

from pathlib import Path

import pytest
from arclore.engine.library.graph import build_graph
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep.changes import changes_of
from arclore.engine.upkeep.git import top as git_top
from arclore.engine.upkeep.ids import id_rows
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA = "Orla Fenwick <orla@larkmoor.example>"
BRUSH, SWEEP = drill("larkmoor-brush"), drill("larkmoor-sweep")


@pytest.fixture
def library(make: Make) -> Path:
    folder = make("larkmoor", BRUSH, SWEEP)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    return folder


def codes(folder: Path) -> tuple[list[str], list[str]]:
    problems, hints = id_rows(folder, changes_of(folder) if git_top(folder) else [])
    assert all(row.row().isprintable() for row in (*problems, *hints))
    told, hinted = ([f"{row.code} {Path(row.path).stem}" for row in rows] for rows in (problems, hints))
    return told, hinted


def test_an_id_that_was_taken_out_is_a_hint_and_one_that_came_back_as_something_else_a_problem(library: Path) -> None:
    assert codes(library) == ([], [])
    path = library / "drills" / "larkmoor-brush.yaml"
    text = path.read_text(encoding="utf-8")
    path.unlink()
    commit(library, ORLA)
    assert codes(library) == ([], ["gone-id larkmoor-brush"])
    put(library, {**BRUSH, "cue": "something else"})
    assert codes(library) == (["reused-id larkmoor-brush"], [])
    commit(library, ORLA)
    assert codes(library) == (["reused-id larkmoor-brush"], [])
    path.write_text("# back again\n" + text, encoding="utf-8")
    commit(library, ORLA)
    assert codes(library) == (["reused-id larkmoor-brush"], []), "it has stood for two things"


def test_what_comes_back_as_it_was_has_its_id(library: Path) -> None:
    path = library / "drills" / "larkmoor-brush.yaml"
    text = path.read_text(encoding="utf-8")
    path.unlink()
    commit(library, ORLA)
    path.write_text("# back again\n" + text, encoding="utf-8")
    assert codes(library) == ([], [])
    commit(library, ORLA)
    assert codes(library) == ([], [])


def test_what_was_taken_out_can_be_brought_back_and_retired_as_the_hint_says(run: Run, library: Path) -> None:
    (library / "drills" / "larkmoor-brush.yaml").unlink()
    commit(library, ORLA)
    (row,) = id_rows(library, changes_of(library))[1]
    command = row.hint.removeprefix("bring it back, ").partition(", and retire it")[0].split()
    assert command[:2] == ["git", "checkout"]
    git(library, *command[1:])
    retire = ("library", "retire", "drill", "larkmoor-brush", "--in", library, "--reason", "too hard")
    assert run(*retire, "--author", "Piers Oakley").code == Exit.DONE
    assert codes(library) == ([], [])
    commit(library, ORLA)
    assert codes(library) == ([], [])
    put(library, {**BRUSH, "cue": "something else", "retired": {"reason": "too hard"}})
    commit(library, ORLA)
    assert codes(library) == ([], []), "it changed in its life, and never came back"


def test_another_name_leaves_the_old_one_behind(library: Path) -> None:
    git(library, "mv", "drills/larkmoor-brush.yaml", "drills/larkmoor-rake.yaml")
    commit(library, ORLA)
    assert codes(library) == ([], ["gone-id larkmoor-brush"])


def test_outside_git_and_in_part_of_a_repository(make: Make, tmp_path: Path) -> None:
    inside = make("all/larkmoor", BRUSH)
    assert codes(inside) == ([], [])
    git(tmp_path, "init", "-q", str(tmp_path / "all"))
    assert codes(inside) == ([], [])
    commit(tmp_path / "all", ORLA)
    (inside / "drills" / "larkmoor-brush.yaml").unlink()
    commit(tmp_path / "all", ORLA)
    assert codes(inside) == ([], ["gone-id larkmoor-brush"])


def test_check_tells_ids_used_again_and_ids_outside_the_namespace(
    run: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (library / "drills" / "larkmoor-brush.yaml").unlink()
    commit(library, ORLA)
    put(library, {**BRUSH, "cue": "something else"}, drill("brush"))
    monkeypatch.chdir(library)
    for folder in (library, "."):
        checked = run("library", "check", folder)
        assert checked.code == Exit.PROBLEMS
        assert "larkmoor-brush.yaml:1:1: reused-id: drill 'larkmoor-brush' stood for something else" in checked.out
        assert "namespace: drill 'brush' is new here, but is not in the namespace 'larkmoor'" in checked.out


def test_a_retired_entry_still_answers_to_its_id_and_names_what_replaces_it(run: Run, library: Path) -> None:
    retire = ("library", "retire", "drill", "larkmoor-brush", "--in", library, "--author", "Orla Fenwick")
    done = run(*retire, "--reason", "the other is safer", "--replaced-by", "larkmoor-sweep")
    assert done.code == Exit.DONE
    laid = load_library(library)
    graph, rows = build_graph(laid)
    assert (laid.problems, rows) == ([], [])
    assert graph.has_edge(("drill", "larkmoor-brush"), ("drill", "larkmoor-sweep"), "replaced_by")
    shown = run("library", "show", "larkmoor-brush", "--library", library)
    assert "reason: the other is safer; replaced by: larkmoor-sweep" in " ".join(shown.out.split())
    told = run("library", "status", library, "--json").json["entries"]
    assert next((row["id"], row["status"], row["waits_for"]) for row in told) == ("larkmoor-brush", "retired", "")
