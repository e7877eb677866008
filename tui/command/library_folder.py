"""Which library folder an action of ``arclore library`` works in."""

from __future__ import annotations

import os
from pathlib import Path

from arclore.engine.library.folder import typed_path
from arclore.engine.library.stack import personal_folder
from arclore.engine.upkeep.layers import read_layers
from arclore.tui.command.exits import WrongUseError


def meant(given: str | None) -> str | None:
    """The folder named, else the current one where it holds a library.yaml, else None; it need not be there.

    A shared library may be called by the name that `arclore library list` shows.
    """
    if given is None:
        return "." if Path("library.yaml").is_file() else None
    if typed_path(given).exists():
        return str(typed_path(given))
    return next((str(layer.folder) for layer in read_layers()[0] if layer.name == given), given)


def folder_of(given: str | None, action: str) -> Path:
    """The folder that is meant, else the coach's own; resolved. Raises WrongUseError where it is not there."""
    named = meant(given)
    folder = personal_folder() if named is None else Path(named)
    if not folder.is_dir():
        raise WrongUseError(f"arclore library {action}: there is no library folder {str(folder)!r}")
    return Path(os.path.realpath(folder))
