"""A club by the name a person typed."""

from __future__ import annotations

from arclore.engine.geometry.club import Club
from arclore.engine.library.clubs import clubs_by_name
from arclore.engine.library.problems import nearest
from arclore.engine.library.stack import Library
from arclore.tui.command.exits import WrongUseError

MOTIONS_OF_THEIR_OWN = ("putt", "sand")  # a putt does not fly, a splash is not struck: predict plays neither


def club_named(name: str, library: Library, command: str) -> Club:
    """The club, a family or a member of one. Raises WrongUseError with the nearest name, or all names."""
    clubs = clubs_by_name(library.clubs)
    if name not in clubs:
        near = nearest(name, clubs)
        hint = f"nearest: {near}" if near else "known: " + ", ".join(sorted(clubs))
        raise WrongUseError(f"arclore {command}: no club is called {name!r} ({hint})")
    if command == "predict" and clubs[name].family in MOTIONS_OF_THEIR_OWN:
        struck = ", ".join(sorted(n for n, club in clubs.items() if club.family not in MOTIONS_OF_THEIR_OWN))
        raise WrongUseError(f"arclore predict: {name} is no shot struck into the air; give one of {struck}")
    return clubs[name]
