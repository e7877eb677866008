"""The flags of ``arclore library check``."""

from __future__ import annotations

import argparse
from typing import Any

ABOUT = """\
Check a library: every file is read and held against its schema, every name it
uses is looked up, and what the entries mean is audited: drills against the
geometry, causes against the checks that tell them apart. Without a folder the
library you are in is checked, or the built-in one with the shared ones and your
own laid over it.
With --cases this is the gate of a library: one command, one exit code, and one
row `file:line:column: code: message (hint)` for each problem. What was found is
kept on this computer for as long as nothing in the files changes."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("check", help="list every problem there is", description=ABOUT)
    parser.set_defaults(run=_run)
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a library, which is laid over the built-in one")
    parser.add_argument("--alone", action="store_true", help="check the folder by itself, laid over nothing")
    parser.add_argument("--hints", action="store_true", help="list what is worth a look too, not only what is wrong")
    parser.add_argument("--cases", action="store_true", help="answer the library's own cases too")
    parser.add_argument("--no-cache", action="store_true", help="work everything out anew")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/library-check.schema.json)")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_check import run

    return run(given)
