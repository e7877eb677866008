"""The flags of ``arclore library print``."""

from __future__ import annotations

import argparse
from typing import Any

from arclore.tui.command.library_release_flags import LEVELS

ABOUT = """\
Put the approved drills and checks of a library on paper: one large sheet for the
wall, or small cards for the pocket to be cut out. What is not approved is printed
only when asked for with --least, and says so."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("print", help="the approved drills and checks on paper", description=ABOUT)
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a library; else this folder, else your own")
    parser.add_argument("--for", dest="form", choices=("wall", "pocket"), required=True, help="a sheet or cards")
    parser.add_argument("--to", required=True, metavar="FILE", help="what to write: a name in .html or .pdf")
    parser.add_argument("--kind", choices=("drill", "check"), help="these alone")
    parser.add_argument("--least", choices=LEVELS, default="approved", help="how far entries must have come")
    parser.add_argument("--handed", choices=("right", "left"), default="right", help="for whom sides are written")
    parser.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_print import run

    return int(run(given))
