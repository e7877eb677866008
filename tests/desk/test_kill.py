"""Fifty lessons killed at random moments: every answer that was told of as taken is on disk, and none harms another."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from arclore.tui.lesson_store import Store

PAIRS, WRITERS = 10, 30


def test_fifty_lessons_killed_at_random_moments_lose_nothing_that_was_told_of(tmp_path: Path) -> None:
    environment = {**os.environ, "TERM": "xterm-256color", "XDG_CONFIG_HOME": str(tmp_path / "config")}
    command = [sys.executable, "-m", "tests.desk.killing", str(tmp_path), "20261125", str(PAIRS), str(WRITERS)]
    told = subprocess.run(
        command, cwd=Path(__file__).parents[2], env=environment, capture_output=True, text=True, timeout=120, check=True
    ).stdout
    rows = [json.loads(line) for line in told.splitlines()]
    assert len(rows) == 2 * PAIRS + WRITERS == 50
    kept = []
    for row in rows:
        found = {saved.path.name.split("-")[2]: saved.lesson for saved in Store(Path(row["folder"])).all()}
        lesson = found.get(str(row["pid"]))
        done = lesson.done if lesson else 0
        assert row["told"] <= done <= row["given"], row
        assert lesson is None or lesson.events[0] in (("safety:0", "no"), ("safety:0", "no" * 200))
        kept.append(done)
    assert len(set(kept[: 2 * PAIRS])) >= 4  # desks were killed at many places of their lessons
    assert any(row["told"] < row["given"] for row in rows[2 * PAIRS :])  # and writers while they wrote
