"""The desk's own trace: times from key to screen, and no word of a lesson."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from arclore.tui.desk import Desk

from tests.desk.fakes import OPEN, FakeThinker, answer, cause, keys, settled, shown

Make = Callable[..., Desk]


async def test_the_trace_has_times_and_counts_and_nothing_else(
    desk: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ARCLORE_TRACE", str(tmp_path / "trace"))
    app = desk()
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1 5")
    rows = [json.loads(row) for row in (tmp_path / "trace").read_text(encoding="utf-8").splitlines()]
    assert [row["answers"] for row in rows] == [5, 6, 7]
    assert all(set(row) == {"what", "ms", "answers", "clubs"} and row["ms"] > 0 for row in rows)
    assert {row["what"] for row in rows} == {"explanation"}


async def test_the_ranking_stands_before_its_explanation_and_is_that_of_the_last_answer(desk: Make) -> None:
    app = desk()
    seen: list[tuple[str, str]] = []

    class Halting(FakeThinker):
        def answers(self, case: Mapping[str, Any], wanted: Callable[[], bool]) -> Iterator[dict[str, Any]]:
            whole = answer(cause("grip", 0.7) if "start" in case["shots"][0] else cause("stance", 0.5))
            bare = ("id", "title", "family", "stage", "probability")
            yield {**whole, "causes": [{name: row[name] for name in bare} for row in whole["causes"]]}
            app.call_from_thread(lambda: seen.append((shown(app), app.lesson_screen.ranking_state)))
            yield whole

    app.thinker = app.lesson_screen.thinker = Halting(lambda case: {})
    async with app.run_test(size=(120, 40)) as pilot:
        await settled(pilot)
        await keys(pilot, OPEN + " 1")
        text, state = seen[-1]
        assert "1. leads, likelier than not (70 in" in text
        assert "Heard: driver started: left. The lead" in text
        assert state == ""
        assert "being worked out" not in shown(app)
