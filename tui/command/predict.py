"""``arclore predict``: one swing in, one ball flight out."""

from __future__ import annotations

import argparse

from arclore.tui.command import pictures
from arclore.tui.command.clubs import club_named
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import library_of
from arclore.tui.command.mirror import mirrored_flags, mirrored_shot
from arclore.tui.command.page import print_json
from arclore.tui.command.play import played
from arclore.tui.command.predict_text import write_shot
from arclore.tui.command.stated import stated_in

USUAL_CLUB = "driver"


def run(given: argparse.Namespace) -> Exit:
    """Print the shot. Raises WrongUseError in one line for a shot that makes no sense."""
    drawing = pictures.wanted(given)
    left_handed = given.handed == "left"
    if left_handed:
        given = mirrored_flags(given)
    stated = stated_in(given)
    library = library_of(given.library)
    club = None if stated.ball else club_named(stated.club or USUAL_CLUB, library, "predict")
    try:
        shot = played(stated, club)
        if drawing:
            pictures.draw(given, stated, club, shot, library)
    except ValueError as problem:
        raise WrongUseError(f"arclore predict: {problem}") from None
    if left_handed:
        shot = mirrored_shot(shot)
    if given.json:
        print_json(shot)
    elif not given.picture:
        write_shot(shot).show()
    return Exit.DONE
