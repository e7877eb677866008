"""``predict``: what may be stated together, what is refused, and how the three ways of stating a shot agree."""

from __future__ import annotations

import json

import pytest
from arclore.engine.library.schema import validator
from arclore.tui.command.exits import Exit
from arclore.tui.command.quantities import AIR, BALL, BODY, DELIVERED, FLIGHT, HEAD, SET_UP, SWING

from tests.command.running import Run

ALONE = ("--ball-speed-mps", "60", "--launch-deg", "12")


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        ("--speed-mps -3", "0.5 to 80"),
        ("--speed-mps nan", "finite"),
        ("--speed-mps=-inf", "finite"),
        ("--speed-mps fast", "not a number"),
        ("--dynamic-loft-deg 95", "-30 to 80"),
        ("--attack-deg", "expected one argument"),
        ("--attack -3", "nearest: --attack-deg"),
        ("--attack-deg -4 --low-point-cm 3 --arc-radius-m 1.5", "leave one out"),
        ("--attack-deg -4 --low-point-cm -3", "low_point_m must be ahead"),
        ("--attack-deg -2 --low-point-cm 70", "their arc has a radius"),
        ("--path-deg 1 --swing-direction-deg 2 --attack-deg -4", "leave one out"),
        ("--attack-deg -4 --ball-position-cm 3", "follows from the set-up"),
        ("--path-deg 2 --aim-deg 3", "follows from the set-up"),
        ("--strike-up-mm 2 --arc-height-mm 3", "follows from the set-up"),
        ("--attack-deg -39 --plane-deg 20", "--attack-deg"),
        ("--low-point-cm 79 --arc-radius-m 0.5", "--low-point-cm"),
        ("--ball-position-cm 60 --arc-radius-m 0.5", "off the arc"),
        ("--head-inertia-gcm2 1 2", "three"),
        ("--head-inertia-gcm2 0 2 2", "above 0"),
        ("--head-inertia-gcm2 a b c", "not a number"),
        ("--head-mass-kg 0", "0.05 to 1"),
        ("--restitution 1.2", "0 to 1"),
        ("--friction -0.1", "0 to 3"),
        ("--ball-speed-mps 60", "--launch-deg"),
        ("--ball-speed-mps 60 --launch-deg 10 --club driver", "--club"),
        ("--ball-speed-mps 60 --launch-deg 10 --face-deg 1", "--face-deg"),
        ("--ball-speed-mps 900 --launch-deg 10", "0 to 150"),
        ("--air-density-kgm3 1.2 --altitude-m 100", "--altitude-m"),
        ("--altitude-m 99999", "11000"),
        ("--landing-slope-deg 60", "-45 to 45"),
        ("--club 9iron", "nearest: 9-iron"),
        ("--club putt", "driver"),
        ("--level pro", "novice"),
        ("--surface mud", "fairway"),
        ("--accuracy best", "fine"),
        ("--tee-height-mm 400", "0 to 101.6"),
        ("somewhere", "somewhere"),
    ],
)
def test_what_makes_no_sense_is_one_line(run: Run, arguments: str, hint: str) -> None:
    done = run("predict", *arguments.split(), "--json")
    assert (done.code, done.out) == (Exit.WRONG_USE, "")
    assert done.err.count("\n") == 1
    assert hint in done.err


@pytest.mark.parametrize(
    "flags",
    [
        (),
        ALONE,
        ("--club", "wedge", "--level", "novice", "--ball-position-cm", "-5"),
        ("--club", "7-iron", "--attack-deg", "-1e-3"),
        ("--head-mass-kg", "0.2", "--face-deg", "-2.5e0"),
        ("--club", "driver", "--arc-height-mm", "200"),
        ("--face-deg", "79", "--path-deg", "-79", "--dynamic-loft-deg", "0"),
    ],
    ids=" ".join,
)
def test_the_result_keeps_to_its_schema(run: Run, flags: tuple[str, ...]) -> None:
    shot = run("predict", *flags, "--json").json
    assert [error.message for error in validator("prediction").iter_errors(shot)] == []


def test_a_flag_comes_back_under_its_own_name(run: Run) -> None:
    flags = {
        "swing_direction_deg": -1.25,
        "plane_deg": 55.0,
        "arc_radius_m": 1.5,
        "attack_deg": -1e-3,
        "face_deg": 1.5,
        "dynamic_loft_deg": 21.0,
        "speed_mps": 38.0,
        "strike_toe_mm": -4.0,
        "strike_up_mm": 3.0,
        "restitution": 0.8,
        "tangential_restitution": 0.05,
        "friction": 0.4,
        "spin_decay_per_m": 0.001,
        "air_density_kgm3": 1.1,
    }
    words = [word for name, value in flags.items() for word in (f"--{name.replace('_', '-')}", repr(value))]
    shot = run("predict", *words, "--json").json
    assert {name: shot[name] for name in flags} == pytest.approx(flags)


def test_inertia_may_be_three_words_or_one(run: Run) -> None:
    common = ("predict", "--head-mass-kg", "0.2", "--strike-toe-mm", "10", "--head-depth-mm", "30", "--json")
    apart = run(*common, "--head-inertia-gcm2", "3000", "5000", "4000")
    assert run(*common, "--head-inertia-gcm2", "3000,5000,4000").json == apart.json


def test_every_flag_is_a_name_with_its_unit(run: Run) -> None:
    unitless = {"restitution", "tangential_restitution", "friction", "drag_coefficient", "lift_coefficient"}
    units = ("_deg", "_m", "_mm", "_cm", "_mps", "_kg", "_rpm", "_per_m", "_kgm3", "_c", "_hpa", "_percent")
    for group in (SWING, BODY, SET_UP, DELIVERED, HEAD, BALL, FLIGHT, AIR):
        for quantity in group:
            assert quantity.name in unitless or quantity.name.endswith(units)


def test_the_swing_without_a_fault_flies_straight(run: Run) -> None:
    for club in ("driver", "fairway-wood", "hybrid", "4-iron", "7-iron", "9-iron", "sand-wedge"):
        shot = run("predict", "--club", club, "--json").json
        assert shot["contact"] == "clean"
        assert (shot["path_deg"], shot["side_m"], shot["axis_tilt_deg"]) == pytest.approx((0, 0, 0), abs=1e-6)


def test_a_delivery_and_the_swing_it_comes_from_agree(run: Run) -> None:
    stood = run("predict", "--club", "7-iron", "--ball-position-cm", "-13", "--json").json
    names = ("attack_deg", "path_deg", "face_deg", "dynamic_loft_deg", "speed_mps", "strike_toe_mm", "strike_up_mm")
    words = [word for name in names for word in (f"--{name.replace('_', '-')}", repr(stood[name]))]
    told = run("predict", "--club", "7-iron", *words, "--json").json
    for name in ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm", "axis_tilt_deg", "carry_m", "side_m"):
        assert told[name] == pytest.approx(stood[name], rel=1e-5)


def test_one_swing_direction_gives_opposite_paths_up_and_down(run: Run) -> None:
    # common practice, no source: the driver is met on the way up, the iron on the way down
    shifts = {
        club: run("predict", "--club", club, "--level", "skilled", "--json").json["path_shift_deg"]
        for club in ("driver", "7-iron")
    }
    assert shifts["driver"] < -1.0
    assert shifts["7-iron"] > 1.0


def test_a_swing_that_misses_is_a_result_and_not_an_error(run: Run) -> None:
    done = run("predict", "--club", "driver", "--arc-height-mm", "200", "--json")
    assert done.code == Exit.DONE
    assert (done.json["contact"], done.json["ball_speed_mps"], done.json["carry_m"]) == ("miss", 0, 0)
    assert "misses the ball" in run("predict", "--club", "driver", "--arc-height-mm", "200").out


def test_the_ball_alone_needs_no_club(run: Run) -> None:
    shot = run("predict", *ALONE, "--backspin-rpm", "2600", "--start-deg", "-3", "--json").json
    assert (shot["club"], shot["path_deg"], shot["contact"]) == (None, None, None)
    assert shot["side_m"] < 0
    assert abs(shot["curve_m"]) < 0.01
    text = run("predict", *ALONE).out
    assert "It leaves at 60.0 m/s, 12.0 deg up" in text
    assert "The club" not in text


def test_thin_air_and_a_firm_ground_carry_and_run_further(run: Run) -> None:
    flags = ("predict", *ALONE, "--backspin-rpm", "2600", "--json")
    usual = run(*flags).json
    high = run(*flags, "--altitude-m", "1609", "--temperature-c", "25", "--humidity-percent", "40").json
    firm = run(*flags, "--surface", "firm").json
    assert high["air_density_kgm3"] < usual["air_density_kgm3"]
    assert high["carry_m"] > usual["carry_m"]
    assert firm["total_m"] > usual["total_m"] > usual["carry_m"]


def test_quick_is_near_fine(run: Run) -> None:
    carries = [run("predict", *ALONE, "--accuracy", how, "--json").json["carry_m"] for how in ("fine", "quick")]
    assert carries[0] == pytest.approx(carries[1], abs=0.25)


def test_moments_of_no_solid_head_are_played_and_said(run: Run) -> None:
    done = run("predict", "--head-mass-kg", "0.2", "--head-inertia-gcm2", "1000", "9000", "1000", "--json")
    assert "no solid head" in done.err
    assert json.loads(done.out)["ball_speed_mps"] > 0


def test_the_page_speaks_in_sentences(run: Run) -> None:
    text = " ".join(run("predict", "--club", "driver", "--face-deg", "3").out.split())
    for part in ("At the ball the club travels", "Its face looks 3.0 deg right", "It bottoms out", "It curves"):
        assert part in text


def test_a_measured_attack_and_low_point_tell_the_radius_of_the_arc(run: Run) -> None:
    """The pair that an arc of 1.52 m in a plane of 60 deg makes gives it back."""
    plain = run(*["predict", "--plane-deg", "60", "--arc-radius-m", "1.52", "--attack-deg", "-4", "--json"]).json
    flags = f"--plane-deg 60 --attack-deg -4 --low-point-cm {plain['low_point_cm']}"
    measured = run("predict", *flags.split(), "--json").json
    assert measured["arc_radius_m"] == pytest.approx(1.52, rel=1e-4)
