"""A judgement is kept as it was given; whoever takes one out or changes another's is told, and wins nothing by it."""

from __future__ import annotations

from pathlib import Path

import pytest
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.statuses import statuses
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, git
from tests.shared.test_review import BRUSH, NADIA, ORLA, PIERS, TODAY, judge


@pytest.fixture
def library(make: Make) -> Path:
    """A drill of Orla's that Nadia rejects and Piers approves."""
    folder = make("larkmoor", BRUSH)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    for who, verdict in ((NADIA, "reject"), (PIERS, "approve")):
        judge(folder, who, verdict, date="2026-01-02", **({"expires": "2090-01-02"} if verdict == "approve" else {}))
        commit(folder, who)
    return folder


def seen(folder: Path) -> tuple[str, list[str]]:
    found, rows = statuses(load_layers([folder]), folder, history_of(folder), TODAY)
    return found[0].status, [row.row() for row in rows]


def rejection(folder: Path) -> Path:
    return next(path for path in (folder / "reviews").iterdir() if "nadia" in path.name)


def test_a_rejection_that_is_taken_out_is_told_and_nothing_is_handed_out(run: Run, library: Path) -> None:
    assert seen(library) == ("in-review", [])
    path = rejection(library)
    text = path.read_bytes()
    path.unlink()
    assert "a review was taken out, and judgements are kept" in seen(library)[1][0]
    commit(library, ORLA)
    assert len(seen(library)[1]) == 1
    for action in (("status",), ("check",), ("release",)):
        done = run("library", *action, library)
        assert done.code == Exit.PROBLEMS
        assert "spoiled-review" in done.out + done.err
    path.write_bytes(text)
    commit(library, ORLA)
    assert seen(library) == ("in-review", []), "brought back as it was, it stands for her who gave it"


CHANGES = [("verdict: reject", "verdict: comment"), ("not yet", "fine"), ("schema: 1", "schema: 1 ")]


@pytest.mark.parametrize("old_new", CHANGES)
def test_a_rejection_changed_by_another_still_stands_in_the_way(library: Path, old_new: tuple[str, str]) -> None:
    path = rejection(library)
    path.write_text(path.read_text(encoding="utf-8").replace(*old_new), encoding="utf-8")
    commit(library, ORLA)
    status, rows = seen(library)
    assert status == "in-review"
    assert "was changed by someone other than its reviewer" in rows[0]
    git(library, "revert", "--no-edit", "HEAD", who=PIERS)
    assert seen(library) == ("in-review", [])


def test_its_own_reviewer_may_add_to_it_and_anyone_may_move_it(library: Path) -> None:
    path = rejection(library)
    path.write_text(path.read_text(encoding="utf-8") + "# I looked again\n", encoding="utf-8")
    commit(library, NADIA)
    assert seen(library) == ("in-review", [])
    git(library, "mv", str(path), str(path.with_name("drill.larkmoor-brush.900.moved.yaml")))
    commit(library, ORLA)
    assert seen(library)[1] == []


def test_the_list_of_reviewers_may_be_changed_by_anyone_who_may_commit(library: Path) -> None:
    for names in ("[{name: Nadia Brandt}]", "[{name: Nadia Brandt}, {name: Piers Oakley}]"):
        text = f"schema: 1\nkind: reviewers\nreviewers: {names}\n"
        (library / "reviews" / "reviewers.yaml").write_text(text, encoding="utf-8")
        commit(library, PIERS if "Piers" in names else NADIA)
    assert seen(library)[1] == []


def test_an_approval_that_an_author_brought_in_under_anothers_name_does_not_count(run: Run, make: Make) -> None:
    folder = make("larkmoor", BRUSH)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    judge(folder, PIERS, date="2026-01-02", expires="2090-01-02")
    git(folder, "add", "-A", ".")
    git(folder, "commit", "-q", "-m", "forged", f"--author={PIERS}", who=ORLA)
    found, _ = statuses(load_layers([folder]), folder, history_of(folder), TODAY)
    assert [(each.status, each.reviews[0].why_not) for each in found] == [("in-review", "committed by an author")]
    target = folder.parent / "x.zip"
    made = run("library", "release", folder, "--least", "in-review", "--to", target, "--json")
    assert made.json["counts"] == {"in-review": 1}, made.err
    assert run("library", "verify", target).code == Exit.DONE
    git(folder, "commit", "-q", "--amend", "--no-edit", who=NADIA)
    found, _ = statuses(load_layers([folder]), folder, history_of(folder), TODAY)
    assert found[0].status == "approved", "someone who did not write it may carry it in"
