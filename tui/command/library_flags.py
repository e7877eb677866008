"""The flags of ``arclore library``."""

from __future__ import annotations

import argparse

HELP = "look after a library of entries"
ABOUT = """\
Check a library: every file is read, held against its schema, and every name it
uses is looked up. Without a folder the built-in library with your own one laid
over it is checked."""


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags."""
    parser.set_defaults(run=_run)
    parser.add_argument("action", choices=["check"], help="check: list every problem there is")
    parser.add_argument("folder", nargs="?", metavar="FOLDER", help="a library laid over the built-in one")
    parser.add_argument("--alone", action="store_true", help="check the folder by itself, laid over nothing")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_check import run

    return run(given)
