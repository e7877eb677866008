"""``arclore library compare``: what differs between two libraries."""

from __future__ import annotations

import argparse
import gc
import math
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from arclore.engine.library.once import Once
from arclore.engine.upkeep.cache import user_cache
from arclore.engine.upkeep.compare import GROUPS, differences, opened
from arclore.engine.upkeep.comparison import markdown, plain_text
from arclore.engine.upkeep.effects import MOST_WORK, effects
from arclore.engine.upkeep.layers import LayerError
from arclore.engine.upkeep.sharing import processors
from arclore.engine.upkeep.told_apart import no_longer_told_apart
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.page import print_json, say


def to_a_terminal() -> bool:
    """Whether a person reads what is printed."""
    return sys.stdout.isatty()


def run(given: argparse.Namespace) -> Exit:
    """Print the comparison."""
    repository = folder_of(given.folder, "compare") if given.folder else Path.cwd()
    once = Once(shares=True)
    try:
        a, b = (opened(name, repository, once) for name in (given.a, given.b))
    except LayerError as error:
        raise WrongUseError(f"arclore library compare: {error}") from None
    gc.freeze()  # two libraries are much to look through for garbage, again and again
    for name, library in ((given.a, a), (given.b, b)):
        if library.problems:
            say(f"{name}: left out what has problems, first {library.problems[0].row()}")
    found: dict[str, Any] = {"a": given.a, "b": given.b, **differences(a, b)}
    differ = any(found[group] for group in GROUPS)  # else every answer is the same, too
    asked = differ and not given.no_cases
    cache, most = user_cache(), math.inf if given.every_case else MOST_WORK
    found["no_longer_told_apart"] = [asdict(one) for one in no_longer_told_apart(a, b, cache)] if asked else None
    found["cases"] = effects(a, b, cache, processors(), most) if asked else None
    if given.json:
        print_json(found)
    else:
        print((plain_text if to_a_terminal() else markdown)(found), end="")
    return Exit.DONE
