"""The flags of ``arclore library show``."""

from __future__ import annotations

import argparse
from typing import Any

from arclore.tui.command.library_review_flags import KINDS

ABOUT = """\
Show an entry as all layers make it: each field with the layer, file and line that
give it, and what the layers below said there."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("show", help="an entry, and where each of its fields came from", description=ABOUT)
    parser.add_argument("id", metavar="ID")
    parser.add_argument("--kind", choices=KINDS, help="where several kinds have the id: " + ", ".join(KINDS))
    parser.add_argument(
        "--library", action="append", metavar="FOLDER", help="lay these over the built-in one, not the usual ones"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/library-show.schema.json)")
    parser.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_show import run

    return int(run(given))
