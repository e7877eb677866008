"""The flags of ``arclore library``: one action each, declared in the files named here."""

from __future__ import annotations

import argparse
from importlib import import_module
from typing import Any

from arclore.tui.command.parser import Parser

HELP = "look after a library of entries: check, lay over, write, review, compare, hand out"
ABOUT = """\
Libraries are folders of entries, laid over the built-in one in order: shared
ones first, your own last. These actions check them, add and remove shared
ones, write and review entries, compare two libraries and hand one out."""
# Each is declared in library_<name>_flags.
DECLARED_IN = ("check", "cases", "learned", "hook", "layer", "show", "entry", "review", "compare", "release", "print")


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare every action with its flags."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True, parser_class=Parser)
    for name in DECLARED_IN:
        module: Any = import_module(f"arclore.tui.command.library_{name}_flags")
        module.add_actions(actions)
