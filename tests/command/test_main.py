"""How the command ends: exit codes, one-line refusals, pipes, no terminal."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from arclore.tui.command.exits import Exit

from tests.command.running import CASES, Run, program

CASE = str(CASES / "two-clubs-opposite-sides.yaml")


def test_the_exit_codes_are_the_promised_ones() -> None:
    assert {code.name: code.value for code in Exit} == {
        "DONE": 0,
        "PROBLEMS": 1,
        "WRONG_USE": 2,
        "SAFETY_STOP": 3,
        "INTERRUPTED": 130,
    }


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        ("triag", "triage"),
        ("triage --clb driver", "--club"),
        ("triage", "case file"),
        ("triage --start left", "--club first"),
        ("triage --club drivr", "nearest: driver"),
        ("triage --club driver --start lft", "nearest: left"),
        ("triage --club driver --start left --start right", "twice"),
        ("triage --club driver --contact thin,fatt", "nearest: fat"),
        ("triage --club driver --count 1.5", "whole number"),
        ("triage --club driver --count -1e3", "whole number"),
        ("triage --handed lefty", "nearest: left"),
        ("triage --handed left --handed right", "twice"),
        ("triage --check divot-direction", "ID=RESULT"),
        ("triage --check no-such=yes", "no check"),
        ("triage --present strats-away", "nearest: starts-away"),
        ("triage --measured driver:path=-3", "nearest: path_deg"),
        ("triage --measured driver", "CLUB:QUANTITY=VALUE"),
        ("triage --measured driver:path_deg=1e999", "finite"),
        ("triage --pain --no-pain", "both"),
        ("triage --avoid knees", "--avoid"),
        (f"triage {CASE} --club driver", "case file, or"),
        (f"triage {CASE} --library nowhere", "no folder"),
        ("library", "required"),
        ("library check nowhere", "no folder"),
        (f"library check {CASE}", "it is a file: give the folder"),
        ("library check --alone", "FOLDER"),
        ("setup", "required"),
        ("setup drivr", "nearest: driver"),
        ("setup driver wedge hybrid", "one or two"),
        ("setup driver --height-cm 500", "90 to 230"),
        ("setup driver --handed both", "right, left"),
        ("--json", "--json"),
    ],
)
def test_wrong_use_is_one_line_with_what_to_do(run: Run, arguments: str, hint: str) -> None:
    done = run(*arguments.split())
    assert done.code == Exit.WRONG_USE
    assert done.out == ""
    assert done.err.count("\n") == 1
    assert hint in done.err


def test_alone_without_a_terminal_it_names_the_plain_command() -> None:
    # a full-screen program that starts in a pipe writes escape codes into it
    done = program(stdin=subprocess.DEVNULL)
    assert (done.returncode, done.stdout) == (Exit.WRONG_USE, "")
    assert "arclore triage" in done.stderr
    assert done.stderr.count("\n") == 1
    assert "\x1b" not in done.stderr


def test_a_reader_that_stops_reading_is_no_error() -> None:
    script = f"{sys.executable} -m arclore.tui predict --json | true; echo ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, timeout=60)
    assert (done.stdout.strip(), done.stderr) == ("0", "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_one_line() -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "arclore.tui", "predict"], stdout=full, stderr=subprocess.PIPE, text=True, timeout=60
        )
    assert done.returncode == Exit.PROBLEMS
    assert done.stderr.count("\n") == 1


def test_an_interrupt_says_nothing_and_ends_with_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("arclore.tui.command.library_check.checked", interrupted)
    done = run("library", "check")
    assert (done.code, done.out, done.err) == (Exit.INTERRUPTED, "", "")


def test_a_terminal_without_unicode_still_gets_text() -> None:
    done = program("triage", "--theory", "köln \u2026", "--pain", env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert done.returncode == Exit.SAFETY_STOP
    assert "Traceback" not in done.stderr
