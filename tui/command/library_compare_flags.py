"""The flags of ``arclore library compare``."""

from __future__ import annotations

import argparse
from typing import Any

ABOUT = """\
What differs between two libraries, each a folder or a git revision: entries
added, changed field by field, retired, which causes can no longer be told
apart, and which library cases get another answer. In a pipe or a file it is
Markdown fit for a comment on a change; at a terminal the same in plain text."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("compare", help="what differs between two libraries", description=ABOUT)
    parser.add_argument("a", metavar="A", help="the first: a folder, or a revision as git names it")
    parser.add_argument("b", metavar="B", help="the second")
    parser.add_argument("--in", dest="folder", metavar="FOLDER", help="the library whose revisions are meant")
    parser.add_argument("--no-cases", action="store_true", help="leave out what it does to answers")
    parser.add_argument("--every-case", action="store_true", help="ask all that may change, however long it takes")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/library-compare.schema.json)")
    parser.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_compare import run

    return int(run(given))
