"""The report of a crash: where in the code, never what a student said."""

from __future__ import annotations

import traceback
from importlib import metadata
from pathlib import Path

MOST_PLACES = 8  # of the code


def broken(error: BaseException | None) -> str:
    """A report of a crash that holds no data: kind of error, places in the code, versions."""
    places = traceback.extract_tb(error.__traceback__)[-MOST_PLACES:] if error else []
    lines = [f"  {Path(place.filename).name}:{place.lineno} {place.name}" for place in places]
    head = f"The desk stopped on an error ({type(error).__name__}); the lesson is kept and will be offered again."
    return "\n".join([head, *lines, f"  arclore {metadata.version('arclore')}, textual {metadata.version('textual')}"])
