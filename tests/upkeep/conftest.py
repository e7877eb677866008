"""A small sound library in a folder, to spoil one field at a time; the built-in one, read once."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import BUILT_IN, Library, load_layers, load_library
from arclore.engine.upkeep.audit import Audit, audit
from arclore.engine.upkeep.subject import Subject

from tests.library.conftest import FOLDERS, sound_entry

Entry = dict[str, Any]
Small = Callable[..., Path]
TWO_SIDES = {"bent-low": ("back-bent", -5.0), "bent-high": ("back-tall", 5.0)}


def small_library() -> dict[str, Entry]:
    """Two opposite causes, each with a finding, a check and a drill; a symptom of the flight; a sign of danger."""
    entries = [
        sound_entry("symptom", "flies-across", title="the ball flies across", outcome={"start": "toward"}),
        sound_entry("symptom", "chest-pain", title="the chest hurts", safety=True),
    ]
    del entries[0]["leak"]
    for side, (cause, (finding, size)) in enumerate(TWO_SIDES.items()):
        other = next(name for name in TWO_SIDES if name != cause)
        word = ("low", "tall")[side]
        entries += [
            sound_entry("symptom", finding, title=f"the back looks {word}"),
            sound_entry(
                "cause",
                cause,
                title=f"the player stands too {word} at address",
                moves=[{"input": "swing_direction_deg", "size": size, "size_sd": 2.0}],
                leads_to=[{"symptom": finding, "how_often": "often"}],
                exclusive_with=[other],
            ),
            sound_entry(
                "check",
                f"look-{word}",
                title=f"a side picture shows a {word} back",
                likelihood={
                    "causes": [cause],
                    "positive": "bent",
                    "negative": "straight",
                    "sensitivity": 0.8,
                    "specificity": 0.8,
                    "basis": "estimate",
                },
            ),
            sound_entry(
                "drill",
                f"brush-{word}",
                title=f"a mat is brushed from a {word} stance",
                steps=[f"Bow until the club hangs, {word} or not.", "Brush the mat five times."],
                effect={"input": "swing_direction_deg", "change": "more" if size < 0 else "less"},
                **{"for": {"causes": [cause]}},
            ),
        ]
    return {entry["id"]: entry for entry in entries}


@pytest.fixture
def small(tmp_path: Path) -> Small:
    """Writes the small library, changed by the given function, into a folder with the real settings and driver."""

    def write(change: Callable[[dict[str, Entry]], Any] = lambda entries: None) -> Path:
        entries = small_library()
        change(entries)
        root = tmp_path / "kb"
        (root / "clubs").mkdir(parents=True)
        shutil.copy(BUILT_IN / "library.yaml", root)
        driver = (BUILT_IN / "clubs" / "driver.yaml").read_text(encoding="utf-8")
        text = re.sub(r"^sources: \[.*?\]", "sources: []", driver, flags=re.MULTILINE | re.DOTALL)
        (root / "clubs" / "driver.yaml").write_text(text, encoding="utf-8")
        for entry in entries.values():
            folder = root / FOLDERS[entry["kind"]]
            folder.mkdir(exist_ok=True)
            (folder / f"{entry['id']}.yaml").write_text(json.dumps(entry, indent=1), encoding="utf-8")
        return root

    return write


@pytest.fixture
def audited(small: Small) -> Callable[..., Audit]:
    """The audit of the small library, changed by the given function."""

    def run(change: Callable[[dict[str, Entry]], Any] = lambda entries: None, sources: Any = None) -> Audit:
        root = small(change)
        if sources is not None:
            text = json.dumps({"schema": 1, "kind": "sources", "sources": sources}, indent=1)
            (root / "sources.yaml").write_text(text, encoding="utf-8")
        library = load_layers([root])
        assert not library.problems
        return audit(library)

    return run


def codes(rows: list[Problem]) -> set[str]:
    return {row.code for row in rows}


@pytest.fixture(scope="session")
def built_in() -> Library:
    return load_library()


@pytest.fixture(scope="session")
def subject(built_in: Library) -> Subject:
    return Subject(built_in)
