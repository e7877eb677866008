"""Bounce and roll against rigid-body algebra and the little that is published of turf."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.ground import SURFACES, rebound_share, rigid_bounce, run_out
from hypothesis import given, settings
from hypothesis import strategies as st

RADIUS = 0.04267 / 2
RPM = np.pi / 30
Weak = Callable[..., None]


def turned(angle_deg: float) -> np.ndarray:
    """Normal of a plane tilted back against a ball that comes along +x."""
    angle = np.radians(angle_deg)
    return np.array([[-np.sin(angle)], [0.0], [np.cos(angle)]])


@pytest.mark.parametrize(("rpm", "level", "up"), [(0, 5.6096, 3.8894), (4000, 3.1462, 3.2108)])
def test_gripping_bounce_off_a_tilted_plane(rpm: float, level: float, up: float) -> None:
    """18.6 m/s, 44.4 deg from the vertical, tilt 15.40 deg, e 0.1389: rigid algebra, grade A (as turf, D)."""
    angle = np.radians(44.4)
    velocity = 18.6 * np.array([[np.sin(angle)], [0.0], [-np.cos(angle)]])
    spin = np.array([[0.0], [-rpm * RPM], [0.0]])
    after, spun = rigid_bounce(velocity, spin, turned(15.40), 0.1389, 0.40)
    assert after[:, 0] == pytest.approx([level, 0.0, up], rel=1e-3)
    along = after[0, 0] * np.cos(np.radians(15.40)) + after[2, 0] * np.sin(np.radians(15.40))
    assert spun[1, 0] == pytest.approx(along / RADIUS, rel=1e-9)  # a ball that grips leaves rolling


def test_sliding_bounce() -> None:
    """Too little friction to grip: v' = v - mu (1 + e) v_n, w' = w - 5 mu (1 + e) v_n / (2 r). Grade A."""
    velocity, spin = np.array([[20.0], [0.0], [-5.0]]), np.array([[0.0], [-300.0], [0.0]])
    after, spun = rigid_bounce(velocity, spin, turned(0.0), 0.4, 0.10)
    assert after[:, 0] == pytest.approx([20 - 0.1 * 1.4 * 5, 0.0, 2.0])
    assert -spun[1, 0] == pytest.approx(300 - 2.5 * 0.1 * 1.4 * 5 / RADIUS)


def test_grip_begins_where_friction_suffices() -> None:
    """mu_c = 2 (v + r w) / (7 (1 + e) v_n). Grade A."""
    velocity, spin = np.array([[6.0], [0.0], [-9.0]]), np.array([[0.0], [-200.0], [0.0]])
    critical = 2 * (6 + RADIUS * 200) / (7 * 1.3 * 9)
    for factor, slips in ((0.999, True), (1.001, False)):
        after, spun = rigid_bounce(velocity, spin, turned(0.0), 0.3, critical * factor)
        assert bool(abs(after[0, 0] - RADIUS * spun[1, 0]) > 1e-9) == slips


numbers = st.floats(-40, 40)


@settings(max_examples=100, deadline=None)
@given(numbers, numbers, st.floats(-40, -0.1), numbers, numbers, numbers, st.floats(0, 1), st.floats(0, 1))
def test_a_bounce_never_makes_energy(
    vx: float, vy: float, vz: float, sx: float, sy: float, sz: float, restitution: float, friction: float
) -> None:
    velocity, spin = np.array([[vx], [vy], [vz]]), np.array([[sx], [sy], [sz]]) * 10

    def energy(velocity: np.ndarray, spin: np.ndarray) -> float:
        return float(np.sum(velocity**2) + 0.4 * RADIUS**2 * np.sum(spin**2))

    after = rigid_bounce(velocity, spin, turned(0.0), restitution, friction)
    assert energy(*after) <= energy(velocity, spin) * (1 + 1e-12)
    assert after[0][2, 0] == pytest.approx(-restitution * vz)


def test_restitution_joins_at_its_end() -> None:
    """The remembered formula ends at 20 m/s near the constant that follows it. Grade A as algebra."""
    assert float(rebound_share(np.array(19.9999))) == pytest.approx(0.1212, abs=1e-3)
    assert float(rebound_share(np.array(25.0))) == pytest.approx(0.120)


def test_backspin_kept_on_holding_ground(weak: Weak) -> None:
    """Haake 1987: on holding greens only backspin above about 3342 rpm survives. Sign, noted only."""
    rpm = np.array([1500.0, 3342.0, 9000.0])
    first = run_out(fly(38, 30, 0, rpm, accuracy="fine"), "soft").first_bounce_rpm
    source = "Haake 1987"
    weak("spin after the bounce on soft ground, 1500 rpm at first", float(first[0]), -9000, 0, "rpm", source)
    weak("spin after the bounce on soft ground, 9000 rpm at first", float(first[2]), 0, 9000, "rpm", source)
    assert (np.diff(first) > 0).all()


def test_firmer_ground_runs_further() -> None:
    flight = fly([75.0, 60.0, 50.0], [11.0, 14.0, 20.0], 0, [2600, 4500, 6500], accuracy="fine")
    soft, fairway, firm = (run_out(flight, name).total_m for name in SURFACES)
    assert (soft < fairway).all()
    assert (fairway < firm).all()
    assert (soft >= flight.carry_m - 3.0).all()


def test_more_spin_runs_less_and_can_draw_back() -> None:
    rpm = np.linspace(500, 11000, 12)
    flight = fly(36, 30, 0, rpm, accuracy="fine")
    run = run_out(flight, "soft")
    assert (np.diff(run.total_m - flight.carry_m) < 0.3).all()
    assert run.bounce_m[-1] + run.roll_m[-1] < 0.0


def test_slope_helps_downhill() -> None:
    flight = fly(70, 12, 0, 2700, accuracy="fine")
    down, level, up = (float(run_out(flight, slope_deg=slope).total_m) for slope in (-3.0, 0.0, 3.0))
    assert down > level > up


def test_a_curving_ball_bounces_on_its_way() -> None:
    """The run goes on to the side to which the ball was moving; mirrored shots run mirrored."""
    one, other = (run_out(fly(70, 12, 0, 2700, tilt, accuracy="fine")) for tilt in (12, -12))
    assert one.side_m > fly(70, 12, 0, 2700, 12, accuracy="fine").side_m
    assert one.side_m == pytest.approx(-other.side_m)
    assert one.total_m == pytest.approx(other.total_m)


def test_topped_ball_stops_in_reason() -> None:
    flight = fly([15.0, 25.0, 40.0], [-5.0, -3.0, -3.0], 0, -500)
    total = run_out(flight).total_m
    assert (np.diff(total) > 0).all()
    assert (total > 0).all()
    assert (total < 200).all()


@pytest.mark.parametrize(
    ("surface", "slope", "words"),
    [
        ("sand", 0.0, "give one of soft, fairway, firm"),
        ("firm", 20.0, "ground slope is 20 deg"),
        ("firm", float("nan"), "ground slope is nan"),
    ],
)
def test_absurd_ground_is_refused_in_one_line(surface: str, slope: float, words: str) -> None:
    with pytest.raises(ValueError, match=words) as caught:
        run_out(fly(70, 12), surface, slope_deg=slope)  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
