"""``arclore predict``: one swing in, one ball flight out."""

from __future__ import annotations

import argparse

from arclore.tui.command.clubs import club_named
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import library_of
from arclore.tui.command.page import print_json
from arclore.tui.command.play import played
from arclore.tui.command.predict_text import write_shot
from arclore.tui.command.stated import stated_in

USUAL_CLUB = "driver"


def run(given: argparse.Namespace) -> Exit:
    """Print the shot. Raises WrongUseError in one line for a shot that makes no sense."""
    stated = stated_in(given)
    club = None if stated.ball else club_named(stated.club or USUAL_CLUB, library_of(given.library), "predict")
    try:
        shot = played(stated, club)
    except ValueError as problem:
        raise WrongUseError(f"arclore predict: {problem}") from None
    if given.json:
        print_json(shot)
    else:
        write_shot(shot).show()
    return Exit.DONE
