"""What a case file may hold, and what every spoilt one gets: rows with a place, exit code 1, no traceback."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path

import pytest
from arclore.tui.command.case_input import read_case
from arclore.tui.command.exits import Exit

from tests.command.running import CASES, Run

ROW = re.compile(r"[^\n]+:\d+:\d+: [a-zA-Z-]+: .+")
SPOILT = {
    "empty": "",
    "only a comment": "# nothing",
    "a list": "- handed: right",
    "a word": "driver",
    "a number": "3",
    "null": "null",
    "two documents": "handed: right\n---\nhanded: left",
    "a repeated key": "handed: right\nhanded: left",
    "an anchor": "handed: &a right",
    "an alias": "handed: &a right\nlevel: *a",
    "a tag": "handed: !!str right",
    "a python tag": "!!python/object/apply:os.system ['true']",
    "a merge": "<<: {handed: right}",
    "a directive": "%YAML 1.1\n---\nhanded: right",
    "a tab": "shots:\n\t- {club: driver}",
    "bad indentation": "shots:\n  - club: driver\n start: left",
    "an open bracket": "shots: [{club: driver}",
    "an open quote": 'words: "never closed',
    "a byte order mark inside": "handed: right\n\ufefflevel: novice",
    "a control character": "words: 'a\x1b[31mb'",
    "a direction override": "words: 'a\u202eb'",
    "a zero-width space": "handed: ri\u200bght",
    "a number as key": "1: right",
    "a key that is a list": "[a]: right",
    "an unknown field": "handd: right",
    "an unknown field of a shot": "shots: [{club: driver, strat: left}]",
    "handed unknown word": "handed: lefty",
    "handed null": "handed: null",
    "handed list": "handed: [right]",
    "level wrong": "level: pro",
    "shots a mapping": "shots: {club: driver}",
    "shots a word": "shots: driver",
    "a shot that is a word": "shots: [driver]",
    "a shot that is null": "shots: [null]",
    "no club": "shots: [{start: left}]",
    "club a number": "shots: [{club: 7}]",
    "club empty": "shots: [{club: ''}]",
    "start true": "shots: [{club: driver, start: true}]",
    "start a side of the library": "shots: [{club: driver, start: toward}]",
    "bend wrong": "shots: [{club: driver, curve: left, bend: big}]",
    "contact wrong": "shots: [{club: driver, contact: chunky}]",
    "contact null": "shots: [{club: driver, contact: null}]",
    "contact twice": "shots: [{club: driver, contact: [thin, thin]}]",
    "turf wrong": "shots: [{club: driver, turf: [up]}]",
    "count zero": "shots: [{club: driver, count: 0}]",
    "count negative": "shots: [{club: driver, count: -5}]",
    "count half": "shots: [{club: driver, count: 2.5}]",
    "count huge": "shots: [{club: driver, count: 1e300}]",
    "count infinite": "shots: [{club: driver, count: .inf}]",
    "count not a number": "shots: [{club: driver, count: .nan}]",
    "count with underscores": "shots: [{club: driver, count: 1_0}]",
    "how often wrong": "shots: [{club: driver, how_often: usually}]",
    "pain null": "pain: null",
    "pain a word": "pain: yes",
    "pain a number": "pain: 1",
    "present a word": "present: starts-away",
    "present unknown": "present: [no-such-symptom]",
    "absent not an id": "absent: ['../../etc/passwd']",
    "unsure a number": "unsure: [1]",
    "checks a list": "checks: [divot-direction]",
    "checks unknown": "checks: {no-such-check: yes}",
    "checks null": "checks: {divot-direction: null}",
    "checks wrong result": "checks: {ball-position-ladder: maybe}",
    "measured unknown": "measured: [{club: driver, quantity: smash, value: 1}]",
    "measured no value": "measured: [{club: driver, quantity: path_deg}]",
    "measured out of range": "measured: [{club: driver, quantity: path_deg, value: 900}]",
    "measured sd zero": "measured: [{club: driver, quantity: path_deg, value: 1, error_sd: 0}]",
    "avoid unknown": "avoid: [knees]",
    "theories a word": "theories: over the top",
    "words a list": "words: [a]",
    "words a number": "words: 12",
    "club unknown": "shots: [{club: drivr}]",
    "club of markup": "shots: [{club: '[@click=app.quit]'}]",
    "case a list": "case: [1]",
    "case null": "case: null",
    "case spoilt inside": "asker: x\ncase:\n  handed: lefty",
    "deep": "case: " + "[" * 100 + "]" * 100,
    "sixty-one shots": "shots:\n" + "  - {club: driver}\n" * 61,
}


def test_there_are_enough_spoilt_cases() -> None:
    assert len(SPOILT) >= 60


@pytest.mark.parametrize("text", SPOILT.values(), ids=SPOILT)
def test_a_spoilt_case_is_refused_by_rows_with_a_place(run: Run, tmp_path: Path, text: str) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(text, encoding="utf-8")
    done = run("triage", str(path), "--json")
    assert (done.code, done.out) == (Exit.PROBLEMS, "")
    rows = done.err.splitlines()
    assert rows
    for row in rows:
        assert ROW.fullmatch(row), row
        assert len(row) <= 300
        assert row.isprintable()


@pytest.mark.parametrize(
    ("text", "place", "hint"),
    [
        ("handed: right\nshots:\n  - {club: driver, start: lft}", ":3:20:", "nearest: left"),
        ("asker: x\ncase:\n  pain: null", ":3:3:", "true or false"),
        ("shots:\n  - club: drivr", ":2:5:", "nearest: driver"),
        ("shots: []\nchecks:\n  tee-laddr: gone", ":3:3:", "nearest: tee-ladder"),
        ("present:\n  - strats-away", ":2:5:", "nearest: starts-away"),
        ("checks: {tee-ladder: maybe}", ":1:10:", "known: gone, stays"),
    ],
)
def test_the_row_points_at_the_word(run: Run, tmp_path: Path, text: str, place: str, hint: str) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(text, encoding="utf-8")
    err = run("triage", str(path)).err
    assert place in err
    assert hint in err


def test_all_problems_are_told_at_once(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("handed: lefty\nlevel: pro\nshots: [{club: driver, start: lft, bend: big}]", encoding="utf-8")
    assert len(run("triage", str(path)).err.splitlines()) == 4


@pytest.mark.parametrize("path", sorted(CASES.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_shapes_in_use_are_accepted(path: Path) -> None:
    document, problems = read_case(str(path))
    assert problems == []
    assert document is not None


def test_one_word_stands_for_a_list_of_one() -> None:
    document, _ = read_case(str(CASES / "as-told-in-a-letter.yaml"))
    assert document is not None
    assert document.value["shots"][0]["contact"] == ["thin"]
    assert document.value["shots"][2]["turf"] == ["none"]


def test_a_measured_club_is_a_club_of_the_case() -> None:
    document, _ = read_case(str(CASES / "checks-done.yaml"))
    assert document is not None
    assert document.value["shots"][-1] == {"club": "7-iron"}


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"\x80" * 10, b"words: caf\xe9"])
def test_bytes_that_are_no_text_are_a_row(run: Run, monkeypatch: pytest.MonkeyPatch, data: bytes) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data), encoding="utf-8"))
    done = run("triage", "-")
    assert done.code == Exit.PROBLEMS
    assert "<stdin>:1:" in done.err
    assert "UTF-8" in done.err


@pytest.mark.parametrize("name", ["no-such-file.yaml", ".", "x" * 5000])
def test_a_file_that_cannot_be_read_is_a_row(run: Run, name: str) -> None:
    done = run("triage", name)
    assert done.code == Exit.PROBLEMS
    assert ROW.fullmatch(done.err.rstrip("\n"))
