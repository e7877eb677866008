"""The chain from swing and set-up to the ball: moves of the set-up, edges of the head, arrays, bad input."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry import arc
from arclore.engine.geometry.check import LIMITS, check_inertia
from arclore.engine.geometry.inverse import arc_radius_from_pair
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import (
    CHUNK,
    CONTACTS,
    TURFS,
    Shot,
    Swing,
    deliver,
    fault_free,
    shot,
    side_of_face,
)
from arclore.engine.quantities import BALL_MASS_KG

from tests.geometry.players import CLUBS, DRIVER, IRON, set_up, standard


def test_one_swing_direction_gives_opposite_paths() -> None:
    """One base line at 0: hitting down moves an iron's path right, hitting up a driver's left, about 2 deg
    each.
    """
    paths = {}
    for club in (IRON, DRIVER):
        swing = replace(fault_free(club, "skilled"), swing_direction_deg=0.0)
        paths[club.id] = float(deliver(swing, club.standard, club).path_deg)
    assert 1.5 < paths["mid-iron"] < 2.6
    assert -2.6 < paths["driver"] < -1.5


def test_without_the_run_all_but_where_the_ball_comes_to_rest_is_the_same() -> None:
    swing = replace(fault_free(IRON, "skilled"), face_deg=np.array([-3.0, 0.0, 3.0]))
    whole, landed = shot(swing, IRON.standard, IRON), shot(swing, IRON.standard, IRON, run=False)
    assert landed.total_m is None
    for field in fields(Shot):
        if field.name != "total_m":
            np.testing.assert_array_equal(getattr(landed, field.name), getattr(whole, field.name))


def test_set_ups_exchanged() -> None:
    """An iron played from the driver's place and stance is met rising; a driver from the iron's, going
    down.
    """
    stance = ("ball_position_m", "tilt_deg", "stance_width_m")
    iron = replace(IRON.standard, **{name: getattr(DRIVER.standard, name) for name in stance})
    driver = replace(DRIVER.standard, **{name: getattr(IRON.standard, name) for name in stance})
    from_driver = deliver(fault_free(IRON, "skilled"), iron, IRON)
    from_iron = deliver(fault_free(DRIVER, "skilled"), driver, DRIVER)
    assert from_driver.attack_deg > 1.5 and from_driver.path_deg < -2
    assert from_iron.attack_deg < 0 and from_iron.path_deg > 1
    assert from_iron.face_deg > 0 > from_driver.face_deg


def test_ball_forward_is_more_up_left_closed_and_lofted() -> None:
    """Rates of the arc, derived: sin T / R and -cos T / R; the head turns with it."""
    near, far = set_up(IRON, ball_position_m=-0.005), set_up(IRON, ball_position_m=0.005)
    plane, radius = np.radians(IRON.plane_deg), IRON.arc_radius_m
    per_cm = np.degrees(0.01 / radius)
    assert far.attack_deg - near.attack_deg == pytest.approx(per_cm * np.sin(plane), rel=0.02)
    assert far.path_deg - near.path_deg == pytest.approx(-per_cm * np.cos(plane), rel=0.02)
    assert far.dynamic_loft_deg - near.dynamic_loft_deg == pytest.approx(far.attack_deg - near.attack_deg)
    assert -0.8 <= far.face_deg - near.face_deg <= -0.4


@pytest.mark.parametrize(("name", "amount"), [("aim_deg", 5.0), ("body_aim_deg", 5.0), ("face_aim_deg", 5.0)])
def test_aim(name: str, amount: float) -> None:
    turned = set_up(IRON, **{name: amount})
    assert turned.path_deg == pytest.approx(0 if name == "face_aim_deg" else amount, abs=1e-9)
    assert turned.face_deg == pytest.approx(0 if name == "body_aim_deg" else amount, abs=1e-9)
    assert 0 < turned.start_deg <= amount + 1e-9


@pytest.mark.parametrize(
    ("change", "quantity", "sign"),
    [
        ({"tilt_deg": 5}, "low_point_m", -1),
        ({"stance_width_m": 0.1}, "low_point_m", -1),
        ({"handle_m": 0.05}, "dynamic_loft_deg", -1),
        ({"handle_m": 0.05}, "low_point_m", 1),
        ({"ball_distance_m": 0.04}, "strike_toe_m", 1),
        ({"side_slope_deg": 6}, "face_deg", -1),
        ({"lie_error_deg": 2}, "face_deg", -1),
        ({"slope_deg": 6}, "launch_deg", 1),
    ],
)
def test_set_up_moves(change: dict[str, float], quantity: str, sign: int) -> None:
    before, after = set_up(IRON), set_up(IRON, **change)
    assert np.sign(getattr(after, quantity) - getattr(before, quantity)) == sign


def test_lower_tee_is_struck_lower_and_more_down() -> None:
    """0.7 deg of attack for each cm of tee (governing-body supported study, second hand), within a fifth."""
    high, low = set_up(DRIVER), set_up(DRIVER, tee_height_m=-0.03)
    assert (high.attack_deg - low.attack_deg) / 3 == pytest.approx(0.7, rel=0.2)
    assert -0.015 < low.strike_up_m < -0.005
    assert low.launch_deg < high.launch_deg and low.backspin_rpm > high.backspin_rpm


def test_heights_of_the_arc_name_the_contact() -> None:
    shifts = np.array([-0.020, -0.010, 0.0, 0.010, 0.022, 0.060])
    hit = standard(IRON, arc_height_m=shifts)
    assert [CONTACTS[code] for code in hit.contact] == ["fat", "fat", "clean", "thin", "top", "miss"]
    assert [TURFS[code] for code in hit.turf] == ["behind", "behind", "after", "none", "none", "none"]
    assert hit.ball_speed_mps[0] < hit.ball_speed_mps[1] < hit.ball_speed_mps[2]
    assert hit.speed_mps[0] < hit.speed_mps[1] < hit.speed_mps[2]
    assert hit.launch_deg[3] < hit.launch_deg[2] and hit.launch_deg[4] < 0
    assert hit.ball_speed_mps[5] == 0 and hit.backspin_rpm[5] == 0
    assert (hit.turf_before_m[:2] > 0.03).all() and (hit.turf_before_m[2:] == 0).all()
    assert hit.turf_start_m[0] == -hit.turf_before_m[0] < 0 < hit.turf_start_m[2] < hit.turf_end_m[2]


def test_driver_under_the_ball_skies_it() -> None:
    hit = standard(DRIVER, arc_height_m=np.array([-0.027, -0.016]))
    assert [CONTACTS[code] for code in hit.contact] == ["sky", "clean"]
    assert hit.launch_deg[0] > hit.launch_deg[1] + 3
    deep = shot(fault_free(DRIVER, "novice"), replace(DRIVER.standard, tee_height_m=0.10), DRIVER, flight=False)
    assert deep.tee_depth_m > 0.03


@pytest.mark.parametrize(
    ("toe_mm", "side"),
    [(0, "middle"), (10, "middle"), (25, "toe"), (-25, "heel"), (-36, "shank"), (-50, "shank")],
)
def test_sides_of_the_face(toe_mm: float, side: str) -> None:
    assert side_of_face(toe_mm / 1000, IRON.head) == side


def test_neck_throws_the_ball_right_and_beyond_the_toe_is_a_miss() -> None:
    hit = standard(IRON, strike_toe_m=np.array([-0.045, -0.030, 0.045, 0.070]))
    assert hit.start_deg[0] > 15 and abs(hit.start_deg[1]) < 2 and hit.start_deg[2] > 5
    assert [CONTACTS[code] for code in hit.contact] == ["clean", "clean", "clean", "miss"]


def test_restitution_falls_with_speed_and_off_the_centre() -> None:
    hit = standard(DRIVER, speed_mps=np.array([0.0, 10.0]))
    assert hit.restitution[1] < hit.restitution[0]
    wide = standard(DRIVER, strike_toe_m=np.array([0.0, 0.02, -0.02]))
    assert (wide.restitution[1:] < wide.restitution[0] - 0.02).all()
    assert (wide.ball_speed_mps[1:] < wide.ball_speed_mps[0]).all()


def test_wet_face_slides_and_spins_less() -> None:
    club = CLUBS["wedge"]
    swing = fault_free(club, "skilled")
    dry, wet = (shot(swing, club.standard, club, flight=False, friction=mu) for mu in (None, 0.08))
    assert wet.sliding and wet.backspin_rpm < 0.8 * dry.backspin_rpm and wet.launch_deg > dry.launch_deg


def test_arc_radius_from_one_measured_pair() -> None:
    low_point = arc.low_point_from_attack(-4.0, 1.52, 60.0)
    assert arc_radius_from_pair(-4.0, low_point, 60.0) == pytest.approx(1.52)
    with pytest.raises(ValueError, match="low_point_m"):
        arc_radius_from_pair(-4.0, -0.10, 60.0)
    with pytest.raises(ValueError, match="attack_deg"):
        arc_radius_from_pair(-0.1, 0.01, 60.0)


def test_many_shots_at_once_equal_one_at_a_time() -> None:
    """Beyond one chunk, in two dimensions, against single calls."""
    rng = np.random.default_rng(3)
    shape = (3, CHUNK // 2)
    swing = fault_free(IRON, "novice")
    many = replace(
        swing,
        face_deg=rng.normal(0, 4, shape),
        arc_height_m=swing.arc_height_m + rng.normal(0, 0.01, shape),
        strike_toe_m=rng.normal(0, 0.012, shape[1]),
        closing_deg_per_m=50.0,
    )
    hits = shot(many, replace(IRON.standard, slope_deg=rng.normal(0, 2, (3, 1))), IRON, accuracy="quick")
    again = rng.integers(0, 3, 20), rng.integers(0, shape[1], 20)
    wholes = np.broadcast_arrays(many.face_deg, many.arc_height_m, many.strike_toe_m)
    rng = np.random.default_rng(3)
    for row, column in zip(*again, strict=True):
        face, height, toe = (float(whole[row, column]) for whole in wholes)
        one = replace(many, face_deg=face, arc_height_m=height, strike_toe_m=toe)
        slope = float(hits.attack_deg[row, 0] - deliver(one, IRON.standard, IRON).attack_deg)
        single = shot(one, replace(IRON.standard, slope_deg=slope), IRON, accuracy="quick")
        for field in fields(Shot):
            found, right = getattr(hits, field.name), getattr(single, field.name)
            assert found.shape == shape
            assert found[row, column] == pytest.approx(right, rel=1e-6, abs=1e-6), field.name


def test_results_are_finite_for_wild_players() -> None:
    rng = np.random.default_rng(8)
    count = 4000
    for club in CLUBS.values():
        swing = fault_free(club, "novice")
        spread = {
            "swing_direction_deg": 10,
            "low_point_m": 0.1,
            "arc_height_m": 0.03,
            "face_deg": 12,
            "loft_deg": 8,
            "strike_toe_m": 0.03,
        }
        moved = {name: getattr(swing, name) + rng.normal(0, sd, count) for name, sd in spread.items()}
        moved["loft_deg"] = np.minimum(moved["loft_deg"], LIMITS["loft_deg"][1])
        hit = shot(replace(swing, **moved), club.standard, club)
        for field in fields(Shot):
            assert np.isfinite(np.asarray(getattr(hit, field.name), dtype=float)).all(), field.name
        rebound = (1.0 + float(club.head.restitution_at(0.0, 0.0, 0.0))) / (1.0 + BALL_MASS_KG / club.head.mass_kg)
        assert (hit.ball_speed_mps <= rebound * swing.speed_mps).all()  # that of a square hit, at most


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"speed_mps": -3.0}, r"speed_mps is -3; give a number from 0.5 to 80 m/s"),
        ({"loft_deg": 95.0}, r"loft_deg is 95; give a number from -30 to 80 deg"),
        ({"face_deg": float("nan")}, r"face_deg is nan; give a number from -80 to 80 deg"),
        ({"arc_radius_m": np.array([1.5, np.inf])}, r"arc_radius_m is inf; give a number from 0.5 to 3 m"),
        ({"low_point_m": 0.75, "arc_radius_m": 0.6}, r"low_point_m: the ball lies off the arc"),
    ],
)
def test_absurd_swings_are_refused_in_one_line(change: dict[str, Any], line: str) -> None:
    swing: Swing = replace(fault_free(IRON, "skilled"), **change)
    with pytest.raises(ValueError, match=line) as caught:
        shot(swing, IRON.standard, IRON, flight=False)
    assert "\n" not in str(caught.value)


def test_absurd_set_up_is_refused() -> None:
    with pytest.raises(ValueError, match=r"tee_height_m is 0.2; give a number from 0 to 0.1016 m"):
        shot(fault_free(IRON, "skilled"), SetUp(-0.1, tee_height_m=0.2), IRON, flight=False)


@pytest.mark.parametrize("moments", [(-1e-4, 2e-4, 2e-4), (0.0, 2e-4, 2e-4), (1e-4, 2e-4, 9e-4), (1e-4, 2e-4)])
def test_inertia_no_body_can_have_is_refused(moments: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="head_inertia_kgm2"):
        check_inertia(moments)
