"""Running the command inside this process, and as a program of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CASES = Path(__file__).parents[1] / "fixtures" / "cases"


@dataclass(frozen=True)
class Ran:
    code: int
    out: str
    err: str

    @property
    def json(self) -> dict[str, Any]:
        value: dict[str, Any] = json.loads(self.out)
        return value


Run = Callable[..., Ran]


def program(*arguments: str, **options: Any) -> subprocess.CompletedProcess[str]:
    """The command as a program: ``python -m arclore.tui``."""
    return subprocess.run(
        [sys.executable, "-m", "arclore.tui", *arguments], capture_output=True, text=True, timeout=60, **options
    )
