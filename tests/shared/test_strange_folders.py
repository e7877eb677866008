"""Over three hundred folders from strangers: read without harm, with a clear line for what is not read."""

from __future__ import annotations

import os
import shutil
import signal
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library import folder as library_folder
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep import review
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import History, history_of, history_of_release
from arclore.engine.upkeep.layers import LayerError, library_id
from arclore.engine.upkeep.signatures import demanded
from arclore.engine.upkeep.statuses import statuses

from tests.shared.strange_folders import CLASSES, sound
from tests.shared.watched import changed_paths

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links and pipes are made here")
SILENT = ("hard_links", "hostile_git", "hostile_records")  # what is not asked for, or reads as what it is
SILENT_ONES = ("no rights", "folder drills", "folder reviews")  # root may read all; an empty folder is sound
SECRET = "SECRET-OF-THE-HOUSE"


@pytest.fixture
def no_hang() -> Iterator[None]:
    """A reader that waits for a pipe fails here, and does not wait for ever."""

    def late(*_: Any) -> None:
        raise TimeoutError("it waited")

    signal.signal(signal.SIGALRM, late)
    signal.alarm(60)
    yield
    signal.alarm(0)


def lines(folder: Path) -> list[str]:
    """Everything that reading a folder says about it, and all that it takes from it."""
    library = load_layers([folder])
    said = [row.row() for row in library.problems]
    try:
        library_id(folder)
    except LayerError as error:
        said.append(str(error))
    try:
        history = history_of(folder)
    except GitError as error:
        said.append(str(error))
        history = History("git", whole=False)
    demanded(folder)
    history_of_release(folder)
    found, rows = statuses(library, folder, history, date(2031, 5, 20))
    assert all(status.status in ("unreviewed", "draft") for status in found)
    taken = str([document.value for document in library.documents.values()]) + str(library.settings)
    assert SECRET not in taken
    return [*said, *(row.row() for row in rows)]


def test_they_are_many() -> None:
    assert sum(1 for made in CLASSES.values() for _ in made()) >= 300


@pytest.mark.parametrize("kind", CLASSES)
def test_a_strange_folder_is_read_without_harm(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, no_hang: None
) -> None:
    monkeypatch.setattr(library_folder, "MAX_FILES", 200)
    monkeypatch.setattr(review, "MOST_REVIEWS", 200)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))
    outside = tmp_path / "outside"
    outside.mkdir()
    secret = outside / "secret.yaml"
    secret.write_text(f"title: {SECRET}\n", encoding="utf-8")
    for number, (name, spoil) in enumerate(CLASSES[kind]()):
        folder = sound(tmp_path / f"n{number}")
        spoil(folder)
        with changed_paths() as changed:
            said = lines(folder)
        assert changed == [], name
        silent = kind in SILENT or name.startswith(SILENT_ONES) or name.endswith("release.json")
        assert said or silent, name
        assert all(line and line.isprintable() and len(line) <= 400 for line in said), (name, said)
        assert not any(SECRET in line for line in said), name
        _open(folder)
        shutil.rmtree(folder)
        assert sorted(path.name for path in tmp_path.iterdir()) == ["outside"], name
        assert [path.name for path in outside.iterdir()] == ["secret.yaml"], name
    assert secret.read_text(encoding="utf-8") == f"title: {SECRET}\n"


def _open(folder: Path) -> None:
    """Give back the rights, so that it can be taken away."""
    for place, _, files in os.walk(folder):
        for file in files:
            path = Path(place) / file
            if not path.is_symlink():
                path.chmod(0o600)
