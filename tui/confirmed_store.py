"""Confirmed lessons on disk: one file of this user, a line a lesson, without names, never sent anywhere."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import platformdirs
from arclore.engine.library.atomic import write_text
from arclore.tui.settings import load

if TYPE_CHECKING:
    from arclore.engine.diagnosis.confirmed import Confirmed, Learned
    from arclore.engine.library.stack import Library

PARTS = ("causes", "present", "absent")
MOST_BYTES = 20_000_000


class ConfirmedError(ValueError):
    """The file of confirmed lessons cannot be read: one line saying where and what to do."""


def confirmed_path() -> Path:
    """The file of this user's confirmed lessons; it need not exist."""
    return Path(platformdirs.user_data_dir("arclore", appauthor=False)) / "confirmed.jsonl"


def line_of(case: Mapping[str, Any], causes: Sequence[str]) -> str:
    """What is kept of a lesson: what was asked in its case, and the causes that were confirmed; nothing else of it."""
    kept = {"causes": list(causes), "present": case.get("present", []), "absent": case.get("absent", [])}
    return json.dumps(kept, ensure_ascii=False)


def add(case: Mapping[str, Any], causes: Sequence[str]) -> Path:
    """Keep a lesson whose causes were confirmed. Raises OSError."""
    return add_line(line_of(case, causes))


def add_line(line: str) -> Path:
    """Keep a confirmed lesson, as ``line_of`` wrote it. Raises OSError."""
    path = confirmed_path()
    path.parent.mkdir(parents=True, mode=0o700, exist_ok=True)
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    with os.fdopen(handle, "a", encoding="utf-8") as file:
        os.fchmod(file.fileno(), 0o600)
        file.write(line + "\n")
    return path


def take_back_line(line: str) -> None:
    """Forget a confirmed lesson: the last line that reads so; where none does, nothing. Raises OSError."""
    path = confirmed_path()
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    if line in lines:
        del lines[len(lines) - 1 - lines[::-1].index(line)]
        write_text(path, "".join(f"{each}\n" for each in lines), mode=0o600)


def read() -> list[Confirmed]:
    """All confirmed lessons; none where there is no file. Raises ConfirmedError for a line that is none."""
    from arclore.engine.diagnosis.confirmed import Confirmed

    path = confirmed_path()
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ConfirmedError(f"{path} is over {MOST_BYTES // 1_000_000} MB: move older lines elsewhere")
        lines = path.read_text(encoding="utf-8").splitlines()
    except FileNotFoundError:
        return []
    except (OSError, UnicodeDecodeError) as problem:
        raise ConfirmedError(f"{path} cannot be read: {problem}") from None
    found = []
    for number, line in enumerate(lines, start=1):
        parts = _parts(line)
        if parts is None:
            raise ConfirmedError(f"{path}:{number} is no confirmed lesson: mend or take out the line")
        found.append(Confirmed(**{name: frozenset(parts[name]) for name in PARTS}))
    return found


def _parts(line: str) -> dict[str, list[str]] | None:
    try:
        value = json.loads(line)
    except (ValueError, RecursionError):
        return None
    if not isinstance(value, dict):
        return None
    parts = {name: value.get(name) for name in PARTS}
    listed = all(isinstance(part, list) and all(isinstance(x, str) for x in part) for part in parts.values())
    return parts if listed else None  # type: ignore[return-value]


def learned(library: Library, wanted: bool | None = None) -> Learned:
    """What the confirmed lessons teach; nothing where they are not to count.

    wanted: as told for this once; else as the settings say. Raises ConfirmedError.
    """
    from arclore.engine.diagnosis.confirmed import NOTHING, learned_from

    lessons = read() if (load().learned if wanted is None else wanted) else []
    return learned_from(library, lessons) if lessons else NOTHING
