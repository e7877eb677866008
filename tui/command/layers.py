"""Which library a command works with."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from arclore.engine.library.stack import Library, load_library
from arclore.engine.upkeep.layers import folders as shared_and_own
from arclore.tui.command.exits import WrongUseError
from arclore.tui.command.page import counted, say


def layers_of(folders: Sequence[str] | None) -> list[Path]:
    """The folders laid over the built-in library: those named, else the shared ones and the coach's own.

    Raises WrongUseError for a named folder that is not there.
    """
    if not folders:
        return shared_and_own()
    for folder in folders:
        if not Path(folder).is_dir():
            raise WrongUseError(f"--library: there is no folder {folder!r}")
    return [Path(folder) for folder in folders]


def library_of(folders: Sequence[str] | None) -> Library:
    """The library of a command, with one line of talk where some of its entries are left out."""
    library = load_library(*layers_of(folders))
    if library.problems:
        say(f"{counted(len(library.problems), 'problem')} in the library; see: arclore library check")
    return library
