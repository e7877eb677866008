"""``arclore setup``: the set-up sheet of a club, for the golfer's hand, height and level.

The sheet is what the geometry gives for the club's standard set-up and the level's swing without a fault.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import Any

import numpy as np
from arclore.engine.geometry import arc
from arclore.engine.geometry.club import LEVELS, Club
from arclore.engine.geometry.sand import Splash, splash, splash_swing
from arclore.engine.geometry.shot import TURFS, Shot, fault_free, shot
from arclore.engine.quantities import BALL_DIAMETER_M, plain
from arclore.tui.command.clubs import club_named
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import library_of
from arclore.tui.command.page import Page, number, print_json, sentence, side

STANDARD_HEIGHT_CM = 175.0  # of the golfer whom the clubs' standard set-ups fit (estimate)
HEIGHTS_CM = (90.0, 230.0)
SIDED = ("path_shift_deg", "straight_swing_direction_deg")


def run(given: argparse.Namespace) -> Exit:
    """Print the sheet of one club or of two."""
    for flag, value, known in (("handed", given.handed, ("right", "left")), ("level", given.level, LEVELS)):
        if value not in known:
            raise WrongUseError(f"arclore setup: --{flag}: {value!r} is none of {', '.join(known)}")
    low, high = HEIGHTS_CM
    if not low <= given.height_cm <= high:
        raise WrongUseError(
            f"arclore setup: --height-cm is {given.height_cm:g}; give a number from {low:g} to {high:g}"
        )
    if len(given.clubs) > 2:
        raise WrongUseError(f"arclore setup: {len(given.clubs)} clubs; give one or two")
    library = library_of(given.library)
    clubs = [club_named(name, library, "setup") for name in given.clubs]
    sheet = sheet_of(clubs, given.level, given.handed, given.height_cm)
    if given.json:
        print_json(sheet)
    else:
        write_sheet(sheet).show()
    return Exit.DONE


def sheet_of(clubs: list[Club], level: str, handed: str, height_cm: float) -> dict[str, Any]:
    """The sheet as plain data; angles to a side are + to the right as this golfer sees it."""
    rows = [_row(fitted(club, height_cm), level) for club in clubs]
    if handed == "left":
        rows = [{**row, **{name: -row[name] for name in SIDED}} for row in rows]
    sheet: dict[str, Any] = {"handed": handed, "level": level, "height_cm": height_cm, "clubs": rows}
    if len(rows) == 2:
        one, other = rows
        sheet["between"] = {
            name: other[name] - one[name] for name in ("ball_position_cm", "stance_width_cm", "tilt_deg", *SIDED)
        }
    result: dict[str, Any] = plain(sheet, 4)
    return result


def fitted(club: Club, height_cm: float) -> Club:
    """The club as a golfer of this height stands to it: stance, ball and arms grow with the body, the club stays."""
    share = height_cm / STANDARD_HEIGHT_CM
    standard = club.standard
    return replace(
        club,
        arc_radius_m=club.length_m + (club.arc_radius_m - club.length_m) * share,
        standard=replace(
            standard,
            ball_position_m=standard.ball_position_m * share,
            stance_width_m=standard.stance_width_m * share,
        ),
    )


def _played(club: Club, level: str) -> Shot | Splash:
    if club.played_from == "sand":
        return splash(splash_swing(club, level), club.standard, club)
    return shot(fault_free(club, level), club.standard, club)


def _row(club: Club, level: str) -> dict[str, Any]:
    standard = club.standard
    played = _played(club, level)
    attack = float(played.attack_deg)
    top = (club.head.face_centre_m + club.head.face_half_height_up_m) * np.cos(np.radians(club.loft_deg))
    above = (standard.tee_height_m + BALL_DIAMETER_M - top) / BALL_DIAMETER_M
    carry, apex = played.carry_m, played.apex_m
    assert carry is not None and apex is not None  # the flight was asked for
    if isinstance(played, Splash):
        turf, marks = "sand", (played.depth_m, -played.entry_m, played.mark_m - played.entry_m)
    else:
        turf, marks = TURFS[int(played.turf)], (played.turf_depth_m, played.turf_start_m, played.turf_end_m)
    names = ("turf_depth_cm", "turf_start_cm", "turf_end_cm")
    lengths = {name: float(mark) * 100.0 for name, mark in zip(names, marks, strict=True)}
    return {
        "club": club.id,
        "family": club.family,
        "ball_position_cm": standard.ball_position_m * 100.0,
        "stance_width_cm": standard.stance_width_m * 100.0,
        "tilt_deg": float(standard.tilt_deg),
        "tee_height_mm": standard.tee_height_m * 1000.0,
        "handle_cm": standard.handle_m * 100.0,
        "ball_above_face_share": float(np.clip(above, 0.0, 1.0)) if standard.tee_height_m else None,
        "plane_deg": float(club.plane_deg),
        "arc_radius_m": club.arc_radius_m,
        "speed_mps": float(played.speed_mps),
        "attack_deg": attack,
        "low_point_cm": float(played.low_point_m) * 100.0,
        "low_point_body_cm": (float(played.low_point_m) + standard.ball_position_m) * 100.0,
        "path_shift_deg": float(arc.path_shift_deg(attack, club.plane_deg)),
        "straight_swing_direction_deg": float(arc.swing_direction_for_path(0.0, attack, club.plane_deg)),
        "turf": turf,
        **lengths,
        "launch_deg": float(played.launch_deg),
        "carry_m": float(carry),
        "apex_m": float(apex),
    }


def write_sheet(sheet: dict[str, Any]) -> Page:
    """The sheet as a page of plain text."""
    page = Page()
    lead = "left" if sheet["handed"] == "right" else "right"
    for row in sheet["clubs"]:
        page.heading(
            f"{row['club']}: {sheet['handed']}-handed, {sheet['level']}, {number(sheet['height_cm'], 0)} cm tall"
        )
        for text in (_stance(row, lead), _expect(row), _path(row)):
            for line in text:
                page.paragraph(sentence(line), 2, "- ")
    if "between" in sheet:
        _between(page, sheet)
    page.heading("How far to trust it")
    page.paragraph(
        "These are starting points for a golfer without a fault, rounded from common practice; the arc is good to "
        "1.5 deg and 3 cm. Let the brush mark and the strike have the last word."
    )
    return page


def _stance(row: dict[str, Any], lead: str) -> list[str]:
    heel = f"the inside of the lead ({lead}) heel"
    ball = side(row["ball_position_cm"], "back from", "ahead of", "cm", "level with")
    handle = side(row["handle_cm"], "behind the ball", "ahead of the ball", "cm", "level with the ball")
    lines = [
        f"the ball lies {ball} {heel}",
        f"{number(row['stance_width_cm'], 0)} cm between the heels",
        f"the upper body tilts {number(row['tilt_deg'], 0)} deg away from the target, the handle is {handle}",
    ]
    if row["tee_height_mm"]:
        share = number(100 * row["ball_above_face_share"], 0)
        lines.append(
            f"the tee lifts the ball {number(row['tee_height_mm'], 0)} mm: {share} % of it shows above the face"
        )
    else:
        lines.append("no tee")
    return lines


def _expect(row: dict[str, Any]) -> list[str]:
    low = side(row["low_point_cm"], "behind the ball", "ahead of the ball", "cm", "at the ball")
    if row["turf"] == "none":
        mark = "the turf stays unmarked" + (" and the tee stands or tips a little" if row["tee_height_mm"] else "")
    else:
        start = side(row["turf_start_cm"], "behind the ball", "ahead of the ball", "cm", "at the ball")
        end, depth = number(row["turf_end_cm"], 0), number(row["turf_depth_cm"])
        cut = "the sole runs through the sand" if row["turf"] == "sand" else "the turf is cut"
        mark = f"{cut} from {start} to {end} cm ahead, {depth} cm deep"
    return [f"the club bottoms out {low}", mark]


def _path(row: dict[str, Any]) -> list[str]:
    attack = side(row["attack_deg"], "down", "up", "deg", "level")
    shift = side(row["path_shift_deg"], "to the left", "to the right", "deg", "nowhere")
    line = side(row["straight_swing_direction_deg"], "to the left", "to the right", "deg", "at the target")
    return [
        f"hitting {attack} in a plane of {number(row['plane_deg'], 0)} deg turns the path {shift}",
        f"a straight path wants the arc's base line {line}",
    ]


def _between(page: Page, sheet: dict[str, Any]) -> None:
    one, other = (row["club"] for row in sheet["clubs"])
    gap = sheet["between"]
    page.heading(f"From the {one} to the {other}")
    ball = side(gap["ball_position_cm"], "further back", "further ahead", "cm", "in the same place")
    width = side(gap["stance_width_cm"], "narrower", "wider", "cm", "as wide")
    tilt = side(gap["tilt_deg"], "less", "more", "deg", "no more")
    turn = side(gap["path_shift_deg"], "to the left", "to the right", "deg", "nowhere")
    page.paragraph(
        f"The ball lies {ball}, the stance is {width}, the upper body tilts {tilt}. "
        f"With one and the same swing direction the path turns {turn} from set-up alone."
    )
