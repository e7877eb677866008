"""The flags of ``arclore library hook``."""

from __future__ import annotations

import argparse
from typing import Any

ABOUT = """\
Have git check a library before each commit: the hook runs
`arclore library check --cases` on what would be committed, and a problem
refuses the commit. It holds for this clone alone, and takes no other hook's
place: where there is one, print this one and put the two together by hand."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("hook", help="have git check before each commit", description=ABOUT)
    parser.set_defaults(run=_run)
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a library in git; else the one you are in")
    parser.add_argument("--print", action="store_true", help="print the hook, a shell script, and write nothing")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_hook import run

    return run(given)
