"""The flags of ``arclore library status`` and ``review``."""

from __future__ import annotations

import argparse
from typing import Any

KINDS = ("club", "symptom", "cause", "check", "drill", "words", "case")
REVIEW = """\
Judge one entry as it reads now. The judgement is a small file in the library's
`reviews` folder; commit it yourself, under your own name, and it counts. An
approval answers every question of the checklist and holds for exactly this
content; nobody approves what they wrote themselves."""
STATUS = """\
How far each entry has come, computed from the reviews: unreviewed, draft,
in-review, approved, due-again, retired; and whom it waits for."""


def add_actions(actions: Any) -> None:
    """Declare the actions."""
    status = actions.add_parser("status", help="how far each entry has come", description=STATUS)
    status.add_argument("folder", nargs="?", metavar="FOLDER", help="a library; else this folder, else your own")
    status.add_argument("--due", action="store_true", help="only entries that wait for somebody")
    review = actions.add_parser("review", help="judge an entry: approve, reject or comment", description=REVIEW)
    review.add_argument("kind", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    review.add_argument("id", metavar="ID")
    verdict = review.add_mutually_exclusive_group(required=True)
    for word in ("approve", "reject", "comment"):
        verdict.add_argument(f"--{word}", dest="verdict", action="store_const", const=word)
    review.add_argument("--in", dest="folder", metavar="FOLDER", help="the library; else this folder, else your own")
    review.add_argument("--as", dest="reviewer", metavar="NAME", help="`Name <address>`; else as git knows you")
    review.add_argument(
        "--answer", action="append", default=[], metavar="QUESTION=ANSWER", help="yes, no or not-applicable"
    )
    review.add_argument("--trial", action="append", default=[], metavar="TEXT", help="who tried it, how it went")
    review.add_argument("--note", metavar="TEXT", help="why; needed to reject or comment")
    review.add_argument("--expires", metavar="DATE", help="when to look again, as 2031-05-20; else in a year")
    for name, parser in (("status", status), ("review", review)):
        parser.add_argument("--json", action="store_true", help="one JSON object")
        parser.set_defaults(run=_run, action=name)


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command import library_review

    return int(getattr(library_review, f"run_{given.action}")(given))
