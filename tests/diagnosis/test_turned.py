"""Face to path and loft: what the tables of sound strikes give is what the geometry gives, forwards and backwards."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.sound import FlightWords, sound_strike
from arclore.engine.diagnosis.turned import USUAL_BEND
from arclore.engine.geometry.shot import deliver
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library

ANGLES = np.array([-8.0, -3.0, 0.0, 2.0, 6.5])


def condition(family: str) -> Condition:
    library = load_library()
    club = club_from_entry(library.clubs[family])
    return Condition(club, "intermediate", club.standard, library.settings, family)


def sound(made: Condition, face: np.ndarray, loft: float) -> FlightWords:
    swing = replace(made.swing, face_deg=made.swing.face_deg + face, loft_deg=made.swing.loft_deg + loft)
    played = deliver(swing, made.set_up, made.club)
    played = replace(played, **{f.name: np.broadcast_to(getattr(played, f.name), face.shape) for f in fields(played)})
    return sound_strike(played, made.club, swing.speed_mps)


@pytest.mark.parametrize("family", ["driver", "mid-iron", "wedge"])
@pytest.mark.parametrize("loft", [-3.0, 0.0, 1.4, 7.0])
def test_a_flight_is_traced_back_to_face_and_path(family: str, loft: float) -> None:
    """Whatever the loft, start and bend lead back to the path of 0 and the face to path that made them."""
    made = condition(family)
    words = sound(made, ANGLES, loft)
    path, face_to_path = made._turned.undone(words.bend, words.start_deg, np.full(len(ANGLES), loft))
    assert face_to_path == pytest.approx(ANGLES, abs=0.3)
    assert path == pytest.approx(np.zeros(len(ANGLES)), abs=0.3)


@pytest.mark.parametrize("family", ["driver", "mid-iron", "wedge"])
def test_more_loft_bends_less(family: str) -> None:
    """Classes fall with loft, the usual loft is the usual class, and each class's own loft belongs to it."""
    turned = condition(family)._turned
    classes = turned.bend_class(np.arange(-6.0, 12.0, 1.0))
    assert (np.diff(classes) <= 0).all() and classes[0] > classes[-1]
    assert turned.bend_class(np.zeros(1))[0] == USUAL_BEND
    for one in map(int, np.unique(classes)):
        assert turned.bend_class(np.array([turned.loft_of_class(one)]))[0] == one


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
