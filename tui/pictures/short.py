"""Putts and splashes played to the end, as strokes that the pictures are drawn from."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.putt import Green, putt
from arclore.engine.geometry.sand import RESULTS, splash
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import CONTACTS, Delivered, Swing
from arclore.tui.pictures.stroke import OF_BALL, OF_CLUB, Flown, Rolled, Sand, Stroke, flown


def putted(swing: Swing, set_up: SetUp, club: Club, label: str, green: Green, hole_m: float) -> Stroke:
    """Play one putt on a level green. ``hole_m``: how far the hole is. Raises ValueError as ``putt`` does."""
    struck = putt(swing, set_up, club, green)
    number = _numbers(struck)
    far, off = number["distance_m"], number["side_m"]
    ahead = far * float(np.cos(np.radians(number["start_deg"])))
    ball = Flown(
        label=label,
        **{name: number[name] for name in ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm")},
        apex_m=0.0,
        curve_m=0.0,
        landing_deg=0.0,
        way=np.array([[0.0, ahead], [0.0, off], [0.0, 0.0]]),
        rest=(ahead, off),
    )
    slid = number["hop_m"] + number["skid_m"]
    return _stroke(number, club, set_up, label, ball, rolled=Rolled(slid, far, off, hole_m, green.run_m))


def splashed(swing: Swing, set_up: SetUp, club: Club, label: str) -> Stroke:
    """Play one swing through sand. Raises ValueError as ``splash`` does."""
    struck = splash(swing, set_up, club)
    number = _numbers(struck)
    sand = Sand(
        result=RESULTS[int(struck.result)],
        lead_heel_m=0.0 - float(set_up.ball_position_m),
        **{name: number[name] for name in ("arc_height_m", "entry_m", "depth_m", "mark_m")},
    )
    ball = flown(label, {name: number[name] for name in OF_BALL})
    return _stroke(number, club, set_up, label, ball, sand=sand)


def _numbers(struck: Delivered) -> dict[str, float]:
    return {field.name: float(getattr(struck, field.name)) for field in fields(struck)}


def _stroke(
    number: dict[str, float],
    club: Club,
    set_up: SetUp,
    label: str,
    ball: Flown,
    rolled: Rolled | None = None,
    sand: Sand | None = None,
) -> Stroke:
    slope = float(set_up.slope_deg)
    return Stroke(
        label=label,
        head=club.head,
        attack_deg=number["attack_deg"] - slope,
        dynamic_loft_deg=number["dynamic_loft_deg"] - slope,
        contact=CONTACTS[int(number["contact"])],
        stance=None,
        flown=ball,
        rolled=rolled,
        sand=sand,
        **{key: number[key] for key in OF_CLUB},
    )
