"""The flags of ``arclore library learned``."""

from __future__ import annotations

import argparse
from typing import Any

ABOUT = """\
Show what lessons whose causes were confirmed (arclore triage … --confirm CAUSE)
say beside what the library states. They are kept on this computer, without
names. Triage and the desk count them once you choose so."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("learned", help="confirmed lessons beside the stated figures", description=ABOUT)
    parser.set_defaults(run=_run)
    parser.add_argument("--library", action="append", metavar="FOLDER", help="as in triage")
    parser.add_argument("--count", choices=("yes", "no"), help="count them from now on, or not")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/library-learned.schema.json)")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_learned import run

    return run(given)
