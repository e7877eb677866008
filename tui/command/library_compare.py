"""``arclore library compare``: what differs between two libraries."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from arclore.engine.upkeep.cache import user_cache
from arclore.engine.upkeep.compare import GROUPS, differences, markdown, opened
from arclore.engine.upkeep.effects import effects
from arclore.engine.upkeep.layers import LayerError
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.page import print_json, say


def run(given: argparse.Namespace) -> Exit:
    """Print the comparison."""
    repository = folder_of(given.folder, "compare") if given.folder else Path.cwd()
    try:
        with opened(given.a, repository) as a, opened(given.b, repository) as b:
            for name, library in ((given.a, a), (given.b, b)):
                if library.problems:
                    say(f"{name}: left out what has problems, first {library.problems[0].row()}")
            found: dict[str, Any] = {"a": given.a, "b": given.b, **differences(a, b)}
            alike = not any(found[group] for group in GROUPS)  # then every answer is the same, too
            found["cases"] = None if given.no_cases or alike else effects(a, b, user_cache())
    except LayerError as error:
        raise WrongUseError(f"arclore library compare: {error}") from None
    if given.json:
        print_json(found)
    else:
        print(markdown(found), end="")
    return Exit.DONE
