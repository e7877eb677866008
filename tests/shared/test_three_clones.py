"""Two coaches and an academy, each with a clone on one disk: written, reviewed, in conflict, merged, handed out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep import layers
from arclore.engine.upkeep.review import questions
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA, PIERS, ACADEMY = (
    "Orla Fenwick <orla@larkmoor.example>",
    "Piers Oakley <piers@larkmoor.example>",
    "Nadia Brandt <nadia@larkmoor.example>",
)
BRUSH = drill("larkmoor-brush", author="Orla Fenwick")
SWEEP = drill("larkmoor-sweep", author="Piers Oakley")


class Club:
    """The three clones, and what each sees."""

    def __init__(self, run: Run, folder: Path) -> None:
        self.run, self.academy = run, folder
        self.orla, self.piers = folder.parent / "orla", folder.parent / "piers"
        git(folder.parent, "init", "-q", str(folder))
        commit(folder, ACADEMY, "begin")
        git(folder, "config", "receive.denyCurrentBranch", "updateInstead")
        for clone in (self.orla, self.piers):
            git(folder.parent, "clone", "-q", str(folder), str(clone))

    def sees(self, clone: Path) -> dict[str, str]:
        rows = self.run("library", "status", clone, "--json").json["entries"]
        return {row["id"].removeprefix("larkmoor-"): row["status"] for row in rows}

    def approve(self, clone: Path, name: str, who: str) -> int:
        answers = [part for question in questions() for part in ("--answer", f"{question}=yes")]
        this = ("library", "review", "drill", f"larkmoor-{name}", "--approve", "--in", clone, "--as", who)
        code = self.run(*this, *answers, "--trial", "six members, ten balls each").code
        if code == Exit.DONE:
            commit(clone, who, f"approve {name}")
        return code

    def amend(self, clone: Path, name: str, who: str, *fields: str) -> None:
        sets = [part for field in fields for part in ("--set", field)]
        this = ("library", "amend", "drill", f"larkmoor-{name}", "--in", clone, "--author", who.partition(" <")[0])
        done = self.run(*this, *sets)
        assert done.code == Exit.DONE, done.err
        commit(clone, who, f"amend {name}")

    def sync(self, clone: Path, who: str) -> str:
        """Fetch, merge and hand over; returns what git calls in conflict."""
        git(clone, "fetch", "-q", "origin")
        git(clone, "merge", "-q", "--no-edit", "origin/HEAD", who=who, fails=True)
        conflict = git(clone, "diff", "--name-only", "--diff-filter=U").strip()
        if not conflict:
            git(clone, "push", "-q", "origin", "HEAD")
        return conflict


@pytest.fixture
def club(run: Run, make: Make) -> Club:
    return Club(run, make("larkmoor"))


def test_from_two_coaches_to_an_installed_release(club: Club, run: Run, tmp_path: Path) -> None:
    # Each writes a drill, and sees the other's once both have handed over.
    commit(put(club.orla, BRUSH), ORLA)
    commit(put(club.piers, SWEEP), PIERS)
    assert club.sees(club.orla) == {"brush": "unreviewed"}
    for clone, who in ((club.orla, ORLA), (club.piers, PIERS), (club.orla, ORLA)):
        assert club.sync(clone, who) == ""
    both = {"brush": "unreviewed", "sweep": "unreviewed"}
    assert club.sees(club.orla) == club.sees(club.piers) == club.sees(club.academy) == both

    # Nobody approves their own, whichever way the name is written; each approves the other's.
    assert club.approve(club.orla, "brush", "fenwick, O. <other@elsewhere.example>") == Exit.WRONG_USE
    assert club.approve(club.orla, "sweep", ORLA) == club.approve(club.piers, "brush", PIERS) == Exit.DONE
    assert club.sees(club.orla) == {"brush": "unreviewed", "sweep": "approved"}
    assert club.sees(club.piers) == {"brush": "approved", "sweep": "unreviewed"}
    for clone, who in ((club.orla, ORLA), (club.piers, PIERS), (club.orla, ORLA)):
        assert club.sync(clone, who) == ""
    assert club.sees(club.academy) == club.sees(club.orla) == {"brush": "approved", "sweep": "approved"}

    # Both change the same drill: the approval drops in each clone, git shows the conflict, and no version is lost.
    club.amend(club.orla, "brush", ORLA, "cue=brush it from Orla")
    club.amend(club.piers, "brush", PIERS, "cue=brush it from Piers", "minutes=9")
    assert club.sees(club.orla)["brush"] == club.sees(club.piers)["brush"] == "draft"
    assert club.sync(club.orla, ORLA) == ""
    assert club.sync(club.piers, PIERS) == "drills/larkmoor-brush.yaml"
    torn = (club.piers / "drills" / "larkmoor-brush.yaml").read_text(encoding="utf-8")
    assert "from Orla" in torn
    assert "from Piers" in torn
    checked = run("library", "check", club.piers)
    assert checked.code == Exit.PROBLEMS
    assert "conflict: two versions stand here side by side" in checked.out
    told = run("library", "status", club.piers)
    assert "brush" not in club.sees(club.piers)
    assert (told.code, "larkmoor-brush.yaml" in told.err, "conflict: " in told.err) == (Exit.PROBLEMS, True, True)
    validator("library-status").validate(run("library", "status", club.piers, "--json").json)
    merged: dict[str, Any] = {**BRUSH, "minutes": 9, "cue": "brush it, both say", "authors": ["Piers Oakley"]}
    put(club.piers, merged)
    commit(club.piers, PIERS, "merge")
    assert club.sync(club.piers, PIERS) == ""
    assert club.sync(club.orla, ORLA) == ""
    log = git(club.orla, "log", "--all", "-p", "--format=")
    assert "from Orla" in log
    assert "from Piers" in log

    # Now both are its authors, so that only the academy can approve it; the old approval stays on record.
    assert club.sees(club.academy) == {"brush": "draft", "sweep": "approved"}
    assert club.approve(club.orla, "brush", ORLA) == club.approve(club.piers, "brush", PIERS) == Exit.WRONG_USE
    assert club.approve(club.academy, "brush", ACADEMY) == Exit.DONE
    told = run("library", "status", club.academy, "--json").json["entries"][0]
    assert [(row["reviewer"], row["why_not"]) for row in told["reviews"]] == [
        (PIERS, "given to other content"),
        (ACADEMY, ""),
    ]
    assert club.sync(club.orla, ORLA) == ""
    assert club.sees(club.orla) == {"brush": "approved", "sweep": "approved"}

    # What the academy hands out is what a coach elsewhere installs, and ranks with.
    path = tmp_path / "larkmoor.zip"
    made = run("library", "release", club.academy, "--to", path, "--json").json
    assert made["counts"] == {"approved": 2}
    done = run("library", "install", path, "--digest", made["digest"], "--json")
    assert done.code == Exit.DONE, done.err
    assert club.sees(Path(done.json["place"])) == {"brush": "approved", "sweep": "approved"}
    library = load_library(*layers.folders())
    assert library.drills["larkmoor-brush"]["cue"] == "brush it, both say"
    assert library.problems == []
