"""The flags of ``arclore library release``, ``verify`` and ``install``."""

from __future__ import annotations

import argparse
from typing import Any

LEVELS = ("approved", "due-again", "in-review", "draft", "unreviewed")
RELEASE = """\
Make one file to hand out: the entries that have come far enough and the retired
ones, what changed, and a record with digests. Tell others the digest it prints
in another way than the file itself. Raise the version in its library.yaml before
each release."""
VERIFY = """\
Judge a release and install nothing: every file is as its record says, none is
besides, the entries are sound and have come as far as it says."""
INSTALL = """\
Verify a release, keep it among your data and lay it over the shared libraries. A
newer one takes an older one's place after `arclore library remove NAME`."""


def add_actions(actions: Any) -> None:
    """Declare the actions."""
    release = actions.add_parser("release", help="make one file to hand out", description=RELEASE)
    release.add_argument("folder", nargs="?", metavar="FOLDER", help="the library; else this folder, else your own")
    release.add_argument("--to", metavar="FILE", help="the zip to write; else ID-VERSION.zip here")
    release.add_argument("--least", choices=LEVELS, default="approved", help="how far entries must have come")
    since = "what the list of changes starts from: the last release, else a folder or revision and all that is in it"
    release.add_argument("--since", metavar="FILE", help=since)
    verify = actions.add_parser("verify", help="judge a release without installing it", description=VERIFY)
    laid = "verify a release and lay it over the shared libraries"
    install = actions.add_parser("install", help=laid, description=INSTALL)
    install.add_argument("--name", help="what to call it here; else its id")
    for name, parser in (("release", release), ("verify", verify), ("install", install)):
        if parser is not release:
            parser.add_argument("file", metavar="FILE", help="the zip")
            parser.add_argument("--digest", default="", metavar="DIGEST", help="as its makers told it")
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.set_defaults(run=_run, action=name)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command import library_release

    return int(library_release.run(given))
