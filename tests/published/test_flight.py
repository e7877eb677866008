"""The flight against closed forms and identities of the equations of motion.

Unless said otherwise: ball 45.93 g and 42.67 mm, g 9.80665 m/s2, air 1.225 kg/m3, from flat ground.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry.air import Air
from arclore.engine.geometry.ball import BallModel
from arclore.engine.geometry.flight import fly
from arclore.engine.quantities import GRAVITY_MPS2 as G
from hypothesis import given, settings
from hypothesis import strategies as st

C1 = {"drag_coefficient": 0.25, "lift_coefficient": 0.15}
FINE: dict[str, Any] = {"accuracy": "fine"}
EXACT, TIGHT = 5e-4, 1e-3
MASS, RADIUS = 0.04593, 0.04267 / 2
AREA = np.pi * RADIUS**2


class LinearBall(BallModel):
    """Drag and lift proportional to speed, a and b per second: the teaching model with a closed solution."""

    __slots__ = ()
    a, b = 0.10, 0.10

    def pull(self, reynolds: Any, speed: Any, spin: Any) -> Any:
        return np.full_like(speed, self.a * 2 * MASS / (AREA * 1.225))

    def push(self, squared: Any, square: Any, spin: Any) -> Any:
        return np.full_like(square, self.b * 2 * MASS / (AREA * 1.225))


class SteeperLinearBall(LinearBall):
    __slots__ = ()
    a, b = 0.20, 0.15


class ReferenceLaw(BallModel):
    """C_D = 0.24 + 0.18 S, C_L = 0.54 S^0.4: a function for checking code, not a claim about a ball."""

    __slots__ = ()

    def pull(self, reynolds: Any, speed: Any, spin: Any) -> Any:
        return 0.24 * speed + 0.18 * spin

    def push(self, squared: Any, square: Any, spin: Any) -> Any:
        return 0.54 * (spin / np.sqrt(squared)) ** 0.4 * squared / square


def test_no_air() -> None:
    """Galileo's parabola: range 203.2304 m, apex 10.7995 m, 2.96815 s. Grade A."""
    for how in ("quick", "fine"):
        flight = fly(70, 12, air=Air(0.0), accuracy=how)  # type: ignore[arg-type]
        assert flight.carry_m == pytest.approx(203.2304, rel=1e-6)
        assert flight.apex_m == pytest.approx(10.7995, rel=1e-5)
        assert flight.time_s == pytest.approx(2.96815, rel=1e-5)
        assert flight.landing_deg == pytest.approx(12.0, rel=1e-6)


@pytest.mark.parametrize(
    ("ball", "speed", "launch", "carry", "time", "apex", "landing"),
    [
        (LinearBall(), 70, 12, 305.50011, 6.09000, 22.56048, 21.08218),
        (SteeperLinearBall(), 60, 10, 182.11349, 4.98532, 13.99877, 26.20080),
    ],
)
def test_linear_drag_and_lift(
    ball: BallModel, speed: float, launch: float, carry: float, time: float, apex: float, landing: float
) -> None:
    """MacDonald's teaching model, solved in closed form. Grade A."""
    flight = fly(speed, launch, 0, 2500, model=ball, **FINE)
    assert flight.carry_m == pytest.approx(carry, rel=1e-4)
    assert flight.time_s == pytest.approx(time, rel=1e-4)
    assert flight.apex_m == pytest.approx(apex, rel=1e-4)
    assert flight.landing_deg == pytest.approx(landing, rel=1e-4)


@pytest.mark.parametrize(
    ("speed", "launch", "more", "carry", "time", "apex", "apex_x", "landing", "landing_speed"),
    [
        (70, 12, {}, 208.0439, 5.4956, 23.1883, 130.4776, 33.8632, 29.7349),
        (70, 12, {"lift_coefficient": 0.0}, 128.6036, 2.6004, 8.3730, 70.8141, 17.7104, 38.6628),
        (45, 20, {"drag_coefficient": 0.30, "lift_coefficient": 0.25},
         127.5425, 4.8120, 19.2892, 75.0418, 37.7544, 24.9178),
        (70, 12, {"axis_tilt_deg": 5}, 207.6919, 5.4826, 23.0915, 130.2282, 33.7657, 29.7471),
        (70, 12, {"axis_tilt_deg": 10}, 206.6361, 5.4435, 22.8037, 129.4793, 33.4751, 29.7847),
        (70, 12, {"air": Air(1.0466)}, 217.8084, 5.3551, 21.9198, 133.9572, 30.3944, 32.0070),
        (70, 12, {"wind_along_mps": 5}, 216.8344, 5.1656, 20.8585, 130.5932, 27.8796, 33.8266),
        (70, 12, {"wind_along_mps": -5}, 195.5335, 5.8290, 25.7863, 128.5010, 41.8743, 26.0337),
        (70, 12, {"wind_across_mps": 5}, 208.0467, 5.5073, 23.2754, 130.5657, 33.7652, 29.8626),
    ],
)  # fmt: skip
def test_constant_coefficients(
    speed: float, launch: float, more: dict[str, Any], carry: float, time: float, apex: float, apex_x: float,
    landing: float, landing_speed: float,
) -> None:  # fmt: skip
    """Square-law drag and lift by two independent integrations that agree to four decimals. Grade A."""
    flight = fly(speed, launch, **{**C1, **more}, **FINE)
    assert flight.carry_m == pytest.approx(carry, rel=EXACT)
    assert flight.time_s == pytest.approx(time, rel=EXACT)
    assert flight.apex_m == pytest.approx(apex, rel=EXACT)
    assert flight.apex_x_m == pytest.approx(apex_x, rel=EXACT)
    assert flight.landing_deg == pytest.approx(landing, rel=EXACT)
    assert flight.landing_speed_mps == pytest.approx(landing_speed, rel=EXACT)
    assert abs(flight.carry_m - carry) < 0.01
    assert abs(fly(speed, launch, **{**C1, **more}).carry_m - carry) < 0.25


def test_side_of_tilt_and_wind() -> None:
    """Tilt 5 deg: 5.5893 m right, -5 as far left; 10 deg: 11.0534; cross wind 5 m/s: 11.6788. Grade A."""
    tilted = fly(70, 12, 0, 0, [5, -5, 10], **C1, **FINE)
    assert tilted.side_m == pytest.approx([5.5893, -5.5893, 11.0534], rel=TIGHT)
    assert tilted.curve_m == pytest.approx(tilted.side_m)
    assert fly(70, 12, wind_across_mps=5, **C1, **FINE).side_m == pytest.approx(11.6788, rel=TIGHT)


@pytest.mark.parametrize(
    ("speed", "launch", "rpm", "carry", "time", "apex", "landing", "landing_speed", "spin"),
    [
        (70, 12, 2500, 231.6450, 7.1656, 34.9687, 42.0762, 28.1443, 2004.385),
        (75, 11, 2600, 248.0926, 7.6029, 39.1956, 43.7896, 28.5929, 2049.444),
        (55, 17, 5500, 177.5617, 7.0762, 35.7662, 45.9018, 25.9478, 4614.698),
        (45, 24, 8000, 131.7864, 6.4770, 32.9235, 48.6188, 24.0994, 6986.676),
    ],
)
def test_coefficients_that_follow_the_spin(
    speed: float, launch: float, rpm: float, carry: float, time: float, apex: float, landing: float,
    landing_speed: float, spin: float,
) -> None:  # fmt: skip
    """A reference law with spin decay 9.0e-4 per metre, by two independent integrations. Grade A."""
    flight = fly(speed, launch, 0, rpm, model=ReferenceLaw(), spin_decay_per_m=9.0e-4, **FINE)
    assert flight.carry_m == pytest.approx(carry, rel=TIGHT)
    assert flight.time_s == pytest.approx(time, rel=TIGHT)
    assert flight.apex_m == pytest.approx(apex, rel=TIGHT)
    assert flight.landing_deg == pytest.approx(landing, rel=TIGHT)
    assert flight.landing_speed_mps == pytest.approx(landing_speed, rel=TIGHT)
    assert flight.spin_rpm == pytest.approx(spin, rel=TIGHT)


# Exact identities of the equations, whatever the shot.

shots = st.tuples(
    st.floats(20, 85), st.floats(4, 55), st.floats(-20, 20), st.floats(500, 9500), st.floats(-30, 30)
)
winds = st.tuples(st.floats(-8, 8), st.floats(-8, 8))
quickly = settings(max_examples=40, deadline=None)


@quickly
@given(shots, st.floats(0, 0.3))
def test_without_drag_energy_stays(shot: tuple[float, ...], lift: float) -> None:
    """Lift does no work, so the ball lands as fast as it left."""
    flight = fly(*shot, drag_coefficient=0.0, lift_coefficient=min(lift, 6.0 / shot[0]), **FINE)
    assert flight.landing_speed_mps == pytest.approx(shot[0], rel=1e-5)
    still = fly(*shot, drag_coefficient=0.0, lift_coefficient=0.0, **FINE)
    assert still.landing_speed_mps == pytest.approx(shot[0], rel=1e-9)


def in_still_air(speed: float, launch: float, along: float, across: float) -> tuple[float, float, float]:
    """Speed, launch and start of a shot seen by someone carried along by the wind."""
    angle = np.radians(launch)
    ahead, right, up = speed * np.cos(angle) - along, -across, speed * np.sin(angle)
    level = np.hypot(ahead, right)
    return np.hypot(level, up), np.degrees(np.arctan2(up, level)), np.degrees(np.arctan2(right, ahead))


@quickly
@given(st.floats(30, 80), st.floats(8, 40), st.floats(-8, 8))
def test_even_wind_only_shifts_the_frame(speed: float, launch: float, along: float) -> None:
    """A flight in wind W is a still-air flight launched at v - W, carried along by W (Galileo). Grade A."""
    windy = fly(speed, launch, wind_along_mps=along, **C1, **FINE)
    still = fly(*in_still_air(speed, launch, along, 0.0), **C1, **FINE)
    assert windy.time_s == pytest.approx(still.time_s, abs=1e-8)
    assert windy.carry_m == pytest.approx(still.carry_m + along * still.time_s, abs=1e-6)


@quickly
@given(st.floats(30, 80), st.floats(8, 40), winds)
def test_cross_wind_only_shifts_the_frame(speed: float, launch: float, wind: tuple[float, float]) -> None:
    """The same across; no lift, since the axis belongs to the launch. The steps differ, hence the room."""
    along, across = wind
    constants = {"drag_coefficient": 0.25, "lift_coefficient": 0.0}
    windy = fly(speed, launch, wind_along_mps=along, wind_across_mps=across, **constants, **FINE)
    still = fly(*in_still_air(speed, launch, along, across), **constants, **FINE)
    assert windy.carry_m == pytest.approx(still.carry_m + along * still.time_s, abs=0.01)
    assert windy.side_m == pytest.approx(still.side_m + across * still.time_s, abs=0.01)


@quickly
@given(shots)
def test_thick_air_is_a_large_ball(shot: tuple[float, ...]) -> None:
    """Only air density times coefficient counts: twice the one and half the other change nothing."""
    normal = fly(*shot, **C1, **FINE)
    half = {key: value / 2 for key, value in C1.items()}
    assert fly(*shot, **half, air=Air(1.225 * 1.6), **FINE).carry_m != normal.carry_m
    assert fly(*shot, **{key: value * 1.25 for key, value in C1.items()}, air=Air(0.98), **FINE).carry_m == (
        pytest.approx(normal.carry_m, rel=1e-9)
    )


@quickly
@given(shots, winds)
def test_mirror(shot: tuple[float, ...], wind: tuple[float, float]) -> None:
    """Left and right exchanged, all else stays."""
    speed, launch, start, rpm, tilt = shot
    one = fly(speed, launch, start, rpm, tilt, wind_along_mps=wind[0], wind_across_mps=wind[1])
    other = fly(speed, launch, -start, rpm, -tilt, wind_along_mps=wind[0], wind_across_mps=-wind[1])
    for name in ("carry_m", "apex_m", "time_s", "landing_deg", "spin_rpm"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), rel=1e-9, abs=1e-9)
    for name in ("side_m", "curve_m"):
        assert getattr(one, name) == pytest.approx(-getattr(other, name), rel=1e-9, abs=1e-9)


@quickly
@given(st.floats(-60, 60), shots)
def test_turning_the_aim_turns_the_flight(turn: float, shot: tuple[float, ...]) -> None:
    speed, launch, start, rpm, tilt = shot
    one, other = fly(speed, launch, start, rpm, tilt), fly(speed, launch, start + turn, rpm, tilt)
    angle = np.radians(turn)
    assert other.carry_m == pytest.approx(one.carry_m * np.cos(angle) - one.side_m * np.sin(angle), abs=1e-7)
    assert other.curve_m == pytest.approx(one.curve_m, abs=1e-7)


@quickly
@given(shots)
def test_positive_tilt_curves_right(shot: tuple[float, ...]) -> None:
    speed, launch, start, rpm, tilt = shot
    flight = fly(speed, launch, start, rpm, abs(tilt) + 0.5)
    assert flight.curve_m > 0.0


def test_spin_left_after_the_path() -> None:
    """omega = omega0 exp(-k s): without air force the path is the parabola's own length. Grade A."""
    speed, launch, decay = 60.0, np.radians(25.0), 2e-3
    time = np.linspace(0, 2 * speed * np.sin(launch) / G, 20001)
    rate = np.hypot(speed * np.cos(launch), speed * np.sin(launch) - G * time)
    path = np.sum((rate[1:] + rate[:-1]) / 2 * np.diff(time))
    flight = fly(60, 25, 0, 5000, drag_coefficient=0, lift_coefficient=0, spin_decay_per_m=decay, **FINE)
    assert flight.spin_rpm == pytest.approx(5000 * np.exp(-decay * path), rel=1e-6)


def test_terminal_speed() -> None:
    """sqrt(2 m g / (rho A C_D)): 45.354 m/s at 0.25, 32.070 at 0.5, dropped from high enough. Grade A."""
    drag = np.array([0.25, 0.5])
    fall = fly(0.0, 0.0, drag_coefficient=drag, lift_coefficient=0.0, launch_height_m=500, **FINE)
    terminal = np.array([45.354, 32.070])
    # A fall from rest over a height h reaches terminal * sqrt(1 - exp(-2 g h / terminal^2)).
    reached = terminal * np.sqrt(1 - np.exp(-2 * G * 500 / terminal**2))
    assert fall.landing_speed_mps == pytest.approx(reached, rel=1e-4)


def test_landing_on_a_slope() -> None:
    """Without air, a plane rising by s is met at the level distance 2 v^2 cos(A) sin(A - s) / (g cos(s))."""
    slope = np.array([-8.0, 0.0, 6.0])
    flight = fly(50, 20, air=Air(0.0), slope_deg=slope, **FINE)
    s, a = np.radians(slope), np.radians(20.0)
    assert flight.carry_m == pytest.approx(2 * 50**2 * np.cos(a) * np.sin(a - s) / (G * np.cos(s)), rel=1e-9)


def test_wedge_and_slow_ball_behave() -> None:
    """High spin and low speed lie outside the measured bands; nothing may jump there."""
    rpm = np.linspace(0, 12000, 49)
    wedge = fly(38, 30, 0, rpm, **FINE)
    assert np.abs(np.diff(wedge.carry_m)).max() < 5.0
    assert (wedge.spin_rpm <= rpm).all()
    speed = np.linspace(1, 40, 40)
    slow = fly(speed, 25, 0, 4000, **FINE)
    assert (np.diff(slow.carry_m) > 0).all()
    assert (slow.carry_m < 1.5 * speed**2 / G).all()


def test_shapes_and_chunks() -> None:
    """Any broadcastable shapes; results do not depend on how many shots fly together."""
    grid = fly(np.array([[50.0], [60.0]]), np.array([10.0, 15.0, 20.0]), 0, 3000, [0, 5, -5])
    assert grid.carry_m.shape == (2, 3)
    assert grid.landing_velocity_mps.shape == (3, 2, 3)
    assert grid.carry_m[1, 2] == pytest.approx(float(fly(60, 20, 0, 3000, -5).carry_m), rel=1e-12)
    many = fly(np.resize([40.0, 55.0, 70.0], 40_000), 14, 0, 3500)
    few = fly(np.array([40.0, 55.0, 70.0]), 14, 0, 3500)
    assert many.carry_m == pytest.approx(np.resize(few.carry_m, 40_000), rel=1e-12)
    assert fly(np.array([]), 10.0).carry_m.shape == (0,)


def test_apex_is_never_below_the_launch() -> None:
    """Launched down a hill, the launch is the highest point; into a hill, the landing may be."""
    down = fly(60, -14, 0, 6000, slope_deg=-15, launch_height_m=[0.0, 5.0], **FINE)
    assert (down.apex_m >= 0.0).all()
    assert (down.apex_x_m >= 0.0).all()
    up = fly(40, 25, 0, 3000, slope_deg=20, **FINE)
    assert up.landing_deg < 0
    assert up.apex_m == pytest.approx(up.carry_m * np.tan(np.radians(20)), rel=1e-9)
    assert up.apex_x_m == pytest.approx(up.carry_m)


def test_a_ball_that_rises_again_keeps_its_highest_apex() -> None:
    """A glide in waves sinks a little with each: the first apex is the highest, however far the glide goes."""
    glide = {"drag_coefficient": 0.03, "lift_coefficient": 0.57}
    long = fly(34, 5, launch_height_m=60.0, **glide, **FINE)
    short = fly(34, 5, launch_height_m=1.0, **glide, **FINE)
    assert long.time_s > 2 * short.time_s
    assert long.apex_m == pytest.approx(short.apex_m, abs=0.01)
    assert long.apex_x_m == pytest.approx(short.apex_x_m, abs=0.1)


def test_launched_into_the_ground_lands_at_once() -> None:
    flight = fly(40, [-3.0, 0.0], 2, 500)
    assert (flight.carry_m == 0).all()
    assert (flight.time_s == 0).all()
    assert flight.landing_deg == pytest.approx([3.0, 0.0])
    assert flight.landing_speed_mps == pytest.approx([40.0, 40.0])


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((-3, 10), "ball speed is -3"),
        ((float("nan"), 10), "ball speed is nan"),
        ((50, 95), "launch angle is 95"),
        (([50, 60], [10, float("inf")]), "launch angle is inf"),
        ((50, 10, 0, 1e6), "backspin is 1e"),
    ],
)
def test_absurd_shot_is_refused_in_one_line(arguments: tuple[Any, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words) as caught:
        fly(*arguments)
    assert "\n" not in str(caught.value)
    assert "give a number from" in str(caught.value)


def test_a_ball_that_never_lands_is_refused() -> None:
    with pytest.raises(ValueError, match="has not landed after 60 s"):
        fly(
            62, 0, drag_coefficient=0.0, lift_coefficient=0.15, launch_height_m=5
        )  # a swing about level flight


def test_unknown_accuracy_is_refused() -> None:
    with pytest.raises(ValueError, match="give one of quick, fine"):
        fly(50, 10, accuracy="rough")  # type: ignore[arg-type]
