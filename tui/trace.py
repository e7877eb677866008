"""Times of the desk's own work, a JSON row each, in the file that ARCLORE_TRACE names. No word of a lesson is in it."""

from __future__ import annotations

import contextlib
import json
import os
from pathlib import Path
from time import monotonic

VARIABLE = "ARCLORE_TRACE"


class Trace:
    """Notes how long after a key, or a click, something stood on the screen; nothing where no file is named."""

    def __init__(self) -> None:
        named = os.environ.get(VARIABLE)
        self.path = Path(named) if named else None
        self.pressed = 0.0  # when the last key or mouse button went down, on the monotonic clock

    def shown(self, what: str, since: float, **counts: int) -> None:
        """Note that `what` is on the screen, so long after the key at `since`. A disk that refuses is passed over."""
        if self.path is None:
            return
        row = {"what": what, "ms": round(1000.0 * (monotonic() - since), 1), **counts}
        with contextlib.suppress(OSError), self.path.open("a", encoding="utf-8") as file:
            file.write(json.dumps(row) + "\n")
