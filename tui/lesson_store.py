"""Lessons on disk: one file a desk and lesson, written whole after each answer, readable by this user only."""

from __future__ import annotations

import json
import os
import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import count
from pathlib import Path
from time import time

import platformdirs
from arclore.engine.library.atomic import write_new, write_text
from arclore.tui.lesson import Lesson, from_json, to_json

MOST_BYTES = 4_000_000
MOST_OFFERED = 5
ABANDONED_S = 3600.0  # after which a file half written is nobody's


def lessons_folder() -> Path:
    """The folder of this user's lessons; it need not exist."""
    return Path(platformdirs.user_state_dir("arclore", appauthor=False)) / "lessons"


@dataclass(frozen=True)
class Saved:
    """A lesson found on disk."""

    path: Path
    when: datetime
    lesson: Lesson
    finished: bool = False

    @property
    def id(self) -> str:
        """The name that it has on the command line."""
        return self.path.stem


class Store:
    """Where one running desk keeps its lesson. Two desks never write the same file."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = lessons_folder() if folder is None else folder
        self.path = self._new_path()

    def _new_path(self) -> Path:
        return self.folder / f"{datetime.now():%Y%m%d-%H%M%S}-{os.getpid()}-{secrets.token_hex(3)}.json"

    def begin(self) -> None:
        """From now on write to a new file."""
        self.path = self._new_path()

    def save(self, lesson: Lesson, finished: bool = False) -> None:
        """Write the lesson; raises OSError where the disk will not have it. An empty lesson leaves no file."""
        if not lesson.events:
            return
        if not self.folder.exists():
            self.folder.mkdir(parents=True, mode=0o700, exist_ok=True)
        self.folder.chmod(0o700)
        text = json.dumps({**to_json(lesson), "finished": finished}, ensure_ascii=False, allow_nan=False)
        write_text(self.path, text + "\n", mode=0o600)

    def take_over(self, saved: Saved) -> None:
        """Go on with a lesson found on disk under this desk's own name; the old file goes once ours is written."""
        self.begin()
        self.save(saved.lesson)
        if self.path != saved.path:
            saved.path.unlink(missing_ok=True)

    def unfinished(self) -> list[Saved]:
        """Unfinished lessons, newest first."""
        return [saved for saved in self.all() if not saved.finished][:MOST_OFFERED]

    @property
    def drafts_folder(self) -> Path:
        """Where entries that are being written are kept, beside the lessons."""
        return self.folder.parent / "drafts"

    def waiting(self) -> tuple[int, int]:
        """How many unfinished lessons, and how many drafts of entries, wait."""
        lessons = sum(not saved.finished for saved in self.all())
        return lessons, sum(1 for _ in self.drafts_folder.glob("*.json")) if self.drafts_folder.is_dir() else 0

    def all(self) -> list[Saved]:
        """Every other lesson on disk, newest first; a file that cannot be read is passed over and left as it is."""
        found = []
        for path in self.folder.glob("*.json") if self.folder.is_dir() else ():
            if path != self.path and (saved := _read(path)) is not None:
                found.append(saved)
        return sorted(found, key=lambda saved: (saved.when, saved.path.name), reverse=True)

    def export(self, saved: Saved, folder: Path) -> Path:
        """Copy a lesson into a folder, readable by this user only, under a name that is free. Raises OSError."""
        text = json.dumps({**to_json(saved.lesson), "finished": saved.finished}, ensure_ascii=False, indent=1) + "\n"
        names = (f"lesson-{saved.path.stem}{f'-{n}' if n else ''}.json" for n in count())
        for path in (folder / name for name in names):
            with suppress(FileExistsError):
                write_new(path, text, mode=0o600)
                return path
        raise AssertionError("names do not end")

    def delete(self, saved: Saved) -> None:
        """Take a lesson off the disk for good. Raises OSError; one that is gone already is no error."""
        saved.path.unlink(missing_ok=True)
        self._sweep(f".{saved.path.name}.*.tmp", 0.0)

    def tidy(self) -> None:
        """Take away what writers that were killed have left half written."""
        self._sweep(".*.tmp", ABANDONED_S)

    def _sweep(self, pattern: str, least_age_s: float) -> None:
        for path in self.folder.glob(pattern) if self.folder.is_dir() else ():
            with suppress(OSError):
                if time() - path.stat().st_mtime >= least_age_s:
                    path.unlink()


def _read(path: Path) -> Saved | None:
    try:
        about = path.stat()
        if about.st_size > MOST_BYTES:
            return None
        with path.open(encoding="utf-8") as file:
            value = json.load(file)
        lesson = from_json(value)
    except (OSError, ValueError, RecursionError):
        return None
    if not lesson.done:
        return None
    return Saved(path, datetime.fromtimestamp(about.st_mtime), lesson, bool(value.get("finished")))
