"""The flags of ``arclore lessons``: what the desk has kept on this machine."""

from __future__ import annotations

import argparse

HELP = "list, copy or delete the lessons kept on this machine"
ABOUT = """\
Lessons are kept on this machine only, readable by you alone.

  arclore lessons list
  arclore lessons export LESSON ... --to FOLDER
  arclore lessons delete LESSON ... --yes"""


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the actions."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    shown = actions.add_parser("list", help="the lessons, newest first")
    shown.add_argument("--json", action="store_true", help="one JSON object")
    copied = actions.add_parser("export", help="copy lessons into a folder, each as one JSON file")
    copied.add_argument("--to", required=True, metavar="FOLDER", help="where the copies go")
    gone = actions.add_parser("delete", help="delete lessons for good")
    gone.add_argument("--yes", action="store_true", help="do not ask")
    for action in (copied, gone):
        action.add_argument("lesson", nargs="*", metavar="LESSON", help="the name that `list` shows")
        action.add_argument("--all", action="store_true", help="every lesson")
    for action in (shown, copied, gone):
        action.set_defaults(run=_run)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command import lessons

    return int(getattr(lessons, f"run_{given.action}")(given))
