"""``predict`` against mathematics that can be worked outside the program, to 0.05 %.

The closed forms are worked here again, in plain ``math``, from the stated equations. Sources beside each.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.command.running import Run

BALL_KG, BALL_M = 0.04593, 0.04267  # the limits of the Equipment Rules (2019), part 4
G = 9.80665  # ISO 80000-3
CLOSE = 5e-4


def predict(run: Run, **flags: Any) -> dict[str, Any]:
    """The prediction for flags given by their JSON names; a tuple is several words."""
    words: list[str] = []
    for name, value in flags.items():
        words += [f"--{name.replace('_', '-')}", *map(str, value if isinstance(value, tuple) else (value,))]
    done = run("predict", *words, "--json")
    assert (done.code, done.err) == (0, "")
    return done.json


@pytest.mark.parametrize(
    ("radius", "plane", "direction", "attack"),
    [
        (1.60, 48, 0, 3.0),
        (1.60, 47, 0, -1.5),
        (1.45, 58, -2.5, -4.0),
        (1.35, 62, -3.0, -5.0),
        (1.30, 64, 4.0, -7.0),
        (1.50, 45, 0, -5.0),
        (1.60, 48, -2.0, 0.0),
    ],
)
def test_arc(run: Run, radius: float, plane: float, direction: float, attack: float) -> None:
    # a circle in an inclined plane: path, low point and their target-axis parts (plane trigonometry)
    a, t, h = (math.radians(angle) for angle in (attack, plane, direction))
    f = math.asin(math.sin(a) / math.sin(t))
    low, below = -radius * math.sin(f), radius * (1 - math.cos(f)) * math.sin(t)
    wide = radius * (1 - math.cos(f)) * math.cos(t)
    got = predict(run, arc_radius_m=radius, plane_deg=plane, swing_direction_deg=direction, attack_deg=attack)
    want = {
        "arc_angle_deg": math.degrees(f),
        "path_deg": direction - math.degrees(math.asin(math.tan(a) / math.tan(t))),
        "low_point_cm": 100 * low,
        "low_point_below_cm": 100 * below,
        "low_point_ahead_cm": 100 * (low * math.cos(h) - wide * math.sin(h)),
        "low_point_right_cm": 100 * (low * math.sin(h) + wide * math.cos(h)),
        "straight_swing_direction_deg": math.degrees(math.asin(math.tan(a) / math.tan(t))),
        "plane_seen_deg": math.degrees(math.atan(math.tan(t) * math.cos(h))),
    }
    assert {name: got[name] for name in want} == pytest.approx(want, rel=CLOSE, abs=2e-7)
    back = predict(
        run, arc_radius_m=radius, plane_deg=plane, swing_direction_deg=direction, low_point_cm=got["low_point_cm"]
    )
    assert back["attack_deg"] == pytest.approx(attack, rel=CLOSE, abs=1e-6)


@pytest.mark.parametrize(
    ("speed", "incidence", "restitution", "mass", "ball", "below", "rpm"),
    [
        (45, 0, 0.83, 0.200, 66.9703, 0, 0),
        (45, 10, 0.83, 0.200, 65.9861, 1.8195, 2344.4),
        (45, 12, 0.83, 0.200, 65.5548, 2.1930, 2807.0),
        (50, 12, 0.82, 0.200, 72.4413, 2.2051, 3118.9),
        (45, 20, 0.78, 0.230, 62.8782, 3.7935, 4655.0),
        (40, 30, 0.75, 0.260, 51.8069, 6.0272, 6086.9),
        (38, 45, 0.70, 0.290, 40.1118, 10.5509, 8218.6),
    ],
)
def test_a_plain_head_hits_in_the_middle(
    run: Run, speed: float, incidence: float, restitution: float, mass: float, ball: float, below: float, rpm: float
) -> None:
    # free mass against a uniform sphere that rolls off the face: v_n = V cos B (1+e)/(1+q), v_t = V sin B/(3.5+q)
    got = predict(
        run,
        speed_mps=speed,
        dynamic_loft_deg=incidence,
        restitution=restitution,
        head_mass_kg=mass,
        attack_deg=0,
        path_deg=0,
        face_deg=0,
    )
    assert got["ball_speed_mps"] == pytest.approx(ball, rel=CLOSE)
    assert incidence - got["launch_deg"] == pytest.approx(below, rel=CLOSE, abs=1e-4)
    assert got["backspin_rpm"] == pytest.approx(rpm, rel=CLOSE, abs=1e-3)


def test_a_slippery_face_slides(run: Run) -> None:
    # beyond the angle at which K tan B exceeds the friction: v_t = mu v_n, spin 2.5 mu v_n / r
    got = predict(run, speed_mps=40, dynamic_loft_deg=55, restitution=0.7, head_mass_kg=0.3, friction=0.2)
    q, b = BALL_KG / 0.3, math.radians(55)
    normal = 40 * math.cos(b) * 1.7 / (1 + q * 1.0)
    # with friction the normal impulse is that of the same normal equation: the plane face does not tip
    assert got["sliding"] is True
    assert got["ball_speed_mps"] == pytest.approx(normal * math.hypot(1, 0.2), rel=CLOSE)
    assert got["backspin_rpm"] == pytest.approx(2.5 * 0.2 * normal / (BALL_M / 2) * 30 / math.pi, rel=CLOSE)
    dry = predict(run, speed_mps=40, dynamic_loft_deg=55, restitution=0.7, head_mass_kg=0.3)
    assert (dry["sliding"], dry["friction"]) == (False, None)


@pytest.mark.parametrize(
    ("v", "face", "path", "loft", "attack", "e", "mass", "want"),
    [
        (45, 2, -2, 13, 0, 0.83, 0.20, (13.5913, 65.1566, 10.6173, 1.2470, 3172.6, 17.1139)),
        (45, 2, 2, 13, 0, 0.83, 0.20, (13.0, 65.3103, 10.6182, 2.0, 3037.0, 0.0)),
        (45, -1, 3, 14, 2, 0.83, 0.20, (12.6344, 65.4019, 11.8069, -0.2472, 2953.1, -18.4175)),
        (40, 3, 0, 30, -4, 0.75, 0.26, (34.1211, 49.6263, 22.9650, 2.2878, 6828.8, 5.0222)),
        (35, 5, 0, 50, -5, 0.70, 0.30, (55.1703, 30.5021, 35.1235, 3.0892, 8800.2, 4.7682)),
    ],
)
def test_face_and_path_apart(
    run: Run, v: float, face: float, path: float, loft: float, attack: float, e: float, mass: float, want: Any
) -> None:
    # the launch lies in the plane of the head's velocity and the face normal (Jorgensen, The Physics of Golf, 1999)
    got = predict(
        run,
        speed_mps=v,
        face_deg=face,
        path_deg=path,
        dynamic_loft_deg=loft,
        attack_deg=attack,
        restitution=e,
        head_mass_kg=mass,
    )
    names = ("incidence_deg", "ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm", "axis_tilt_deg")
    assert [got[name] for name in names] == pytest.approx(want, rel=CLOSE, abs=6e-5)


@pytest.mark.parametrize(
    ("inertia", "depth", "mass", "toe"),
    [
        (5000, 35, 0.200, 5),
        (5000, 35, 0.200, 10),
        (5000, 35, 0.200, 20),
        (4000, 35, 0.200, 20),
        (5679, 42.3, 0.204, 10),
    ],
)
def test_a_toe_hit_turns_the_head(run: Run, inertia: float, depth: float, mass: float, toe: float) -> None:
    # two linear equations for the normal and the level impulse of a head that turns about its upright axis
    got = predict(
        run,
        speed_mps=45,
        dynamic_loft_deg=0,
        attack_deg=0,
        path_deg=0,
        restitution=0.83,
        head_mass_kg=mass,
        head_inertia_gcm2=(4000, inertia, 4000),
        head_depth_mm=depth,
        strike_toe_mm=toe,
    )
    i, b, x, m = inertia * 1e-7, depth * 1e-3, toe * 1e-3, BALL_KG
    matrix = np.array([[1 / m + 1 / mass + x * x / i, -x * b / i], [-x * b / i, 3.5 / m + 1 / mass + b * b / i]])
    normal, level = np.linalg.solve(matrix, [1.83 * 45, 0.0]) / m
    assert got["ball_speed_mps"] == pytest.approx(math.hypot(normal, level), rel=CLOSE)
    assert got["start_deg"] == pytest.approx(math.degrees(math.atan2(level, normal)), rel=CLOSE)
    assert got["backspin_rpm"] == pytest.approx(2.5 * level / (BALL_M / 2) * 30 / math.pi, rel=CLOSE)
    assert got["axis_tilt_deg"] == pytest.approx(-90, abs=0.01)  # curves back


def test_bulge_sends_a_toe_hit_out(run: Run) -> None:
    # a face of radius 305 mm looks asin(20/305) = 3.760 deg to the side 20 mm from its middle
    same = {"speed_mps": 45, "dynamic_loft_deg": 0, "attack_deg": 0, "restitution": 0.83, "head_mass_kg": 0.2}
    bulged = predict(run, **same, strike_toe_mm=20, bulge_mm=305)
    turned = predict(run, **same, face_deg=math.degrees(math.asin(20 / 305)))
    for name in ("ball_speed_mps", "start_deg", "backspin_rpm", "incidence_deg"):
        assert bulged[name] == pytest.approx(turned[name], rel=CLOSE)


@pytest.mark.parametrize(
    ("flags", "want"),
    [
        ({}, {"carry_m": 208.0439, "time_s": 5.4956, "apex_m": 23.1883, "apex_x_m": 130.4776, "landing_deg": 33.8632}),
        ({"lift_coefficient": 0}, {"carry_m": 128.6036, "apex_m": 8.3730, "landing_deg": 17.7104}),
        ({"axis_tilt_deg": 5}, {"carry_m": 207.6919, "side_m": 5.5893, "curve_m": 5.5893}),
        ({"axis_tilt_deg": -10}, {"carry_m": 206.6361, "side_m": -11.0534}),
        ({"air_density_kgm3": 1.0466}, {"carry_m": 217.8084, "apex_m": 21.9198}),
        ({"wind_along_mps": 5}, {"carry_m": 216.8344, "landing_speed_mps": 33.8266}),
        ({"wind_along_mps": -5}, {"carry_m": 195.5335, "apex_m": 25.7863}),
        ({"wind_across_mps": 5}, {"carry_m": 208.0467, "side_m": 11.6788}),
    ],
)
def test_flight_with_constant_coefficients(run: Run, flags: dict[str, float], want: dict[str, float]) -> None:
    # quadratic drag and lift, worked by two independent integrations (DOP853 and Runge-Kutta) to four decimals
    given = {"ball_speed_mps": 70, "launch_deg": 12, "drag_coefficient": 0.25, "lift_coefficient": 0.15}
    got = predict(run, **{**given, "spin_decay_per_m": 0, **flags})
    assert {name: got[name] for name in want} == pytest.approx(want, rel=CLOSE)


def test_flight_without_air(run: Run) -> None:
    got = predict(run, ball_speed_mps=70, launch_deg=12, air_density_kgm3=0)
    a = math.radians(12)
    assert got["carry_m"] == pytest.approx(70**2 * math.sin(2 * a) / G, rel=1e-4)
    assert got["apex_m"] == pytest.approx((70 * math.sin(a)) ** 2 / (2 * G), rel=1e-4)


@pytest.mark.parametrize(("friction", "bulge", "roll"), [(1.0, 1e5, 1e5), (1.0, 250.0, 300.0), (0.08, 250.0, 300.0)])
def test_a_whole_shot_against_a_momentum_solve_and_a_flight_of_its_own(
    run: Run, friction: float, bulge: float, roll: float
) -> None:
    # momentum, spin and head rotation solved in target axes, then scipy's DOP853 for the flight
    v, attack, path, face, loft = 44.0, -2.5, 3.0, -1.5, 24.0
    mass, e, et, toe, up = 0.251, 0.78, 0.1, -8e-3, 5e-3
    got = predict(
        run,
        speed_mps=v,
        attack_deg=attack,
        path_deg=path,
        face_deg=face,
        dynamic_loft_deg=loft,
        head_mass_kg=mass,
        head_inertia_gcm2=(900, 2600, 2900),
        head_depth_mm=11,
        restitution=e,
        tangential_restitution=et,
        friction=friction,
        bulge_mm=bulge,
        roll_mm=roll,
        strike_toe_mm=-8,
        strike_up_mm=5,
        drag_coefficient=0.27,
        lift_coefficient=0.2,
        spin_decay_per_m=0,
        wind_along_mps=2,
        wind_across_mps=-3,
    )
    flat, club = along(loft, face), v * along(attack, path)
    right = np.cross(along(0, face), [0, 0, 1])
    axes = np.stack([right, np.cross(right, flat), flat])  # toe, up, out
    inertia = axes.T @ np.diag([900e-7, 2600e-7, 2900e-7]) @ axes
    arm, radius = axes.T @ np.array([toe, up, 11e-3]), BALL_M / 2
    sideways, upward = math.asin(toe / (bulge * 1e-3)), math.asin(up / (roll * 1e-3))
    across = math.cos(sideways)
    n = axes.T @ np.array([math.sin(sideways), across * math.sin(upward), across * math.cos(upward)])

    def after(impulse: Any) -> tuple[Any, Any, Any]:
        ball = impulse / BALL_KG
        spin = np.cross(-radius * n, impulse) / (0.4 * BALL_KG * radius**2)
        turn = np.linalg.solve(inertia, np.cross(arm, -impulse))
        slip = ball + np.cross(spin, -radius * n) - (club - impulse / mass) - np.cross(turn, arm)
        return ball, spin, slip

    start = after(np.zeros(3))[2]
    matrix = np.stack([after(unit)[2] - start for unit in np.eye(3)], axis=1)
    into = n * (n @ start)
    impulse = np.linalg.solve(matrix, -(1 + e) * into - (1 + et) * (start - into))
    grip = np.linalg.norm(impulse - n * (n @ impulse)) <= friction * (n @ impulse)
    if not grip:
        way = n - friction * (start - into) / np.linalg.norm(start - into)
        impulse = way * -(1 + e) * (n @ start) / (n @ matrix @ way)
    assert got["sliding"] == (not grip) == (friction < 0.1)
    ball, spin, _ = after(impulse)
    ahead = ball / np.linalg.norm(ball)
    level = np.cross(ahead, [0, 0, 1]) / np.linalg.norm(np.cross(ahead, [0, 0, 1]))
    square = spin - ahead * (ahead @ spin)
    x, y = landing(ball, square / np.linalg.norm(square))
    want = {
        "ball_speed_mps": np.linalg.norm(ball),
        "start_deg": math.degrees(math.atan2(-ball[1], ball[0])),
        "launch_deg": math.degrees(math.asin(ahead[2])),
        "backspin_rpm": np.linalg.norm(square) * 30 / np.pi,
        "axis_tilt_deg": math.degrees(math.atan2(-square @ np.cross(level, ahead), square @ level)),
        "carry_m": x,
        "side_m": -y,
    }
    assert {name: got[name] for name in want} == pytest.approx(want, rel=CLOSE)


def along(lift_deg: float, side_deg: float) -> Any:
    """A direction so far above the horizontal and to the right of the target; x to the target, y left, z up."""
    lift, side = np.radians(lift_deg), np.radians(side_deg)
    return np.array([np.cos(lift) * np.cos(side), -np.cos(lift) * np.sin(side), np.sin(lift)])


def landing(ball: Any, axis: Any) -> tuple[float, float]:
    """Where the ball first lands: C_D 0.27, C_L 0.2, standard air, a wind of 2 m/s ahead and 3 m/s to the left."""
    k = 0.5 * 1.225 * np.pi * (BALL_M / 2) ** 2 / BALL_KG

    def force(_: float, state: Any) -> Any:
        air = state[3:] - [2, 3, 0]
        speed = np.linalg.norm(air)
        lift = np.cross(axis, air)
        pull = -0.27 * speed * air + 0.2 * speed**2 * lift / np.linalg.norm(lift)
        return np.concatenate([state[3:], k * pull - [0, 0, G]])

    def ground(time: float, state: Any) -> float:
        return float(state[2]) if time > 0.1 else 1.0

    ground.terminal = True  # type: ignore[attr-defined]
    flown = solve_ivp(force, (0, 20), [0, 0, 0, *ball], method="DOP853", rtol=1e-10, atol=1e-10, events=ground)
    return float(flown.y[0, -1]), float(flown.y[1, -1])
