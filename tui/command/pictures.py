"""The pictures that ``arclore predict`` draws: of the shot, or of two side by side."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from arclore.engine.geometry.arc import MODEL_ERROR_DEG, MODEL_ERROR_M
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Swing, fault_free
from arclore.engine.geometry.trace import trace
from arclore.engine.library.atomic import write_text
from arclore.engine.library.problems import nearest, shortened
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Handed
from arclore.tui.ascii_only import can_show_braille
from arclore.tui.command.clubs import club_named
from arclore.tui.command.exits import WrongUseError
from arclore.tui.command.mirror import SIDED_FLAGS
from arclore.tui.command.page import number
from arclore.tui.command.parser import finite
from arclore.tui.command.pictures_flags import HANDS, UNIT_NAMES
from arclore.tui.command.play import OF_BALL, air_of, played
from arclore.tui.command.quantities import AIR, BALL, BODY, DELIVERED, FLIGHT, HEAD, INERTIA, SET_UP, SWING
from arclore.tui.command.stated import Stated, stated_in
from arclore.tui.pictures.layout import wrapped
from arclore.tui.pictures.paper import as_text
from arclore.tui.pictures.plate import Plate, of_flights, of_strokes
from arclore.tui.pictures.stroke import Flown, Stance, Stroke, exchanged, same_swing
from arclore.tui.pictures.svg import as_svg
from arclore.tui.settings import load
from arclore.tui.units import UNITS

WIDEST = 160  # columns
MODEL_ERROR = (
    f"The arc is a circle in a plane here: take {number(MODEL_ERROR_DEG)} deg and {number(MODEL_ERROR_M * 100, 0)} cm "
    "either way as its own error."
)
NUMBERS = [q.name for group in (SWING, BODY, SET_UP, DELIVERED, HEAD, BALL, FLIGHT, AIR) for q in group]
CHANGEABLE = {quantity.name.replace("_", "-"): quantity for quantity in (*SWING, *BODY, *SET_UP)}


def wanted(given: argparse.Namespace) -> bool:
    """Whether anything is to be drawn. Raises WrongUseError in one line for flags that don't go together."""
    if given.units is None:
        given.units = load().units
    for flag, known in (("handed", HANDS), ("units", UNIT_NAMES)):
        value = getattr(given, flag)
        if value not in known:
            raise _wrong(f"--{flag}: {shortened(value, 40)!r} is none of {', '.join(known)}")
    if given.json and given.picture:
        raise _wrong("--json, --picture: both go to stdout; leave one out, or use --svg FILE")
    drawing = given.picture or given.svg is not None
    if given.against and not drawing:
        raise _wrong("--against draws two shots: add --picture or --svg FILE")
    if given.exchange_set_ups and not given.against:
        raise _wrong("--exchange-set-ups needs a second club: add --against CLUB")
    return bool(drawing)


def draw(given: argparse.Namespace, stated: Stated, club: Club | None, shot: dict[str, Any], library: Library) -> None:
    """Print the pictures and write the file, as wanted. Raises WrongUseError, or ValueError as ``played`` does."""
    plates = _plates(given, stated, club, shot, library)
    if given.svg is not None:
        _write(Path(given.svg), as_svg(*plates))
    if given.picture:
        columns = min(shutil.get_terminal_size((80, 24)).columns, WIDEST)
        plain = given.ascii or not can_show_braille(sys.stdout.encoding, os.environ)
        for count, plate in enumerate(plates):
            lines = as_text(plate, columns, ascii_only=plain)
            print("\n".join(["", *lines] if count else lines))
        if club is not None:
            print("\n".join(["", *wrapped(MODEL_ERROR, columns)]))


def _write(path: Path, text: str) -> None:
    """Write the file whole; never over a device or a folder, and into no folder that is not there."""
    if path.exists() and not path.is_file():
        raise _wrong(f"--svg: {shortened(path, 80)} is no file")
    if not path.parent.is_dir():
        raise _wrong(f"--svg: there is no folder {shortened(path.parent, 80)}")
    try:
        write_text(path, text, 0o644)
    except OSError as problem:
        raise _wrong(f"--svg: cannot write {shortened(path, 80)}: {problem.strerror}") from None


def _wrong(message: str) -> WrongUseError:
    return WrongUseError(f"arclore predict: {message}")


def _plates(
    given: argparse.Namespace, stated: Stated, club: Club | None, shot: dict[str, Any], library: Library
) -> list[Plate]:
    handed: Handed = given.handed
    units = UNITS[given.units]
    if club is None:
        if given.against:
            raise _wrong("--against plays a swing; the ball alone has none")
        return [of_flights("A ball's flight", [_flown("", stated, shot)], handed, units)]
    if not given.against:
        return [of_strokes(f"{club.id}, {stated.level}", [_stroke(club.id, stated, club, shot)], handed, units)]
    pairs = _against(given, stated, club, library)
    return [of_strokes(title, strokes, handed, units) for title, strokes in pairs]


# --- one shot ----------------------------------------------------------------------------------------------


def _flown(label: str, stated: Stated, shot: dict[str, Any]) -> Flown:
    launch = {name: float(shot[name]) for name in OF_BALL}
    return Flown(
        label=label,
        **{name: launch[name] for name in ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm")},
        **{name: float(shot[name]) for name in ("apex_m", "curve_m", "landing_deg")},
        way=trace(**launch, air=air_of(stated), **stated.flight),  # type: ignore[arg-type]
        rest=(float(shot["total_m"]), float(shot["total_side_m"])),
    )


def _stroke(label: str, stated: Stated, club: Club, shot: dict[str, Any]) -> Stroke:
    """The record of a shot as a stroke; its slope was added to attack and loft and comes off again."""
    slope = stated.set_up.get("slope_deg", club.standard.slope_deg)
    stance = None
    if shot["arc_height_mm"] is not None and shot["turf"] is not None:
        stance = Stance(
            lead_heel_m=(shot["low_point_cm"] - shot["low_point_body_cm"]) / 100.0,
            tee_height_m=float(stated.set_up.get("tee_height_m", club.standard.tee_height_m)),
            arc_height_m=shot["arc_height_mm"] / 1e3,
            turf=shot["turf"],
            **{f"turf_{part}_m": shot[f"turf_{part}_cm"] / 100.0 for part in ("start", "end", "depth")},
        )
    same = ("swing_direction_deg", "plane_deg", "arc_radius_m", "path_deg", "face_deg", "contact")
    return Stroke(
        label=label,
        head=club.head,
        attack_deg=shot["attack_deg"] - slope,
        dynamic_loft_deg=shot["dynamic_loft_deg"] - slope,
        low_point_m=shot["low_point_cm"] / 100.0,
        strike_toe_m=shot["strike_toe_mm"] / 1e3,
        strike_up_m=shot["strike_up_mm"] / 1e3,
        stance=stance,
        flown=_flown(label, stated, shot),
        **{name: shot[name] for name in same},
    )


# --- two shots ---------------------------------------------------------------------------------------------


def _against(given: argparse.Namespace, stated: Stated, club: Club, library: Library) -> list[tuple[str, list[Stroke]]]:
    """The stated swing beside the same with another club, or changed; then with the set-ups exchanged."""
    if stated.by_delivery or stated.head or stated.inertia_kgm2:
        raise _wrong("--against plays a swing in a set-up; leave the numbers of delivery and head out")
    other, changes = _other(given, club, library)
    if given.exchange_set_ups and other.id == club.id:
        raise _wrong("--exchange-set-ups needs a second club: name it after --against")
    swing = replace(fault_free(club, stated.level), **{**stated.swing, **stated.body})
    set_up = replace(club.standard, **stated.set_up)
    swings = swing, replace(same_swing(swing, club, other, stated.level), **{**changes.swing, **changes.body})
    set_ups = set_up, replace(_carried(set_up, club.standard, other.standard), **changes.set_up)
    clubs = club, other
    names = [club.id, other.id if other.id != club.id else f"{club.id}, changed"]

    def strokes(stood: Sequence[SetUp]) -> list[Stroke]:
        return [_played(*each, stated) for each in zip(names, swings, stood, clubs, strict=True)]

    pairs = [(f"One swing, {stated.level}: {' beside '.join(names)}", strokes(set_ups))]
    if given.exchange_set_ups:
        swapped = exchanged(set_ups[0], set_ups[1]), exchanged(set_ups[1], set_ups[0])
        pairs.append(("The same swing, each club from the other's set-up", strokes(swapped)))
    return pairs


def _played(label: str, swing: Swing, set_up: SetUp, club: Club, stated: Stated) -> Stroke:
    whole = {name: float(value) for name, value in vars(swing).items() if value is not None}
    own = replace(stated, swing={}, body=whole, set_up={name: float(value) for name, value in vars(set_up).items()})
    return _stroke(label, own, club, played(own, club))


def _carried(set_up: SetUp, standard: SetUp, other: SetUp) -> SetUp:
    """What this set-up changes of its standard, laid on the other club's; the tee stays with its club."""
    change = {name: value - getattr(standard, name) for name, value in vars(set_up).items() if name != "tee_height_m"}
    return replace(other, **{name: getattr(other, name) + value for name, value in change.items()})


def _other(given: argparse.Namespace, club: Club, library: Library) -> tuple[Club, Stated]:
    """The club and the changes named after ``--against``; the changes are checked like the flags they are."""
    names = [word for word in given.against if "=" not in word]
    if len(names) > 1:
        raise _wrong(f"--against: {len(names)} clubs; name one")
    other = club_named(names[0], library, "predict") if names else club
    changes = argparse.Namespace(**{**vars(given), **dict.fromkeys([*NUMBERS, INERTIA]), "club": None, "level": None})
    for word in given.against:
        name, equals, value = word.partition("=")
        if not equals:
            continue
        name = name.removeprefix("--").replace("_", "-")
        if name not in CHANGEABLE:
            near = nearest(name, CHANGEABLE)
            hint = f"nearest: {near}" if near else "a number of swing or set-up, such as aim-deg=2"
            raise _wrong(f"--against: unknown change {shortened(name, 40)} ({hint})")
        try:
            change = finite(value)
        except argparse.ArgumentTypeError as problem:
            raise _wrong(f"--against: {name}: {problem}") from None
        field = CHANGEABLE[name].name
        setattr(changes, field, 0.0 - change if given.handed == "left" and field in SIDED_FLAGS else change)
    if other.id == club.id and len(names) == len(given.against):
        raise _wrong(f"--against: {club.id} is the club itself; name another club or a change such as aim-deg=2")
    return other, stated_in(changes)
