"""From a key to the repainted ranking: the real desk with the real library in a terminal, by the desk's own trace.

Lessons of twelve answers, at the pace of a coach who reads the next question before the next key, and what a coach may
do besides. The next question follows the ranking; the explanation (reasons, what the club did, drills) comes after both
and is measured apart. While balls are counted or words typed, their sheet covers the ranking that is painted below it.
"""

from __future__ import annotations

import json
import re
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from tests.desk.terminal import Terminal

RUN = "import sys; from arclore.tui.command import main; sys.exit(main([]))"
SIZE = (120, 40)
PACE_S = 1.0  # between what stands on the screen and the next key; nobody reads a question faster
STEP_S = 0.1  # between steps from question to question
SHOWN = ("ranking", "question", "explanation")
SAFE = ["1"] * 4
WHO = ["1", "1", "\r"]  # right-handed, newer to the game, nothing to spare
UP, DOWN, ESC = "\x1b[A", "\x1b[B", "\x1b"
ASIDE = "~"  # before keys that answer nothing
MEASURED = ASIDE + "to a check that asks for a number"
ALONE = ["1", "5", "3", "6\r", "4", "4"]  # start, bend, height, contact, mark, balls
IN_TURNS = ["1", "5", "1", "3", "6\r", "4\r", "3", "2", "4", "4", "4"]
AGAIN = [UP + "3", 2 * UP + "1", 4 * UP + "1", 5 * UP + "2", 6 * UP + "3"]  # answers given before, changed
LESSONS = {
    "one club": ["1\r", *ALONE, *AGAIN],
    "two clubs": ["15\r", *IN_TURNS],
    "three clubs": ["157\r", *IN_TURNS[:4], "1", "2", "6\r", "4\r", "4\r", "3", "2"],
    "second club's height first": ["15\r", "~" + 7 * DOWN, "2", "4", "4", "4", "4", *IN_TURNS[:7]],
    "wood and wedge": ["27\r", *IN_TURNS],
    "undo, redo, other clubs": ["15\r", *IN_TURNS[:5], "u", "u", "U", "U", "~" + 6 * UP, "56\r", "1", "3"],
    "balls counted": ["15\r", "1", "~t", "1", "1", "2", "1", "1", "~w", "1", "3", "1", "1"],
    "words typed": ["1\r", "~w", "~it slices and I top it\r", "1", "1", "~" + ESC, "1", "3", "3"],
    "a number measured": ["1\r", *ALONE, MEASURED, "4\r"],
}
"""Keys of each answer, from the clubs on."""


def run() -> list[str]:
    return [line for name, steps in LESSONS.items() for line in _lesson(name, steps)]


def _lesson(name: str, steps: list[str]) -> list[str]:
    with tempfile.TemporaryDirectory() as folder:
        trace = Path(folder) / "trace"
        with Terminal(RUN, Path(folder), SIZE, ARCLORE_TRACE=str(trace)) as terminal:
            terminal.wait_for(b"painful", 60)
            for key in [*SAFE, *WHO]:
                _press(terminal, key)
            answers = 0
            for step in steps:
                if step == MEASURED:
                    _go_to_a_number(terminal)
                    continue
                for key in _keys(step.removeprefix(ASIDE)):
                    _press(terminal, key)
                answers += not step.startswith(ASIDE)
                _wait_for(terminal, trace, answers)
        rows = _rows(trace)
    times = {what: [row["ms"] for row in rows if row["what"] == what] for what in SHOWN}
    return [_line(f"{name}, {len(some)} answers, key to {what}", some) for what, some in times.items()]


def _keys(step: str) -> list[str]:
    """The keys of a step; words are typed at once."""
    return [step] if " " in step else re.findall(f"{re.escape(UP)}|{re.escape(DOWN)}|.", step, re.DOTALL)


def _press(terminal: Terminal, key: str) -> None:
    terminal.type(key)
    terminal.rest(STEP_S if key in (UP, DOWN) else PACE_S)


def _go_to_a_number(terminal: Terminal) -> None:
    """Go from check to check until a number is asked for."""
    for _ in range(10):
        before = len(terminal.seen)
        _press(terminal, "c")
        if b"type the number" in terminal.seen[before:]:
            return
    raise AssertionError("no check on offer asks for a number")


def _wait_for(terminal: Terminal, trace: Path, count: int, seconds: float = 30.0) -> None:
    """Go on once so many answers are explained."""
    until = time.perf_counter() + seconds
    while sum(row["what"] == "explanation" for row in _rows(trace)) < count:
        if time.perf_counter() > until:
            raise AssertionError(f"answer {count} was not ranked")
        terminal.rest(0.05)


def _rows(trace: Path) -> list[dict[str, Any]]:
    if not trace.exists():
        return []
    return [json.loads(line) for line in trace.read_text(encoding="utf-8").splitlines()]


def _line(name: str, times: list[float]) -> str:
    told = ", ".join(f"{ms:.0f}" for ms in times)
    return f"{name}: median {median(times):.0f} ms, worst {max(times):.0f} ms ({told})"
