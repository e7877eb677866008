"""``arclore library hook``: git refuses a commit while the library in it has problems."""

from __future__ import annotations

import argparse

from arclore.engine.library.read import shown
from arclore.engine.upkeep.hook import HookError, hook_text, write_hook
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of


def run(given: argparse.Namespace) -> Exit:
    """Write the hook and say where, or print it."""
    folder = folder_of(given.folder, "hook")
    try:
        if given.print:
            print(hook_text(folder), end="")
        else:
            print(f"{shown(write_hook(folder))}: from now on a commit is refused while the library has problems")
    except HookError as error:
        raise WrongUseError(f"arclore library hook: {error}") from None
    return Exit.DONE
