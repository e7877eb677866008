"""A new entry asked for at a terminal: each answer is checked, and what is left for later stands in the file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from arclore.engine.library.read import read_yaml
from arclore.engine.library.schema import check
from arclore.tui.command import library_questions
from arclore.tui.command.exits import Exit

from tests.command.running import Ran, Run
from tests.shared.conftest import Make

Asked = Callable[..., Ran]
ANSWERS = [
    *("the club brushes the grass", "estimate", "none", "mid-iron", "", "stands-too-close", ""),
    *("low_point_cm", "more", "8", "Swing slowly, ten times.", "Brush the same spot.", ""),
    *("2", "10", "no", "7", "10", "brushes of the same spot", "a shorter swing", "eyes closed"),
    *("none", "mat", "grass", "", "3", "none", "none", "Stop at any pain.", "", "brush the same spot"),
    *("outside-the-body", "every other swing without the mark", "ten brushes without a mark"),
]  # fmt: skip


@pytest.fixture
def asked(run: Run, make: Make, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Start a drill at a terminal where these lines are typed, then Ctrl-D."""
    folder = make("larkmoor")

    def ask(*lines: str, kind: str = "drill") -> Ran:
        typed: Iterator[str] = iter(lines)

        def answer(prompt: str = "") -> str:
            try:
                return next(typed)
            except StopIteration:
                raise EOFError from None

        monkeypatch.setattr("builtins.input", answer)
        monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
        return run("library", "new", kind, "larkmoor-brush", "--in", folder, "--author", "Orla Fenwick")

    return ask


def written(done: Ran) -> Path:
    return Path(done.out.splitlines()[0].removeprefix("written: "))


def test_every_question_answered_is_a_sound_entry(asked: Asked) -> None:
    done = asked(*ANSWERS)
    assert (done.code, "still to fill in" in done.out) == (Exit.DONE, False), done.out + done.err
    document, rows = read_yaml(written(done))
    assert document is not None
    assert (rows, check(document, "drill")) == ([], [])
    assert document.value["steps"] == ["Swing slowly, ten times.", "Brush the same spot."]
    assert document.value["dose"] == {"sets": 2, "repetitions": 10, "with_ball": False}
    assert (document.value["kit"], document.value["where"]) == ([], ["mat", "grass"])


def test_a_wrong_answer_is_explained_and_asked_for_again(asked: Asked) -> None:
    done = asked("x", "the grip turns to the left", *ANSWERS[:1], "estimat", *ANSWERS[1:3], "mid-irn", *ANSWERS[3:])
    assert (done.code, "still to fill in" in done.out) == (Exit.DONE, False), done.out + done.err
    for said in ("title: ", "nearest: estimate", "nearest: mid-iron"):
        assert said in done.err


def test_what_is_left_for_later_stands_in_the_file_as_a_comment(asked: Asked) -> None:
    done = asked("", "estimate")
    text = written(done).read_text(encoding="utf-8")
    assert "kind: estimate" in text
    assert "# title: text" in text
    assert "still to fill in: the field 'title' is missing" in done.out


def test_parts_of_parts_are_asked_for(asked: Asked) -> None:
    look = ("it is looked at", "estimate", "none", "driver", "", "2", "none", "mat", "", "Look from the side.", "")
    results = ("bent", "it is bent", "posture", "flat", "it is flat", "something else", "")
    done = asked(*look, "Is the back bent?", *results, "likelihood", kind="check")
    document, _ = read_yaml(written(done))
    assert document is not None
    assert [row["id"] for row in document.value["results"]] == ["bent", "flat"]
    assert "the field 'likelihood' is missing" in done.out


def test_nobody_is_asked_where_nobody_can_answer(run: Run, make: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(library_questions, "ask", lambda *_: pytest.fail("asked"))
    monkeypatch.setattr("sys.stdin.isatty", lambda: False, raising=False)
    done = run("library", "new", "drill", "larkmoor-brush", "--in", make("larkmoor"), "--author", "Orla Fenwick")
    assert done.code == Exit.DONE
