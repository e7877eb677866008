"""What of a library can weigh in an answer: all but what is only read by people.

Who answers with ``weighed(library)`` has an answer that only what stands in it can change.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.engine.library.folder import KIND_OF_FOLDER
from arclore.engine.library.stack import Library

_SHOWN = ("title", "tell_student")  # an answer shows them, so they stay as empty text
_READ = frozenset(
    (
        *("author", "authors", "evidence", "sources", "notes", "positions", "version", "signers"),
        *("mechanism", "question", "confirm", "how", "asks", "cautions", "hazards"),
        *("steps", "easier", "harder", "cue", "cue_focus", "fade", "retest"),
    )
)
_FOLDERS = tuple(folder for folder in KIND_OF_FOLDER if folder != "cases")


def weighed(library: Library) -> Library:
    """The library with every text emptied or left out that no chance, check or drill is chosen by; without cases."""
    entries: dict[str, Any] = {
        folder: {name: _bare(entry) for name, entry in getattr(library, folder).items()} for folder in _FOLDERS
    }
    settings = {name: value for name, value in _bare(library.settings).items() if name != "id"}
    return Library(**entries, settings=settings)


def _bare(entry: Mapping[str, Any]) -> dict[str, Any]:
    return {name: "" if name in _SHOWN else value for name, value in entry.items() if name not in _READ}
