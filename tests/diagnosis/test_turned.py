"""Face to path, loft and speed: what the tables of sound strikes say is what the geometry does, both ways."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.moves import moved
from arclore.engine.diagnosis.sound import FlightWords, sound_strike
from arclore.engine.diagnosis.turned import BEND_CLASSES, USUAL_BEND, bend_class, log_of_class
from arclore.engine.geometry.shot import deliver
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library

ANGLES = np.array([-8.0, -3.0, 0.0, 2.0, 6.5])


def condition(family: str) -> Condition:
    library = load_library()
    club = club_from_entry(library.clubs[family])
    return Condition(club, "intermediate", club.standard, library.settings, family)


def sound(made: Condition, face: np.ndarray, change: dict[str, float]) -> FlightWords:
    swing, set_up = moved(made.swing, made.set_up, made.club, {**change, "face_deg": face})
    played = deliver(swing, set_up, made.club)
    played = replace(played, **{f.name: np.broadcast_to(getattr(played, f.name), face.shape) for f in fields(played)})
    return sound_strike(played, made.club, swing.speed_mps)


CHANGES = [{}, {"loft_deg": -3.0}, {"loft_deg": 7.0}, {"speed_percent": -14.0}, {"strike_toe_mm": 12.0}]


@pytest.mark.parametrize("family", ["driver", "mid-iron", "wedge"])
@pytest.mark.parametrize("change", CHANGES, ids=str)
def test_a_flight_is_traced_back_to_face_and_path(family: str, change: dict[str, float]) -> None:
    """Whatever loft, speed and strike, start and bend lead back to the path of 0 and the face to path that made them.

    Within a tenth of the angle: what loft does to the share of the face in the start is left out.
    """
    made = condition(family)
    words = sound(made, ANGLES, change)
    middle = sound(made, np.zeros(1), change)  # a strike off the middle turns the ball by itself
    bend_log = made.bend_log({**change, "face_deg": ANGLES})
    path, face_to_path = made._turned.undone(words.bend - middle.bend, words.start_deg - middle.start_deg, bend_log)
    assert face_to_path == pytest.approx(ANGLES, rel=0.11, abs=0.4)
    assert (np.abs(path) <= 0.3 + 0.07 * np.abs(ANGLES)).all()


@pytest.mark.parametrize("family", ["driver", "mid-iron", "wedge"])
@pytest.mark.parametrize(
    "change",
    [{"loft_deg": 6.0}, {"speed_percent": -14.0}, {"strike_toe_mm": -15.0}, {"low_point_cm": 12.0}],
    ids=str,
)
def test_bend_falls_with_loft_a_slow_club_a_strike_off_the_middle_and_a_club_that_moves_down(
    family: str, change: dict[str, float]
) -> None:
    """The bend log is what the geometry makes of a face a degree to either side."""
    made = condition(family)
    sides = np.array([1.0, -1.0])
    slope = np.log(np.ptp(sound(made, sides, change).bend) / np.ptp(sound(made, sides, {}).bend))
    log = made.bend_log({**change, "face_deg": np.zeros(1)})[0]
    assert log == pytest.approx(slope, abs=0.04)
    assert log < -0.02


def test_classes_of_bend() -> None:
    """Each class's own log belongs to it, no change is the usual class, and the ends hold what lies beyond them."""
    logs = np.array([log_of_class(one) for one in range(BEND_CLASSES)])
    assert bend_class(logs).tolist() == list(range(BEND_CLASSES))
    assert bend_class(np.array([0.0, -9.0, 9.0])).tolist() == [USUAL_BEND, 0, BEND_CLASSES - 1]


def test_the_face_goes_with_the_path_where_strikes_miss_the_middle() -> None:
    """Gear effect: with a bulged driver a strike off the middle moves both, with an iron hardly."""
    assert condition("driver").lean > 0.05
    assert abs(condition("mid-iron").lean) < 0.02


def test_a_cell_that_a_border_crosses_has_part_of_both_words() -> None:
    """What a place on the strike grid shows is a share, and the shares of all words make up the whole."""
    made = condition("mid-iron")
    shares = [made.region("contact", value) for value in ("fat", "clean", "thin", "top", "sky", "miss")]
    assert np.sum(shares, axis=0) == pytest.approx(np.ones(shares[0].shape))
    assert ((shares[0] > 0) & (shares[0] < 1)).any()


@pytest.mark.parametrize("family", ["mid-iron", "pitch", "chip"])
def test_a_mark_behind_the_ball_may_be_deep(family: str) -> None:
    """Fat with a deep mark is one kind of ball, not a contradiction; a shallow mark past the ball is neither."""
    made = condition(family)
    none, after, deep, behind = (made.region("turf", value) for value in ("none", "after", "deep", "behind"))
    assert (deep * behind * made.region("contact", "fat")).max() == 1.0
    assert ((behind == 1.0) & (deep == 0.0)).any()
    assert (none + after + np.maximum(deep, behind)).max() <= 1.0 + 1e-12
