"""How a person wants the desk and the command line: units, theme, keys of their own; one small private file."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import platformdirs
from arclore.engine.library.atomic import write_text

UNITS = ("metric", "yards")
THEMES = ("sun", "dusk")
MOST_BYTES = 100_000


@dataclass(frozen=True)
class Settings:
    """keys: the id of a deed's binding to the keys that it has instead of its own. learned: confirmed lessons count."""

    units: str = "metric"
    theme: str = "sun"
    keys: Mapping[str, str] = field(default_factory=dict)
    learned: bool = False


def settings_path() -> Path:
    """The file of this user's settings; it need not exist."""
    return Path(platformdirs.user_config_dir("arclore", appauthor=False)) / "settings.json"


def load(path: Path | None = None) -> Settings:
    """The settings of a file. Whatever cannot be read or is unknown is as it is without a file."""
    path = path or settings_path()
    try:
        if path.stat().st_size > MOST_BYTES:
            return Settings()
        with path.open(encoding="utf-8") as file:
            given = json.load(file)
    except (OSError, ValueError, RecursionError):
        return Settings()
    if not isinstance(given, dict):
        return Settings()
    keys = given.get("keys")
    return Settings(
        _one_of(given.get("units"), UNITS),
        _one_of(given.get("theme"), THEMES),
        {name: key for name, key in keys.items() if isinstance(key, str) and key} if isinstance(keys, dict) else {},
        given.get("learned") is True,
    )


def _one_of(value: Any, known: tuple[str, ...]) -> str:
    return str(value) if value in known else known[0]


def save(settings: Settings, path: Path | None = None) -> None:
    """Write them whole, readable by this user only. Raises OSError."""
    write_text(path or settings_path(), json.dumps(asdict(settings), indent=1) + "\n", mode=0o600)
