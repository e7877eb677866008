"""The flags of ``arclore serve``."""

from __future__ import annotations

import argparse

from arclore.tui.command.parser import whole

HELP = "the desk in a browser, for a tablet"
ABOUT = """\
Serve the desk to a browser: each tab is a desk of its own, and the lessons stay
on this machine. Without flags only this machine can reach it. There is no
password and no encryption: for a network that others use, put a proxy with both
before it and name its address with --public-url (README, "On a tablet")."""


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags."""
    parser.set_defaults(run=_run)
    parser.add_argument("--host", default="127.0.0.1", metavar="ADDRESS", help="where to listen (127.0.0.1)")
    parser.add_argument("--port", type=whole, default=8017, metavar="N", help="port; 0 for any free one (8017)")
    parser.add_argument("--allow-network", action="store_true", help="let other machines reach it, with --host")
    parser.add_argument("--public-url", default="", metavar="URL", help="the address at which a proxy shows the desk")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.serve import run

    return run(given)
