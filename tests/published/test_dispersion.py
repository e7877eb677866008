"""Dispersion and putting against exact normal theory, the rules of golf and published putting data."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from arclore.engine.geometry.dispersion import (
    DRIVE_SPREAD_DEG,
    ellipse_factor,
    green_deceleration_mps2,
    half_angle_deg,
    normal_below,
    putt_share,
    share_inside,
)
from scipy.optimize import minimize_scalar
from scipy.stats import chi2, norm

# D. Berry 1996, as printed by Gelman and Nolan 2002: feet, tries, made.
PUTTS = np.array(
    [
        (2, 1443, 1346), (3, 694, 577), (4, 455, 337), (5, 353, 208), (6, 272, 149), (7, 256, 136),
        (8, 240, 111), (9, 217, 69), (10, 200, 67), (11, 237, 75), (12, 202, 52), (13, 192, 46),
        (14, 174, 54), (15, 167, 28), (16, 201, 27), (17, 195, 31), (18, 191, 33), (19, 147, 20),
        (20, 152, 24),
    ]
)  # fmt: skip
FOOT = 0.3048


@pytest.mark.parametrize(
    ("yards", "width", "angle", "shares"),
    [
        (250, 30, 3.4336, (0.8304, 0.6734, 0.5077, 0.4027)),
        (280, 30, 3.0665, (0.7800, 0.6190, 0.4603, 0.3629)),
        (300, 30, 2.8624, (0.7478, 0.5865, 0.4330, 0.3403)),
        (230, 35, 4.3511, (0.9182, 0.7862, 0.6158, 0.4968)),
    ],
)
def test_share_of_fairways_hit(yards: float, width: float, angle: float, shares: tuple[float, ...]) -> None:
    """Normal theory, worked apart from this code. Grade A."""
    half = half_angle_deg(width * 0.9144, yards * 0.9144)
    assert half == pytest.approx(angle, abs=1e-4)
    assert share_inside(half, np.array([2.5, 3.5, 5.0, 6.5])) == pytest.approx(shares, abs=1e-4)


def test_share_with_a_mean_offset() -> None:
    """Offsets of 1, 2, 3 deg at 280 yd over a 30 yd fairway, spread 3.5 deg. Grade A."""
    half = half_angle_deg(30, 280)
    shares = share_inside(half, 3.5, np.array([1.0, 2.0, 3.0]))
    assert shares == pytest.approx([0.5999, 0.5458, 0.4661], abs=1e-4)


def test_normal_against_scipy() -> None:
    values = np.linspace(-6, 6, 101)
    assert normal_below(values) == pytest.approx(norm.cdf(values), abs=1e-14)


def test_ellipse_factor() -> None:
    """Square root of the chi-square quantile with two degrees of freedom; 2.4477 at 95 %. Grade A."""
    share = np.array([0.5, 0.9, 0.95, 0.99])
    assert ellipse_factor(share) == pytest.approx(np.sqrt(chi2.ppf(share, 2)), rel=1e-10)
    assert float(ellipse_factor(0.95)) == pytest.approx(2.4477, abs=1e-4)


def test_spread_of_drives_by_skill(weak: Callable[..., None]) -> None:
    """Broadie 2014, figure 6.3, described by a reader. Grade C, but the order holds."""
    ranges = {"tour": (3, 4), "averages 80": (4, 9), "averages 100": (5, 11)}
    for skill, (low, high) in ranges.items():
        weak(
            f"drives off line, {skill}",
            DRIVE_SPREAD_DEG[skill],
            low,
            high,
            "deg",
            "Broadie 2014, second-hand",
        )
    assert list(DRIVE_SPREAD_DEG.values()) == sorted(DRIVE_SPREAD_DEG.values())


def test_putts_by_distance() -> None:
    """Gelman and Nolan 2002: spread 0.026 rad; 5 ft 0.5899 against 208 of 353 made. Grade B."""
    spread = np.degrees(0.026)
    feet = np.array([2.0, 5.0, 10.0, 20.0])
    assert putt_share(feet * FOOT, spread) == pytest.approx([0.9606, 0.5899, 0.3196, 0.1632], abs=2e-4)
    assert float(putt_share(5 * FOOT, spread)) == pytest.approx(208 / 353, abs=0.05)


def test_spread_fitted_to_published_putts() -> None:
    """Maximum likelihood over the 19 rows: 1.5266 deg, published as 1.5. Grade B."""
    feet, tries, made = PUTTS.T

    def misfit(spread: float) -> float:
        share = putt_share(feet * FOOT, spread)
        return -float(np.sum(made * np.log(share) + (tries - made) * np.log1p(-share)))

    best = minimize_scalar(misfit, bounds=(0.5, 4.0), method="bounded", options={"xatol": 1e-5})
    assert best.x == pytest.approx(1.5266, abs=0.01)


def test_a_putt_on_the_edge_drops() -> None:
    assert float(putt_share(0.0, 1.5)) == pytest.approx(1.0)


def test_deceleration_of_a_green() -> None:
    """A ball released at 6.0 ft/s that runs 10 ft: 0.5486 m/s2. Grade A as algebra."""
    assert float(green_deceleration_mps2(10 * FOOT, 6 * FOOT)) == pytest.approx(0.5486, rel=1e-3)
    assert float(green_deceleration_mps2(10 * FOOT, 6.4 * FOOT)) == pytest.approx(0.6242, rel=1e-3)


@pytest.mark.parametrize("spread", [0.0, -1.0, float("nan")])
def test_absurd_spread_is_refused(spread: float) -> None:
    with pytest.raises(ValueError, match=r"spread is .* give a number from"):
        share_inside(3.0, spread)
