"""The flags of ``arclore predict`` that draw."""

from __future__ import annotations

import argparse

HANDS = ("right", "left")
UNIT_NAMES = ("metric", "yards")


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags that draw the shot, and those that play it against another."""
    group = parser.add_argument_group("pictures, one swing or two side by side")
    group.add_argument("--picture", action="store_true", help="draw the shot in place of the plain sentences")
    group.add_argument("--svg", metavar="FILE", help="write the pictures to this file")
    group.add_argument(
        "--against",
        nargs="+",
        metavar="WHAT",
        help="the same swing with another club, or changed, or both: driver ball-position-cm=4",
    )
    group.add_argument(
        "--exchange-set-ups",
        action="store_true",
        help="with --against CLUB: then each club from the other's set-up too, each on its own tee or turf",
    )
    group.add_argument("--handed", default="right", metavar="HAND", help="right or left; sides are the golfer's own")
    group.add_argument("--units", metavar="UNITS", help="in pictures: metric or yards; else as at the desk")
    group.add_argument("--ascii", action="store_true", help="draw with plain letters only")
