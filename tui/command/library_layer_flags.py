"""The flags of ``arclore library add``, ``list`` and ``remove``."""

from __future__ import annotations

import argparse
from typing import Any


def add_actions(actions: Any) -> None:
    """Declare the actions."""
    add = actions.add_parser("add", help="lay a shared library over the built-in one")
    add.add_argument("source", metavar="SOURCE", help="a folder, or a git address, which is cloned")
    add.add_argument("--name", help="what to call it here; else the id in its library.yaml")
    add.add_argument("--namespace", help="what its new ids begin with; else the id in its library.yaml")
    shown = actions.add_parser("list", help="the layers in the order in which they are laid")
    remove = actions.add_parser("remove", help="lay a shared library no longer; its folder stays")
    remove.add_argument("name", metavar="NAME", help="the name that `list` shows")
    for name, parser in (("add", add), ("list", shown), ("remove", remove)):
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.set_defaults(run=_run, action=name)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command import library_layer

    return int(getattr(library_layer, f"run_{given.action}")(given))
