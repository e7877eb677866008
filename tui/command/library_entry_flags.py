"""The flags of ``arclore library new``, ``amend``, ``retire`` and ``copy``."""

from __future__ import annotations

import argparse
from typing import Any

from arclore.tui.command.library_review_flags import KINDS

FIELDS = """\
Each --set FIELD=VALUE sets one whole field: plain text where the field holds text,
otherwise YAML, as in `minutes=8` or `kit=[chalk, towel]`; `kit=null` takes a
field out. What breaks the rules of its kind is told and nothing is written."""
RETIRE = """\
Keep an entry for the old cases that name it, with a reason; no lesson uses it any
more. Its id is never used again."""


def add_actions(actions: Any) -> None:
    """Declare the actions."""
    new = _action(actions, "new", "start an entry: asked for at a terminal, or to be filled in", fields=True)
    new.add_argument("--from", dest="source", metavar="ID", help="start from a copy of this entry")
    _action(actions, "amend", "change whole fields; comments and all else stay", fields=True)
    copy = _action(actions, "copy", "copy an entry under another id", fields=True)
    copy.add_argument("new_id", metavar="NEW_ID")
    retire = _action(actions, "retire", "keep an entry for old cases only", about=RETIRE)
    retire.add_argument("--reason", required=True, metavar="TEXT", help="why it is used no more")
    retire.add_argument("--replaced-by", action="append", default=[], metavar="ID", help="what to use instead")


def _action(actions: Any, name: str, told: str, fields: bool = False, about: str = FIELDS) -> argparse.ArgumentParser:
    parser: argparse.ArgumentParser = actions.add_parser(name, help=told, description=about)
    parser.add_argument("kind", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("id", metavar="ID")
    if fields:
        parser.add_argument("--set", dest="fields", action="append", default=[], metavar="FIELD=VALUE")
    parser.add_argument("--in", dest="folder", metavar="FOLDER", help="the library; else this folder, else your own")
    parser.add_argument("--author", metavar="NAME", help="who writes; else as git knows you")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=_run, action=name)
    return parser


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.library_entry import run

    return int(run(given))
