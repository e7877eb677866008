"""The flags of ``arclore setup``."""

from __future__ import annotations

import argparse

from arclore.tui.command.parser import finite

HELP = "how to stand to the ball with a club, and what to expect"
ABOUT = """\
The set-up sheet of one club, or of two side by side: where the ball lies, stance,
tilt and tee, what turf or tee should show, and what the angle of attack does to
the path. Lengths of the body go with the golfer's height."""


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags."""
    parser.set_defaults(run=_run)
    parser.add_argument("clubs", nargs="+", metavar="CLUB", help="one club or two: driver, 7-iron, wedge ...")
    parser.add_argument("--handed", metavar="HAND", default="right", help="right or left")
    parser.add_argument("--level", metavar="LEVEL", default="intermediate", help="novice, intermediate or skilled")
    parser.add_argument("--height-cm", type=finite, metavar="N", default=175.0, help="of the golfer; 175 if not given")
    parser.add_argument("--library", action="append", metavar="FOLDER", help="as in triage")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.setup_sheet import run

    return run(given)
