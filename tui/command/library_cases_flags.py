"""The flags of ``arclore library cases``."""

from __future__ import annotations

import argparse
from typing import Any

ABOUT = """\
Answer every case of a library and print each one that is not answered as it
expects: those of a folder or of the library you are in, else those of the
built-in library with the shared ones and your own laid over it."""


def add_actions(actions: Any) -> None:
    """Declare the action."""
    parser = actions.add_parser("cases", help="answer the library's own cases", description=ABOUT)
    parser.set_defaults(run=_run)
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a library, which is laid over the built-in one")
    parser.add_argument("--no-cache", action="store_true", help="answer every case anew")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/library-cases.schema.json)")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_cases import run

    return run(given)
