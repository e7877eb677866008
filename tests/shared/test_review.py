"""Approval is of exact content, by someone who did not write it, committed by whoever gives it."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep import review as review_module
from arclore.engine.upkeep.digest import digest
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.review import questions, read_reviews, write_review
from arclore.engine.upkeep.statuses import Status, statuses
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA, PIERS, NADIA = (
    "Orla Fenwick <orla@larkmoor.example>",
    "Piers Oakley <piers@larkmoor.example>",
    "Nadia Brandt <nadia@stonebeck.example>",
)
TODAY = date(2031, 5, 20)
BRUSH = drill("larkmoor-brush", author="Orla Fenwick")


def status_of(folder: Path, today: date = TODAY) -> Status:
    found, rows = statuses(load_layers([folder]), folder, history_of(folder), today)
    assert rows == []
    return next(status for status in found if status.id == "larkmoor-brush")


def judge(folder: Path, who: str = PIERS, verdict: str = "approve", content: Any = BRUSH, **fields: Any) -> Path:
    name, _, email = who.rstrip(">").partition(" <")
    review = {
        "schema": 1,
        "kind": "review",
        "entry": {"kind": "drill", "id": content["id"]},
        "digest": digest(content),
        "reviewer": {"name": name, "email": email},
        "date": "2031-05-01",
        "verdict": verdict,
        **({"checklist": dict.fromkeys(questions(), "yes"), "expires": "2032-05-01"} if verdict == "approve" else {}),
        **({"notes": "not yet"} if verdict != "approve" else {}),
        **fields,
    }
    path, rows = write_review(folder, review)
    assert path is not None, rows
    return path


@pytest.fixture
def library(make: Make) -> Path:
    """A committed library with one drill, by Orla."""
    folder = make("larkmoor", BRUSH)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    return folder


def test_the_way_from_unreviewed_to_retired(library: Path) -> None:
    seen = [status_of(library)]
    judge(library, NADIA, "comment")
    commit(library, NADIA)
    seen.append(status_of(library))
    judge(library)
    seen.append(status_of(library))
    commit(library, PIERS)
    seen += [status_of(library), status_of(library, date(2033, 1, 1))]
    put(library, {**BRUSH, "cue": "brush it twice"})
    seen.append(status_of(library))
    put(library, {**BRUSH, "retired": {"reason": "nobody used it"}})
    seen.append(status_of(library))
    assert [(status.status, status.waits_for) for status in seen] == [
        ("unreviewed", "reviewer"),
        ("in-review", "reviewer"),
        ("in-review", "reviewer"),
        ("approved", ""),
        ("due-again", "reviewer"),
        ("draft", "author"),
        ("retired", ""),
    ]
    assert [each.why_not for each in seen[2].reviews] == ["", "not committed"]
    assert {each.why_not for each in seen[5].reviews} == {"given to other content"}


def test_content_drops_an_approval_and_layout_and_comments_do_not(library: Path) -> None:
    judge(library)
    commit(library, PIERS)
    path = library / "drills" / "larkmoor-brush.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text("# as we do it on the lower range\n" + json.dumps(BRUSH) + "  # end\n", encoding="utf-8")
    assert status_of(library).status == "approved"
    commit(library, NADIA)
    assert status_of(library).status == "approved"
    path.write_text(text.replace('"minutes": 5', '"minutes": 6'), encoding="utf-8")
    commit(library, NADIA)
    assert status_of(library).status == "draft"
    path.write_text(text, encoding="utf-8")
    commit(library, NADIA)
    assert status_of(library).status == "approved"


def test_an_approval_of_other_content_or_another_entry_never_counts(library: Path) -> None:
    put(library, {**BRUSH, "id": "larkmoor-sweep"})
    path = judge(library, content={**BRUSH, "id": "larkmoor-sweep"})
    text = path.read_text(encoding="utf-8").replace("id: larkmoor-sweep", "id: larkmoor-brush")
    path.with_name("copied.yaml").write_text(text, encoding="utf-8")
    commit(library, PIERS)
    assert [each.why_not for each in status_of(library).reviews] == ["given to other content"]
    assert status_of(library).status == "draft"


@pytest.mark.parametrize(
    ("reviewer", "committer", "why"),
    [
        ("Fenwick, Orla <x@y.example>", "Fenwick, Orla <x@y.example>", "by an author"),
        ("O. Fenwick", "O. Fenwick <o@y.example>", "by an author"),
        ("Somebody <ORLA+golf@larkmoor.example>", "Somebody <s@y.example>", "by an author"),
        (PIERS, ORLA, "committed by Orla Fenwick"),
        (PIERS, NADIA, "committed by Nadia Brandt"),
        (PIERS, "Piers Oakley <orla@larkmoor.example>", "committed by an author"),
        (PIERS, PIERS, ""),
    ],
)
def test_who_may_approve(library: Path, reviewer: str, committer: str, why: str) -> None:
    judge(library, reviewer if "<" in reviewer else f"{reviewer} <o@y.example>")
    commit(library, committer)
    status = status_of(library)
    assert [each.why_not for each in status.reviews] == [why]
    assert status.status == ("in-review" if why else "approved")


def test_whoever_the_entry_itself_names_is_an_author(library: Path) -> None:
    together = {**BRUSH, "authors": ["P. Oakley"]}
    commit(put(library, together), ORLA)
    judge(library, PIERS, content=together)
    commit(library, PIERS)
    assert [each.why_not for each in status_of(library).reviews] == ["by an author"]


def test_whoever_changed_the_file_is_an_author_also_under_its_old_name_and_as_a_second_author(library: Path) -> None:
    put(library, {**BRUSH, "cue": "brush it twice"})
    git(library, "add", "-A")
    git(library, "commit", "-q", "-m", "change\n\nCo-authored-by: Nadia Brandt <nadia@stonebeck.example>", who=PIERS)
    git(library, "mv", "drills/larkmoor-brush.yaml", "drills/larkmoor-sweep.yaml")
    git(library, "commit", "-q", "-m", "rename", who="Ines Thorne <ines@stonebeck.example>")
    put(library, renamed := {**BRUSH, "cue": "brush it twice", "id": "larkmoor-sweep"})
    for who in (ORLA, PIERS, NADIA):
        judge(library, who, content=renamed)
        commit(library, who)
    found, _ = statuses(load_layers([library]), library, history_of(library), TODAY)
    assert {each.why_not for each in found[0].reviews} == {"by an author"}


def test_one_rejection_stands_until_its_own_reviewer_withdraws_it_and_stays_on_record(library: Path) -> None:
    judge(library, NADIA, "reject")
    commit(library, NADIA)
    judge(library)
    commit(library, PIERS)
    assert (status_of(library).status, status_of(library).waits_for) == ("in-review", "author")
    judge(library, NADIA, date="2031-05-02")
    commit(library, NADIA)
    status = status_of(library)
    assert status.status == "approved"
    assert [each.review.verdict for each in status.reviews] == ["reject", "approve", "approve"]


def test_only_listed_reviewers_count_where_the_library_lists_them(library: Path) -> None:
    judge(library)
    (library / "reviews" / "reviewers.yaml").write_text(
        "schema: 1\nkind: reviewers\nreviewers: [{name: Nadia Brandt, email: nadia@stonebeck.example}]\n",
        encoding="utf-8",
    )
    commit(library, PIERS)
    assert [(each.why_not, each.known) for each in status_of(library).reviews] == [("by an unknown reviewer", False)]
    judge(library, NADIA)
    commit(library, NADIA)
    assert status_of(library).status == "approved"
    (library / "reviews" / "reviewers.yaml").write_text("schema: 1\n", encoding="utf-8")
    commit(library, NADIA)
    found, rows = statuses(load_layers([library]), library, history_of(library), TODAY)
    assert (found[0].status, bool(rows)) == ("in-review", True)


def test_a_history_cut_short_proves_no_reviewer(library: Path, tmp_path: Path) -> None:
    changed = {**BRUSH, "minutes": 6}
    commit(put(library, changed), NADIA)
    commit(put(library, drill("larkmoor-sweep")), PIERS)
    judge(library, NADIA, content=changed)
    commit(library, NADIA)
    short = tmp_path / "short"
    git(tmp_path, "clone", "-q", "--depth", "2", f"file://{library}", str(short))  # where Nadia wrote nothing
    assert [each.why_not for each in status_of(library).reviews] == ["by an author"]
    assert [each.why_not for each in status_of(short).reviews] == [
        "the history is cut short, so its authors are not known"
    ]
    assert status_of(short).status == "in-review"


def test_a_history_that_git_cannot_read_is_not_taken_for_none(run: Run, make: Make) -> None:
    folder = make("larkmoor", BRUSH)
    judge(folder)
    assert [each.why_not for each in status_of(folder).reviews] == [
        "the library is not in git, so nobody can tell who gave it"
    ]
    (folder / ".git").write_text("gitdir: nowhere\n", encoding="utf-8")
    done = run("library", "status", folder)
    assert (done.code, len(done.err.splitlines())) == (Exit.WRONG_USE, 1)


def test_a_library_never_judges_what_lies_under_it(library: Path, make: Make) -> None:
    over = make("stonebeck")
    judge(over)
    layers = load_layers([library, over])
    assert statuses(layers, over, history_of(over), TODAY) == ([], [])
    assert statuses(layers, library, history_of(library), TODAY)[0][0].status == "unreviewed"


def test_a_date_to_come_has_no_weight(library: Path) -> None:
    judge(library, date=(TODAY + timedelta(days=1)).isoformat())
    commit(library, PIERS)
    assert [each.why_not for each in status_of(library).reviews] == ["dated in the future"]


@pytest.mark.parametrize(
    "spoil",
    [
        {"digest": "sha256:0"},
        {"digest": "md5:" + "0" * 64},
        {"checklist": {}},
        {"checklist": {**dict.fromkeys(questions(), "yes"), "safety": "no"}},
        {"expires": None},
        {"expires": "2031-02-30"},
        {"verdict": "approved"},
        {"status": "approved"},
        {"reviewer": {"name": ""}},
        {"notes": "a\u202eb"},
    ],
)
def test_a_review_out_of_shape_is_not_written(make: Make, spoil: dict[str, Any]) -> None:
    folder = make("larkmoor", BRUSH)
    sound = judge(folder)
    text = sound.read_text(encoding="utf-8")
    from ruamel.yaml import YAML

    path, rows = write_review(folder, {**dict(YAML().load(text)), **spoil})
    assert path is None
    assert rows
    assert len(list((folder / "reviews").iterdir())) == 1


def test_links_and_strays_among_reviews_are_rows(library: Path) -> None:
    path = judge(library)
    path.rename(library / "kept.yaml")
    path.symlink_to(library / "kept.yaml")
    (library / "reviews" / "note.txt").write_text("x", encoding="utf-8")
    assert [row.code for row in read_reviews(library)[2]] == ["link", "stray"]
    assert read_reviews(library)[0] == []
    path.unlink()
    (library / "kept.yaml").rename(path)
    assert len(read_reviews(library)[0]) == 1
    (library / "reviews").rename(library.parent / "elsewhere")
    (library / "reviews").symlink_to(library.parent / "elsewhere", target_is_directory=True)
    assert read_reviews(library)[0] == []


def test_more_reviews_than_anyone_writes_are_told_and_not_read(
    library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for who in (PIERS, NADIA):
        judge(library, who)
    monkeypatch.setattr(review_module, "MOST_REVIEWS", 1)
    reviews, _, rows = read_reviews(library)
    assert (len(reviews), [row.code for row in rows]) == (1, ["too-many"])


def test_the_command_writes_a_review_that_counts_and_refuses_an_author(
    run: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = [part for name in questions() for part in ("--answer", f"{name}=yes")]
    this = ("library", "review", "drill", "larkmoor-brush", "--in", library)
    refused = run(*this, "--approve", "--as", "Fenwick O", *answers)
    assert (refused.code, "someone else must approve" in refused.err) == (Exit.WRONG_USE, True)
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    unanswered = run(*this, "--approve", "--as", PIERS, *answers[:2])
    assert unanswered.code == Exit.WRONG_USE
    assert [f"--answer {name}=yes" in unanswered.err for name in questions()] == [False, True, True, True, True]
    assert run(*this, "--reject", "--as", PIERS).code == Exit.WRONG_USE
    assert run("library", "review", "drill", "larkmoor-brus", "--in", library, "--comment").code == Exit.WRONG_USE
    assert not (library / "reviews").exists()
    done = run(*this, "--approve", "--as", PIERS, *answers, "--trial", "four juniors, ten balls each")
    assert done.code == Exit.DONE, done.err
    commit(library, PIERS)
    told = run("library", "status", library, "--json").json
    validator("library-status").validate(told)
    assert [(row["id"], row["status"]) for row in told["entries"]] == [("larkmoor-brush", "approved")]
    assert told["entries"][0]["reviews"][0]["known"] is False
    assert "lists no reviewers" in run("library", "status", library).out
    assert run("library", "status", library, "--due", "--json").json["entries"] == []


def test_a_question_is_asked_again_until_its_answer_is_one_of_the_three(
    run: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = iter(["maybe", "yes", "", "YES", "both", "not", "y", "yes"])
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _: next(typed))
    done = run("library", "review", "drill", "larkmoor-brush", "--in", library, "--approve", "--as", PIERS, "--json")
    assert list(done.json["checklist"].values()) == ["yes", "yes", "not-applicable", "yes", "yes"]
    assert [line.split()[0] for line in done.err.splitlines()] == ["maybe", "nothing", "both"]

    def ended(_: str) -> str:
        raise EOFError

    monkeypatch.setattr("builtins.input", ended)
    left = run("library", "review", "drill", "larkmoor-brush", "--in", library, "--approve", "--as", PIERS)
    assert (left.code, left.out, "nothing was written" in left.err) == (Exit.WRONG_USE, "", True)
    assert len(list((library / "reviews").iterdir())) == 1


def test_an_approval_with_a_no_is_told_what_to_do_instead(run: Run, library: Path) -> None:
    answers = [item for name in questions() for item in ("--answer", f"{name}={'no' if name == 'safety' else 'yes'}")]
    done = run("library", "review", "drill", "larkmoor-brush", "--in", library, "--approve", "--as", PIERS, *answers)
    assert (done.code, len(done.err.splitlines())) == (Exit.WRONG_USE, 1)
    assert "safety is answered no" in done.err
    assert "--reject" in done.err
    assert not (library / "reviews").exists()


def test_it_is_said_whom_an_entry_waits_for(run: Run, library: Path) -> None:
    def said() -> list[str]:
        first, waits, *_ = run("library", "status", library, "--due").out.splitlines()
        return [first.removeprefix("drill larkmoor-brush: "), waits.strip()]

    assert said() == ["unreviewed", "waits for a review by anyone but Orla Fenwick"]
    listed = "schema: 1\nkind: reviewers\nreviewers: [{name: Nadia Brandt}, {name: O. Fenwick}]\n"
    (library / "reviews").mkdir()
    (library / "reviews" / "reviewers.yaml").write_text(listed, encoding="utf-8")
    commit(library, ORLA)
    assert said() == ["unreviewed", "waits for a review by Nadia Brandt"]
    judge(library, NADIA, "reject", date="2026-01-02")
    commit(library, NADIA)
    assert said() == ["in-review", "waits for its author: Orla Fenwick"]
    put(library, {**BRUSH, "minutes": 9})
    assert said() == ["draft", "waits to be committed"]
    commit(library, NADIA)
    assert said() == ["draft", "waits for a review, but everyone on the list wrote it"]
    told = run("library", "status", library, "--json").json
    validator("library-status").validate(told)
    assert (told["entries"][0]["waits_for"], told["entries"][0]["who"]) == ("reviewer", [])


def test_what_is_said_of_entries_and_their_reviews_fits_a_terminal(
    run: Run, library: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    judge(library, NADIA, "reject", notes="the brush of a broom is too hard for the mats that we have at this range")
    commit(library, NADIA)
    judge(library, date="2026-01-02")
    commit(library, ORLA)
    told = run("library", "status", library).out.splitlines()
    assert told == [
        "drill larkmoor-brush: in-review",
        "  waits for a review by anyone but Orla Fenwick",
        "  - 2026-01-02 Piers Oakley: approve; does not count: committed by Orla Fenwick",
        "  - 2031-05-01 Nadia Brandt: reject; does not count: dated in the future (the",
        "    brush of a broom is too hard for the mats that we have at this range)",
        "0 unreviewed, 0 draft, 1 in-review, 0 due-again, 0 approved, 0 retired",
        "The library lists no reviewers: anyone who is not an author may approve.",
    ]


def test_a_library_is_called_by_its_name_too(run: Run, library: Path) -> None:
    run("library", "add", library, "--name", "the-club")
    assert run("library", "status", "the-club").out == run("library", "status", library).out
    assert run("library", "status", "no-club").code == Exit.WRONG_USE
