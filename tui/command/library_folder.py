"""Which library folder an action of ``arclore library`` works in."""

from __future__ import annotations

import os
from pathlib import Path

from arclore.engine.library.stack import personal_folder
from arclore.engine.upkeep.layers import read_layers
from arclore.tui.command.exits import WrongUseError


def folder_of(given: str | None, action: str) -> Path:
    """The folder named, else the current one where it holds a library.yaml, else the coach's own; resolved.

    A shared library may be called by the name that `arclore library list` shows. Raises WrongUseError where it is
    not there.
    """
    if given is None:
        here = Path.cwd()
        folder = here if (here / "library.yaml").is_file() else personal_folder()
    else:
        folder = Path(given).expanduser()
        if not folder.is_dir():
            folder = next((layer.folder for layer in read_layers()[0] if layer.name == given), folder)
    if not folder.is_dir():
        raise WrongUseError(f"arclore library {action}: there is no library folder {str(folder)!r}")
    return Path(os.path.realpath(folder))
