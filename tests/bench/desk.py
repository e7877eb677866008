"""From a key to the repainted ranking: the real desk with the real library in a terminal, by the desk's own trace.

A lesson of twelve answers, with one club and with two, at the pace of a coach who reads the next question before the
next key. The explanation (reasons, what the club did, drills) comes after the ranking and is measured apart.
"""

from __future__ import annotations

import json
import tempfile
import time
from pathlib import Path
from statistics import median
from typing import Any

from tests.desk.terminal import Terminal

RUN = "import sys; from arclore.tui.command import main; sys.exit(main([]))"
SIZE = (120, 40)
PACE_S = 1.0  # between what stands on the screen and the next key; nobody reads a question faster
SAFE = ["1"] * 4
WHO = ["1", "1", "\r"]  # right-handed, newer to the game, nothing to spare
UP = "\x1b[A"
FLIGHT = ["1", "5", "3", "6\r", "4", "4"]
AGAIN = [UP + "3", 2 * UP + "1", 4 * UP + "1", 5 * UP + "2", 6 * UP + "3"]  # answers given before, changed
LESSONS = {
    "one club": ["1\r", *FLIGHT, *AGAIN],
    "two clubs": ["15\r", "1", "5", "1", "3", "6\r", "4\r", "3", "2", "4", "4", "4"],
}
"""Keys of each answer, from the clubs on."""


def run() -> list[str]:
    return [line for name, answers in LESSONS.items() for line in _lesson(name, answers)]


def _lesson(name: str, answers: list[str]) -> list[str]:
    with tempfile.TemporaryDirectory() as folder:
        trace = Path(folder) / "trace"
        with Terminal(RUN, Path(folder), SIZE, ARCLORE_TRACE=str(trace)) as terminal:
            terminal.wait_for(b"painful", 60)
            for key in [*SAFE, *WHO]:
                terminal.type(key)
                terminal.rest(PACE_S)
            for count, keys in enumerate(answers, start=1):
                for key in keys.replace(UP, "^"):
                    terminal.type(UP if key == "^" else key)
                    terminal.rest(PACE_S)
                _wait_for(terminal, trace, count)
        rows = _rows(trace)
    times = {what: [row["ms"] for row in rows if row["what"] == what] for what in ("ranking", "explanation")}
    return [_line(f"{name}, {len(some)} answers, key to {what}", some) for what, some in times.items()]


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
