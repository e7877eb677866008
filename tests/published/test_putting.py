"""Putting against published counts: strokes that err are played through arc, impact and green to the hole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from arclore.engine.geometry.putt import (
    SCHOOL_SHEET_RELEASE_MPS,
    Green,
    holed_share,
    putt,
    roll_out,
    start_spread_deg,
    stroke,
)
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.read import read_yaml
from scipy.optimize import brentq, minimize_scalar
from scipy.stats import binom, norm

document, _ = read_yaml(Path(__file__).parents[2] / "kb" / "clubs" / "putt.yaml")
assert document is not None
CLUB = club_from_entry(document.value)
FOOT = 0.3048
PUBLISHED_SPREAD_DEG = 1.5  # Gelman and Nolan 2002: 0.026 radians

# D. Berry 1996, as printed by Gelman and Nolan 2002: feet, tries, made.
BERRY = np.array(
    [
        (2, 1443, 1346), (3, 694, 577), (4, 455, 337), (5, 353, 208), (6, 272, 149), (7, 256, 136),
        (8, 240, 111), (9, 217, 69), (10, 200, 67), (11, 237, 75), (12, 202, 52), (13, 192, 46),
        (14, 174, 54), (15, 167, 28), (16, 201, 27), (17, 195, 31), (18, 191, 33), (19, 147, 20),
        (20, 152, 24),
    ]
)  # fmt: skip
# Tour counts of 2016 to 2018, as printed by Gelman 2019: feet, tries, made.
TOUR = np.array([(4.94, 53_659, 41_106), (7.95, 33_275, 16_615)])


def test_five_foot_putt() -> None:
    """Spread 0.026 rad at 5 ft: 0.5899 by the published formula; 208 of 353 made. Grade B."""
    share = float(holed_share(5 * FOOT, np.degrees(0.026)))
    assert share == pytest.approx(0.5899, abs=1e-4)
    assert share == pytest.approx(208 / 353, abs=0.05)


def test_spread_fitted_to_counts_is_the_published_one() -> None:
    """Maximum likelihood over the 19 distances: 1.5266 deg, published as 1.5. Grade B."""
    feet, tries, made = BERRY.T

    def misfit(spread: float) -> float:
        return -float(binom.logpmf(made, tries, holed_share(feet * FOOT, spread)).sum())

    best = minimize_scalar(misfit, bounds=(0.5, 4.0), method="bounded", options={"xatol": 1e-6}).x
    assert best == pytest.approx(1.5266, abs=0.01)
    assert best == pytest.approx(PUBLISHED_SPREAD_DEG, abs=0.05)


def test_whole_strokes_hole_as_many_as_the_counts() -> None:
    """Strokes that scatter in face and path hole on average within 0.04 of Berry's shares, 0.10 at worst.

    The start lines' spread is brought to the published 1.5 deg; the rolled paths are followed to the hole's rim, so
    nothing of the closed form is used. Grade B.
    """
    rng = np.random.default_rng(26)
    swing = stroke(CLUB, "skilled")
    share = float(putt(replace(swing, face_deg=1.0), CLUB.standard, CLUB).start_deg)
    path_spread = 2.0
    face_spread = brentq(lambda sd: float(start_spread_deg(sd, path_spread, share)) - PUBLISHED_SPREAD_DEG, 0.1, 3.0)
    count = 200_000
    hits = putt(
        replace(
            swing,
            face_deg=rng.normal(0.0, face_spread, count),
            swing_direction_deg=swing.swing_direction_deg + rng.normal(0.0, path_spread, count),
            speed_mps=3.5,
        ),
        CLUB.standard,
        CLUB,
    )
    assert hits.start_deg.std() == pytest.approx(PUBLISHED_SPREAD_DEG, rel=0.01)
    room = (4.25 - 1.68) / 2 * 0.0254  # the whole ball must pass within the hole: Rules of Golf, radii of hole and ball
    assert (hits.distance_m > 20 * FOOT).all()
    feet, tries, made = BERRY.T
    passed = np.abs(feet[:, None] * FOOT * np.sin(np.radians(hits.start_deg))) <= room
    miss = np.abs(passed.mean(axis=1) - made / tries)
    assert miss.mean() < 0.04 and miss.max() < 0.10


def test_tour_counts_want_a_smaller_spread(weak: Callable[..., None]) -> None:
    """Tour 2016 to 2018: 0.7661 at 4.94 ft, 0.4993 at 7.95 ft. One spread cannot fit both, since pace counts as well:
    the farther putts want the larger one (Gelman 2019 adds a second error for that reason). Grade B for the order.
    """
    wanted = []
    for feet, tries, made in TOUR:

        def excess(spread: float, feet: float = feet, share: float = made / tries) -> float:
            return float(holed_share(feet * FOOT, spread)) - share

        wanted.append(brentq(excess, 0.3, 4.0))
    assert wanted[0] < wanted[1] < PUBLISHED_SPREAD_DEG
    for spread, (feet, _, _) in zip(wanted, TOUR, strict=True):
        weak(f"spread of tour putts, {feet} ft", spread, 0.8, 1.6, "deg", "Gelman 2019, counts of 2016 to 2018", "C")


def test_mean_off_line_against_scipy() -> None:
    """A mean start off the hole's middle moves the normal's limits: against scipy, with the rules' inches. Grade A."""
    reach = np.degrees(np.arcsin((4.25 - 1.68) / 2 * 0.0254 / 3.0))
    for off in (-1.0, 0.3, 2.0):
        expected = norm.cdf((reach - off) / 1.2) - norm.cdf((-reach - off) / 1.2)
        assert float(holed_share(3.0, 1.2, off)) == pytest.approx(expected, abs=1e-4)


def test_measured_green_speed() -> None:
    """Run of 10 ft: 0.5486 m/s2 for a release at 6.0 ft/s (Holmes 1991, from memory), 0.6242 for the 6.4 ft/s of a
    governing body's school sheet. Grade A as algebra.
    """
    ten = 10 * FOOT
    assert Green(ten, 6.0 * FOOT).deceleration_mps2 == pytest.approx(0.5486, rel=1e-3)
    assert Green(ten, SCHOOL_SHEET_RELEASE_MPS).deceleration_mps2 == pytest.approx(0.6242, rel=1e-3)
    assert Green(ten).deceleration_mps2 == pytest.approx(0.5486, rel=5e-3)


@pytest.mark.parametrize("feet", [8.0, 10.0, 12.0])
def test_ball_off_the_ramp_runs_as_far_as_the_green_was_measured(feet: float) -> None:
    """A ball that rolls off the ramp already does not skid: its topspin is speed over radius. Grade A."""
    green = Green(feet * FOOT)
    rolling = -green.release_mps / 0.021335 * 30 / np.pi
    run = roll_out(green.release_mps, 0.0, rolling, green)
    assert run.skid_m == pytest.approx(0.0, abs=1e-9)
    assert run.distance_m == pytest.approx(feet * FOOT)


def test_sliding_ball_keeps_five_sevenths() -> None:
    """A solid sphere that slides without spin comes to roll at 5/7 of its speed (Daish 1972, from memory). Grade A."""
    assert roll_out(2.8, 0.0, 0.0, Green()).rolling_mps == pytest.approx(2.0)
