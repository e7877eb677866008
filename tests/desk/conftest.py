"""A desk on a small engine, and a place for its lessons."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.lesson_store import Store

from tests.desk.fakes import FakeThinker, stance_then_grip


@pytest.fixture(autouse=True)
def own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the settings of whoever runs it."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "state" / "lessons")


@pytest.fixture
def desk(store: Store) -> Callable[..., Desk]:
    """Make a desk on a small engine."""

    def make(
        answers: Callable[[Mapping[str, Any]], dict[str, Any]] = stance_then_grip, title: str = "", **given: Any
    ) -> Desk:
        made = Desk(store=given.get("store", store))
        thinker = FakeThinker(answers, title)
        made.thinker = made.lesson_screen.thinker = thinker
        return made

    return make
