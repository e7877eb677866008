"""The flags of ``arclore predict``: every number by its own name."""

from __future__ import annotations

import argparse

from arclore.tui.command.parser import finite
from arclore.tui.command.pictures_flags import add_flags as add_picture_flags
from arclore.tui.command.quantities import AIR, BALL, BODY, DELIVERED, FLIGHT, HEAD, INERTIA, SET_UP, SWING

HELP = "what the ball does for one swing"
ABOUT = """\
Play one swing, from the arc to the end of the flight. What is not stated comes
from the club's standard set-up and the swing of a player of that level without a
fault. Signs: + is right of the target, up, ahead of the ball, toward the toe.

Three ways to say a shot:
  a swing in a set-up      arclore predict --club 7-iron --ball-position-cm 0
  what the club delivers   arclore predict --club driver --attack-deg -3 --face-deg 2
  the ball alone           arclore predict --ball-speed-mps 65 --launch-deg 12 --backspin-rpm 2700

A delivery goes into the impact as stated. Without --club what it leaves out is
neutral: path, face and attack 0, the strike in the middle, and with
--head-mass-kg a flat head that does not turn and a ball that grips."""
GROUPS = (
    ("the swing", SWING),
    ("against body and ground (a swing in a set-up)", BODY),
    ("set-up", SET_UP),
    ("delivered at the ball (instead of a set-up)", DELIVERED),
    ("the head", HEAD),
    ("the ball alone (instead of a swing)", BALL),
    ("flight", FLIGHT),
    ("air (a density, or what makes it)", AIR),
)


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags; a number that is not given stays None."""
    parser.set_defaults(run=_run)
    parser.add_argument("--club", metavar="CLUB", help="driver, 7-iron, wedge ...; driver where none is given")
    parser.add_argument("--level", metavar="LEVEL", help="novice, intermediate or skilled")
    parser.add_argument("--surface", metavar="TURF", help="where it lands: soft, fairway or firm")
    parser.add_argument("--accuracy", metavar="HOW", help="of the flight: fine or quick")
    parser.add_argument("--library", action="append", metavar="FOLDER", help="as in triage")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/prediction.schema.json)")
    add_picture_flags(parser)
    for title, quantities in GROUPS:
        group = parser.add_argument_group(title)
        for quantity in quantities:
            group.add_argument(quantity.flag, type=finite, metavar="N", help=quantity.help)
        if quantities is HEAD:
            group.add_argument(
                "--" + INERTIA.replace("_", "-"),
                nargs="+",
                metavar="N",
                help="three numbers: about the toe, up and face-normal axes",
            )


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.predict import run

    return run(given)
