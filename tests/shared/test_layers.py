"""Shared libraries: added, listed, taken off, and laid in order under the coach's own."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest
from arclore.engine.library.stack import load_library, personal_folder
from arclore.engine.upkeep import layers
from arclore.engine.upkeep.git import GitError, _reason, clone, is_address
from arclore.tui.command.exits import Exit
from arclore.tui.command.layers import layers_of

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

COACH = "Orla Fenwick <orla@larkmoor.example>"


def test_layers_are_laid_in_the_order_in_which_they_were_added(run: Run, make: Make) -> None:
    low, high = make("larkmoor", drill("larkmoor-brush")), make("stonebeck", drill("stonebeck-brush"))
    put(high, {"kind": "drill", "amends": "larkmoor-brush", "title": "brush the grass softly"})
    own = put(personal_folder(), {"kind": "drill", "amends": "larkmoor-brush", "cue": "brush it again"})
    assert run("library", "add", low).code == run("library", "add", high).code == Exit.DONE
    assert layers_of(None) == layers.folders() == [low, high, own]
    library = load_library(*layers.folders())
    brushed = library.drills["larkmoor-brush"]
    assert (brushed["title"], brushed["cue"], brushed["minutes"]) == ("brush the grass softly", "brush it again", 5)
    document = library.documents["drill", "larkmoor-brush"]
    places = [document.origin((field,)).path.parents[1] for field in ("cue", "title", "minutes")]
    assert places == [own, high, low]
    rows = run("library", "list", "--json").json["layers"]
    assert [row["name"] for row in rows] == ["built-in", "larkmoor", "stonebeck", "personal"]
    assert [(row["adds"], row["amends"]) for row in rows[1:]] == [(1, 0), (1, 1), (0, 1)]
    assert run("library", "check", "--json").json["layers"][1:] == [str(low), str(high), str(own)]


def test_the_coachs_own_folder_is_named_before_it_is_begun(run: Run) -> None:
    assert not personal_folder().exists()
    told = run("library", "list").out.splitlines()
    assert told[2:] == ["2 personal: not begun", f"  {personal_folder()}", "Each is laid over those before it."]
    assert run("library", "list", "--json").json["layers"][-1]["there"] is False


def test_the_list_is_the_users_alone_and_written_whole(run: Run, make: Make) -> None:
    run("library", "add", make("larkmoor"))
    path = layers.settings_file()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [item.name for item in path.parent.iterdir()] == ["layers.json"]
    assert json.loads(path.read_text(encoding="utf-8"))["layers"][0]["name"] == "larkmoor"


def test_a_library_that_would_replace_the_safety_settings_is_told_and_replaces_none(run: Run, make: Make) -> None:
    folder = make("larkmoor")
    assert run("library", "add", folder).err == ""
    run("library", "remove", "larkmoor")
    with (folder / "library.yaml").open("a", encoding="utf-8") as file:
        text = "nothing to worry about at all"
        file.write(f"safety: {{questions: [any?!], stop: {text}, cautions: [none?!]}}\n".replace("?!", " at all"))
    done = run("library", "add", folder)
    assert (done.code, done.err) == (Exit.DONE, "arclore: 1 problem in larkmoor; see: arclore library check\n")
    assert "cannot change the safety questions" in run("library", "check").out
    assert load_library(folder).settings["safety"] == load_library().settings["safety"]


def test_a_folder_whose_name_no_list_can_hold_is_refused_and_spoils_nothing(run: Run, make: Make) -> None:
    run("library", "add", make("larkmoor"))
    folder = make("stonebeck")
    done = run("library", "add", folder.rename(os.fsdecode(os.fsencode(folder) + b"\xff")))
    assert (done.code, done.out, len(done.err.splitlines())) == (Exit.WRONG_USE, "", 1)
    assert "not UTF-8" in done.err
    assert [layer.name for layer in layers.read_layers()[0]] == ["larkmoor"]


def test_a_removed_library_keeps_its_files(run: Run, make: Make) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    run("library", "add", folder)
    assert run("library", "remove", "larkmoor").code == Exit.DONE
    assert layers.folders() == []
    assert (folder / "drills" / "larkmoor-brush.yaml").is_file()
    done = run("library", "remove", "larkmoor")
    assert (done.code, len(done.err.splitlines())) == (Exit.WRONG_USE, 1)


def test_a_git_address_is_cloned_and_its_links_are_not_links(run: Run, make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    (folder / "drills" / "out.yaml").symlink_to("/etc/passwd")
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, COACH)
    done = run("library", "add", f"file://{folder}", "--json")
    assert done.code == Exit.DONE
    laid = Path(done.json["folder"])
    assert laid.parent == layers.shared_home()
    assert not (laid / "drills" / "out.yaml").is_symlink()
    assert git(laid, "config", "--local", "core.symlinks").strip() == "false", "nor when it is brought up to date"
    assert "larkmoor-brush" in load_library(*layers.folders()).drills


def test_a_folder_that_others_clone_from_is_cloned_too(run: Run, make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    git(tmp_path, "init", "-q", str(folder))
    commit(folder, COACH)
    git(tmp_path, "clone", "-q", "--bare", str(folder), str(tmp_path / "shared place"))
    done = run("library", "add", tmp_path / "shared place", "--json")
    assert done.code == Exit.DONE, done.err
    assert Path(done.json["folder"]).parent == layers.shared_home()
    assert "larkmoor-brush" in load_library(*layers.folders()).drills


@pytest.mark.parametrize(
    "address",
    ["--upload-pack=touch x", "ext::sh -c true", "-u", "http://a b", "fd::17", "ext::x.git", "-x.git", "", "x"],
)
def test_an_address_that_runs_something_is_no_address(run: Run, address: str) -> None:
    assert not is_address(address)
    with pytest.raises(GitError, match="can clone safely"):
        clone(address, layers.shared_home() / "x")
    assert run("library", "add", "--", address).code == Exit.WRONG_USE
    assert not layers.settings_file().exists()


@pytest.mark.parametrize(
    ("said", "reason"),
    [
        ("fatal: '/x' is none\nfatal: Could not read\n\nPlease make sure\nand it exists.\n", "'/x' is none"),
        ("Warning: added a key\nwho@host: Permission denied\nfatal: Could not read\n", "who@host: Permission denied"),
        ("fatal: unable to connect to host:\nhost[0]: refused\n", "unable to connect to host: host[0]: refused"),
        ("hint: try again\nerror: bad signature\n", "bad signature"),
        ("\n", "git failed"),
    ],
)
def test_of_what_git_says_the_reason_is_told(said: str, reason: str) -> None:
    assert _reason(said) == reason


def test_where_nothing_can_be_cloned_one_short_line_says_why(run: Run, tmp_path: Path) -> None:
    for address in (f"file://{tmp_path}", f"file://{tmp_path}/none.git", f"https://localhost/{'a' * 5000}.git"):
        done = run("library", "add", address)
        assert (done.out, len(done.err.splitlines())) == ("", 1)
        assert done.code != Exit.DONE
        assert len(done.err) < 400
        assert "repositor" in done.err or "too long" in done.err


@pytest.mark.parametrize("address", ["https://git.example/a/b.git", "git@git.example:a/b", "ssh://git.example/a"])
def test_common_addresses_are_addresses(address: str) -> None:
    assert is_address(address)


@pytest.mark.parametrize("folder", ["~nobody-of-that-name/x", "~nobody-of-that-name"])
@pytest.mark.parametrize("action", ["add", "check", "cases", "status", "hook"])
def test_a_home_that_nobody_has_is_one_line(run: Run, action: str, folder: str) -> None:
    done = run("library", action, folder)
    assert (done.code, done.out, len(done.err.splitlines())) == (Exit.WRONG_USE, "", 1)
    assert folder in done.err


def test_a_clone_that_is_no_library_is_cleared_away(run: Run, tmp_path: Path) -> None:
    bare = tmp_path / "bare"
    bare.mkdir()
    git(tmp_path, "init", "-q", str(bare))
    (bare / "note.txt").write_text("nothing", encoding="utf-8")
    commit(bare, COACH)
    done = run("library", "add", f"file://{bare}")
    assert (done.code, "library.yaml" in done.err) == (Exit.WRONG_USE, True)
    assert list(layers.shared_home().iterdir()) == []


@pytest.mark.parametrize(
    ("one", "other", "clash"),
    [("lark", "lark-moor", True), ("lark", "larkmoor", False), ("lark", "lark", True), ("a-b", "a", True)],
)
def test_namespaces_in_which_two_ids_could_meet_are_refused(
    run: Run, make: Make, one: str, other: str, clash: bool
) -> None:
    assert run("library", "add", make("first"), "--name", "first", "--namespace", one).code == Exit.DONE
    done = run("library", "add", make("second"), "--name", "second", "--namespace", other)
    assert done.code == (Exit.WRONG_USE if clash else Exit.DONE)
    assert len(layers.read_layers()[0]) == (1 if clash else 2)


def test_an_id_outside_the_namespace_is_a_row_and_two_of_one_id_never_replace_each_other(run: Run, make: Make) -> None:
    one, two = make("larkmoor", drill("brush", cue="first")), make("stonebeck", drill("brush", cue="second"))
    run("library", "add", one)
    run("library", "add", two)
    shared = layers.read_layers()[0]
    library = layers.load(shared)
    assert library.drills["brush"]["cue"] == "first"
    assert [row.code for row in library.problems] == ["duplicate-id"]
    assert [(row.code, row.hint) for row in layers.strangers(shared, library)] == [
        ("namespace", "call it larkmoor-brush")
    ]
    assert [row["problems"] for row in run("library", "list", "--json").json["layers"]] == [0, 1, 1, 0]


@pytest.mark.parametrize("text", ["", "{", "{}", '{"schema": 1, "kind": "layers", "layers": [{"name": "A"}]}', "\x00"])
def test_a_spoiled_list_is_a_row_and_is_not_overwritten(run: Run, make: Make, text: str) -> None:
    path = layers.settings_file()
    path.parent.mkdir(parents=True)
    path.write_text(text, encoding="utf-8")
    done = run("library", "list")
    assert (done.code, "layers.json:" in done.err) == (Exit.PROBLEMS, True)
    assert run("library", "add", make("larkmoor")).code == Exit.WRONG_USE
    assert path.read_text(encoding="utf-8") == text


def test_a_folder_that_has_gone_is_told(run: Run, make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor")
    run("library", "add", folder)
    folder.rename(tmp_path / "elsewhere")
    assert "the folder is gone" in run("library", "list").out
    assert [row.code for row in load_library(*layers.folders()).problems] == ["no-folder"]


def test_only_settings_that_a_layer_really_replaces_are_told(make: Make) -> None:
    below, folder = load_library().settings, make("larkmoor")
    safety = json.dumps({**below["safety"], "stop": "carry on, there is nothing to worry about at all"})
    with (folder / "library.yaml").open("a", encoding="utf-8") as file:
        file.write(f"unlisted_weight: 0.5\nsafety: {safety}\n")
    above = load_library(folder).settings
    replaced = [name for name in below if above[name] != below[name] and name not in ("id", "title", "version")]
    assert layers.replaced_settings(folder) == replaced == ["unlisted_weight"]
