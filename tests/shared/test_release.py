"""A release holds what has come far enough, says what changed, and is refused where anything in it was changed."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep import layers
from arclore.engine.upkeep.archive import read_archive, write_archive
from arclore.engine.upkeep.digest import digest
from arclore.engine.upkeep.review import questions, write_review
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA, PIERS = "Orla Fenwick <orla@larkmoor.example>", "Piers Oakley <piers@larkmoor.example>"
BRUSH, SWEEP = (drill(f"larkmoor-{name}", author="Orla Fenwick") for name in ("brush", "sweep"))


def approve(folder: Path, entry: dict[str, Any], who: str = PIERS) -> None:
    """Approve an entry today and commit the review."""
    name, _, email = who.rstrip(">").partition(" <")
    review = {
        "schema": 1,
        "kind": "review",
        "entry": {"kind": entry["kind"], "id": entry["id"]},
        "digest": digest(entry),
        "reviewer": {"name": name, "email": email},
        "date": date.today().isoformat(),
        "verdict": "approve",
        "checklist": dict.fromkeys(questions(), "yes"),
        "expires": date.today().replace(year=date.today().year + 1, day=1).isoformat(),
    }
    assert write_review(folder, review)[1] == []
    commit(folder, who)


@pytest.fixture
def library(make: Make) -> Path:
    """A committed library of three drills: one approved, one not, one retired."""
    old = drill(
        "larkmoor-old", author="Orla Fenwick", retired={"reason": "too long", "replaced_by": ["larkmoor-brush"]}
    )
    folder = make("larkmoor", BRUSH, SWEEP, old)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    approve(folder, BRUSH)
    return folder


RELEASES: list[dict[str, bytes]] = []  # made once: making one takes longer than most of what is tested with it


@pytest.fixture
def released(run: Run, library: Path, tmp_path: Path) -> Path:
    path = tmp_path / "larkmoor.zip"
    if RELEASES:
        write_archive(path, RELEASES[0])
        return path
    done = run("library", "release", library, "--to", path)
    assert done.code == Exit.DONE, done.err
    RELEASES.append(read_archive(path))
    return path


def test_only_what_has_come_far_enough_is_handed_out(run: Run, library: Path, released: Path, tmp_path: Path) -> None:
    files = read_archive(released)
    record = json.loads(files["release.json"])
    validator("release").validate(record)
    assert {row["id"]: row["status"] for row in record["entries"]} == {
        "larkmoor-brush": "approved",
        "larkmoor-old": "retired",
    }
    assert "drills/larkmoor-sweep.yaml" not in files
    assert "**2 added**" in files["CHANGES.md"].decode()
    more = tmp_path / "more.zip"
    done = run("library", "release", library, "--to", more, "--least", "unreviewed", "--since", "HEAD", "--json")
    assert done.json["counts"] == {"approved": 1, "retired": 1, "unreviewed": 1}
    assert "No entry differs." in read_archive(more)["CHANGES.md"].decode()
    refused = run("library", "release", library, "--to", more)
    assert (refused.code, len(refused.err.splitlines())) == (Exit.WRONG_USE, 1)
    assert "is there already, and is not overwritten" in refused.err


def test_changes_since_a_release_are_those_that_its_users_see(
    run: Run, library: Path, released: Path, tmp_path: Path
) -> None:
    settings = library / "library.yaml"
    settings.write_text(settings.read_text(encoding="utf-8").replace("1.0.0", "1.1.0"), encoding="utf-8")
    commit(library, ORLA)
    approve(library, SWEEP)  # it was there, and was not handed out
    since, told = tmp_path / "since.zip", tmp_path / "revision.zip"
    assert run("library", "release", library, "--to", since, "--since", released).code == Exit.DONE
    assert run("library", "release", library, "--to", told, "--since", "HEAD").code == Exit.DONE
    changes = read_archive(since)["CHANGES.md"].decode()
    assert changes.startswith("### From larkmoor 1.0.0 to larkmoor 1.1.0\n")
    assert "**1 added**\n\n- drill larkmoor-sweep:" in changes
    assert read_archive(told)["CHANGES.md"].decode() == "### From HEAD to larkmoor 1.1.0\n\nNo entry differs.\n"
    assert run("library", "release", library, "--to", tmp_path / "x.zip", "--since", settings).code == Exit.PROBLEMS


def test_two_releases_of_one_version_are_told_apart(run: Run, library: Path, released: Path, tmp_path: Path) -> None:
    again = tmp_path / "again.zip"
    assert run("library", "release", library, "--to", again, "--least", "unreviewed").code == Exit.DONE
    assert run("library", "install", released).code == Exit.DONE
    done = run("library", "install", again)
    assert (done.code, done.out) == (Exit.PROBLEMS, "")
    assert "larkmoor 1.0.0 is there already, and holds something else" in done.err
    assert "raise the version" in done.err


@pytest.mark.parametrize("action", ["verify", "install"])
def test_without_a_digest_it_is_said_what_nobody_verified(run: Run, released: Path, action: str) -> None:
    unsure = run("library", action, released)
    assert (unsure.code, len(unsure.err.splitlines())) == (Exit.DONE, 1)
    assert "nothing shows who made it" in unsure.err
    digest = unsure.out.splitlines()[1].removeprefix("digest ")
    assert run("library", "verify", released, "--digest", digest).err == ""


def test_an_installed_release_is_laid_and_shows_the_same_statuses(run: Run, library: Path, released: Path) -> None:
    told = run("library", "verify", released, "--json").json
    done = run("library", "install", released, "--digest", told["digest"], "--json")
    assert done.code == Exit.DONE, done.err
    folder = Path(done.json["place"])
    assert layers.folders() == [folder]
    assert {"larkmoor-brush", "larkmoor-old"} <= load_library(*layers.folders()).drills.keys()
    rows = run("library", "status", folder, "--json").json["entries"]
    assert {row["id"]: row["status"] for row in rows} == {"larkmoor-brush": "approved", "larkmoor-old": "retired"}
    put(folder, harder := {**BRUSH, "cue": "brush it hard"})
    rows = run("library", "status", folder, "--json").json["entries"]
    assert rows[0]["status"] == "draft"
    (review,) = (folder / "reviews").glob("*brush*")
    forged = review.read_text(encoding="utf-8").replace(digest(BRUSH), digest(harder))
    review.write_text(forged, encoding="utf-8")
    (row,) = run("library", "status", folder, "--json").json["entries"][0]["reviews"]
    assert row["why_not"] == "not in the release"
    again = run("library", "install", released)
    assert (again.code, "holds something else" in again.err) == (Exit.PROBLEMS, True)


def test_waivers_go_with_the_entries_they_are_about(run: Run, library: Path, tmp_path: Path) -> None:
    said = {"waives": "near-duplicate", "kind": "drill", "reason": "kept until spring", "author": "Orla Fenwick"}
    rows = [{**said, "entry": entry["id"], "until": "9999-12-31"} for entry in (BRUSH, SWEEP)]
    text = json.dumps({"schema": 1, "kind": "waivers", "waivers": rows})
    (library / "waivers.yaml").write_text(text, encoding="utf-8")
    commit(library, ORLA)
    path = tmp_path / "larkmoor.zip"
    done = run("library", "release", library, "--to", path)
    assert done.code == Exit.DONE, done.err
    kept = json.loads(read_archive(path)["waivers.yaml"])["waivers"]
    assert [row["entry"] for row in kept] == [BRUSH["id"]]


def test_a_record_that_was_only_put_there_is_not_taken_at_its_word(run: Run, released: Path, tmp_path: Path) -> None:
    def seen(folder: Path) -> dict[str, str]:
        rows = run("library", "status", folder, "--json").json["entries"]
        return {row["id"]: row["status"] for row in rows}

    with zipfile.ZipFile(released) as packed:
        packed.extractall(tmp_path / "by-hand")
    assert seen(tmp_path / "by-hand")["larkmoor-brush"] == "in-review"
    git(tmp_path, "init", "-q", str(tmp_path / "by-hand"))
    commit(tmp_path / "by-hand", ORLA)
    assert seen(tmp_path / "by-hand")["larkmoor-brush"] == "in-review"
    assert run("library", "add", f"file://{tmp_path / 'by-hand'}").code == Exit.DONE
    assert seen(layers.folders()[0])["larkmoor-brush"] == "in-review"


def test_settings_that_a_release_replaces_are_told(run: Run, library: Path, tmp_path: Path) -> None:
    with (library / "library.yaml").open("a", encoding="utf-8") as file:
        file.write("unlisted_weight: 0.5\n")
    commit(library, ORLA)
    target = tmp_path / "settings.zip"
    assert run("library", "release", library, "--to", target).code == Exit.DONE
    assert "replaces settings of the built-in library for every lesson: unlisted_weight" in run(
        "library", "install", target).err  # fmt: skip


def test_a_release_that_was_laid_before_can_be_laid_again(run: Run, released: Path, tmp_path: Path) -> None:
    folder = Path(run("library", "install", released, "--json").json["place"])
    again = run("library", "install", released)
    assert (again.code, "arclore library remove larkmoor" in again.err) == (Exit.PROBLEMS, True)
    assert layers.folders() == [folder]
    assert run("library", "remove", "larkmoor").code == run("library", "install", released).code == Exit.DONE
    assert layers.folders() == [folder]
    assert run("library", "remove", "larkmoor").code == Exit.DONE
    (folder / "drills" / "more").symlink_to(tmp_path, target_is_directory=True)
    assert run("library", "install", released).code == Exit.PROBLEMS
    assert layers.folders() == []
    assert (folder / "drills" / "larkmoor-brush.yaml").is_file()


Spoil = Callable[[dict[str, bytes]], None]


def _entry(files: dict[str, bytes]) -> None:
    files["drills/larkmoor-brush.yaml"] = files["drills/larkmoor-brush.yaml"].replace(b"brush", b"crush")


def _extra(files: dict[str, bytes]) -> None:
    files["drills/larkmoor-extra.yaml"] = files["drills/larkmoor-brush.yaml"]


def _missing(files: dict[str, bytes]) -> None:
    del files["drills/larkmoor-brush.yaml"]


def _recorded(change: Callable[[dict[str, Any]], None]) -> Spoil:
    def spoil(files: dict[str, bytes]) -> None:
        record = json.loads(files["release.json"])
        change(record)
        files["release.json"] = json.dumps(record).encode()

    return spoil


def _all_by(record: dict[str, Any], writers: list[str]) -> None:
    for row in record["files"]:
        row["writers"] = writers


def _forged(files: dict[str, bytes]) -> None:
    """Content changed, and the record made to fit, but for the approval of what it was."""
    import hashlib

    _entry(files)
    record = json.loads(files["release.json"])
    row = next(row for row in record["files"] if row["path"] == "drills/larkmoor-brush.yaml")
    row["sha256"] = hashlib.sha256(files["drills/larkmoor-brush.yaml"]).hexdigest()
    record["entries"][0]["digest"] = digest(json.loads(files["drills/larkmoor-brush.yaml"]))
    files["release.json"] = json.dumps(record).encode()


SPOILT: list[tuple[str, Spoil]] = [
    ("an entry", _entry),
    ("a file more", _extra),
    ("a file less", _missing),
    ("no record", lambda files: files.pop("release.json") and None),
    ("a record that is no JSON", lambda files: files.update({"release.json": b"{"})),
    ("a deep record", lambda files: files.update({"release.json": b"[" * 200_000})),
    ("a record that is a list", lambda files: files.update({"release.json": b"[]"})),
    ("an empty record", _recorded(lambda record: record.clear())),
    ("a version out of shape", _recorded(lambda record: record.update(version="../../x"))),
    ("another version", _recorded(lambda record: record.update(version="9.9.9"))),
    ("another id", _recorded(lambda record: record.update(id="stonebeck"))),
    ("a raised status", _recorded(lambda record: record["entries"][1].update(status="approved"))),
    ("another content's digest", _recorded(lambda record: record["entries"][0].update(digest="sha256:" + "0" * 64))),
    ("the reviewer as writer of all", _recorded(lambda record: _all_by(record, [PIERS]))),
    ("no writer of anything", _recorded(lambda record: _all_by(record, []))),
    ("content under an old approval", _forged),
]


@pytest.mark.parametrize(("name", "spoil"), SPOILT, ids=[name for name, _ in SPOILT])
def test_a_spoilt_release_is_refused_and_leaves_nothing(
    run: Run, released: Path, tmp_path: Path, name: str, spoil: Spoil
) -> None:
    files = read_archive(released)
    spoil(files)
    spoilt = tmp_path / "spoilt.zip"
    write_archive(spoilt, files)
    done = run("library", "install", spoilt)
    assert done.code == Exit.PROBLEMS, name
    assert done.out == ""
    assert layers.read_layers() == ([], [])
    assert not layers.shared_home().exists() or list(layers.shared_home().iterdir()) == []


def test_a_history_cut_short_is_not_handed_out(run: Run, library: Path, tmp_path: Path) -> None:
    short = tmp_path / "short"
    git(tmp_path, "clone", "-q", "--depth", "1", f"file://{library}", str(short))
    done = run("library", "release", short, "--to", tmp_path / "x.zip", "--least", "unreviewed")
    assert (done.code, "fetch it whole" in done.err, (tmp_path / "x.zip").exists()) == (Exit.PROBLEMS, True, False)


def test_another_digest_than_was_told_is_refused(run: Run, released: Path) -> None:
    done = run("library", "install", released, "--digest", "sha256:" + "0" * 64)
    assert (done.code, "do not install" in done.err) == (Exit.PROBLEMS, True)


def test_what_does_not_stand_by_itself_or_is_not_committed_is_not_handed_out(
    run: Run, library: Path, tmp_path: Path
) -> None:
    target = tmp_path / "x.zip"
    put(library, again := {**BRUSH, "harder_drill": "larkmoor-sweep"})
    commit(library, ORLA)
    approve(library, again)
    done = run("library", "release", library, "--to", target)
    assert (done.code, "no drill 'larkmoor-sweep'" in done.err) == (Exit.PROBLEMS, True)
    put(library, {**SWEEP, "cue": "sweep it"})
    done = run("library", "release", library, "--to", target, "--least", "draft")
    assert (done.code, "commit it first" in done.err) == (Exit.PROBLEMS, True)
    assert not target.exists()
