"""What clubs do all over their grids, and with every cause, kept on this computer from run to run.

To play it takes most of the time of an answer, and it hangs on the club, the level and the settings alone: a cause that
was not changed lands where it did.
"""

from __future__ import annotations

import base64
import io
import json
import zlib
from dataclasses import asdict
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.landings import Change
from arclore.engine.quantities import Array
from arclore.engine.upkeep.cache import Cache

KEPT_AS = "laid"
TABLES = ("_codes", "height_log", "pace_of_strikes")
MOST_CHANGES = 4000  # of a condition: those of the latest run go before older ones


class Laid:
    """The tables of conditions. ``bring`` is what a bench calls with each; ``keep`` keeps what was played since."""

    def __init__(self, cache: Cache) -> None:
        self._cache = cache
        self._brought: list[tuple[Condition, str, int]] = []

    def bring(self, condition: Condition) -> None:
        """Lay the tables that are kept for a condition."""
        about = [type(condition).__name__, asdict(condition.club), condition.level, asdict(condition.set_up)]
        key = json.dumps([about, condition.settings], sort_keys=True)
        kept = self._cache.found(KEPT_AS, key)
        if kept is not None:
            for name, text in kept["tables"].items():
                vars(condition)[name] = _array(text)
            changes = [tuple((str(name), float(by)) for name, by in change) for change in kept["changes"]]
            condition.landings.know(changes, {block: _array(text) for block, text in kept["points"].items()})
        self._brought.append((condition, key, _known(condition)))

    def keep(self) -> None:
        """Keep what has been played since it was brought."""
        for condition, key, known in self._brought:
            if _known(condition) > known:
                self._cache.keep(KEPT_AS, key, _plain(condition))


def _known(condition: Condition) -> int:
    """How much has been played of a condition."""
    return len(condition.landings) + sum(name in vars(condition) for name in TABLES)


def _plain(condition: Condition) -> dict[str, Any]:
    changes: list[Change] = condition.landings.latest(MOST_CHANGES)
    return {
        "tables": {name: _text(vars(condition)[name]) for name in TABLES if name in vars(condition)},
        "changes": changes,
        "points": {block: _text(points) for block, points in condition.landings.of(changes).items()},
    }


def _text(array: Array) -> str:
    file = io.BytesIO()
    small = array.astype(np.int8) if array.dtype.kind in "bi" else array  # codes are few
    np.save(file, small, allow_pickle=False)
    return base64.b64encode(zlib.compress(file.getvalue(), 1)).decode("ascii")


def _array(text: str) -> Array:
    array: Array = np.load(io.BytesIO(zlib.decompress(base64.b64decode(text))), allow_pickle=False)
    return array
