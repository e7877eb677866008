"""Desks in pseudo-terminals, two at a time over one folder, each killed at a random moment of its lesson; then writers
that do nothing but save, killed in the midst of it.

``python -m tests.desk.killing FOLDER SEED PAIRS WRITERS`` prints a JSON row for each that was killed: its folder and
process, the answers given, and those that it had told of as taken. All are forked from one process, so that none has to
be loaded anew.
"""

from __future__ import annotations

import fcntl
import json
import os
import pty
import random
import re
import select
import signal
import struct
import sys
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

from arclore.tui.desk import Desk
from arclore.tui.lesson import Lesson
from arclore.tui.lesson_store import Store

from tests.desk.fakes import FakeThinker, stance_then_grip

KEYS = ["1", "1", "2", "1", "1\r", "1", "5", "3", "1\r", "2", "4"]
LONGEST_S = 0.4  # that a desk lives once its first question stands
LONGEST_WRITING_S = 0.05
QUESTION = re.compile(rb"Question (\d+) of")


@dataclass
class Victim:
    """A desk that runs, what was typed into it and what it has shown."""

    pid: int
    terminal: int
    typed: int = 0
    seen: bytes = field(default=b"", repr=False)

    @property
    def shown(self) -> int:
        """The answers that the screen says are taken."""
        places = [int(place) for place in QUESTION.findall(self.seen)]
        return max(places, default=1) - 1

    def go_on(self) -> None:
        """Read what has come; answer the question that stands, once."""
        if select.select([self.terminal], [], [], 0.01)[0]:
            self.seen += os.read(self.terminal, 65536)
        if QUESTION.search(self.seen) and self.shown >= self.typed and self.typed < len(KEYS):
            os.write(self.terminal, KEYS[self.typed].encode())
            self.typed += 1


def begin(folder: Path) -> Victim:
    """A desk on a small engine over this folder, in a terminal of its own."""
    pid, terminal = pty.fork()
    if pid:
        return Victim(pid, terminal)
    fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    app = Desk(store=Store(folder))
    app.thinker = app.lesson_screen.thinker = FakeThinker(stance_then_grip)
    app.run()
    os._exit(0)


def kill_desks(folder: Path, chance: random.Random) -> list[dict[str, object]]:
    """Two desks over one folder, each killed so long after its first question as chance has it."""
    alive = victims = [begin(folder) for _ in range(2)]
    ends: dict[int, float] = {}
    while alive:
        for victim in alive:
            victim.go_on()
            if victim.typed:
                ends.setdefault(victim.pid, time.monotonic() + chance.uniform(0.0, LONGEST_S))
        due = [victim for victim in alive if time.monotonic() > ends.get(victim.pid, float("inf"))]
        for victim in due:
            _kill(victim.pid)
        alive = [victim for victim in alive if victim not in due]
    for victim in victims:
        os.close(victim.terminal)
    return [{"folder": str(folder), "pid": v.pid, "given": v.typed, "told": v.shown} for v in victims]


def kill_writer(folder: Path, chance: random.Random) -> dict[str, object]:
    """A process that saves a lesson answer by answer and tells of each, killed in the midst of it."""
    out, into = os.pipe()
    pid = os.fork()
    if not pid:
        store, lesson = Store(folder), Lesson()
        while True:
            lesson = lesson.answered("safety:0", "no" * 200)
            os.write(into, b"g")
            store.save(lesson)
            os.write(into, b"t")
    time.sleep(chance.uniform(0.0, LONGEST_WRITING_S))
    _kill(pid)
    os.close(into)
    with os.fdopen(out, "rb") as told:
        said = told.read()
    return {"folder": str(folder), "pid": pid, "given": said.count(b"g"), "told": said.count(b"t")}


def _kill(pid: int) -> None:
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)


def main(folder: Path, seed: int, pairs: int, writers: int) -> None:
    """Kill so many pairs of desks and so many writers, and tell of each."""
    chance = random.Random(seed)
    rows = [row for number in range(pairs) for row in kill_desks(folder / str(number), chance)]
    rows += [kill_writer(folder / "writers", chance) for _ in range(writers)]
    for row in rows:
        print(json.dumps(row))


if __name__ == "__main__":
    main(Path(sys.argv[1]), *map(int, sys.argv[2:5]))
