"""Pitch, chip, sand and putt in the inference: what words mean there, and what they lead to."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.case import shot_values
from arclore.engine.diagnosis.condition import BLOCK_OF, BLOCKS, Condition
from arclore.engine.diagnosis.putt_condition import PuttCondition
from arclore.engine.diagnosis.sand_condition import SandCondition
from arclore.engine.diagnosis.triage import CONDITIONS, Bench, triage
from arclore.engine.geometry.club import LEVELS
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import mirrored

LIBRARY = load_library()
SHORT = ("pitch", "chip", "sand", "putt")
VALUES = {
    "start": ("left", "on-line", "right"),
    "finish": ("left", "on-line", "right"),
    "curve": ("left", "none", "right"),
    "height": ("low", "normal", "high"),
    "contact": ("clean", "thin", "top", "fat", "sky", "miss"),
    "face_part": ("heel", "middle", "toe", "shank"),
}


def condition(family: str, level: str = "intermediate") -> Condition:
    club = club_from_entry(LIBRARY.clubs[family])
    return CONDITIONS.get(family, Condition)(club, level, club.standard, LIBRARY.settings, family)


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(LIBRARY)


def chance(made: Condition, variable: str, value: str, **change: float) -> float:
    """How often a ball of this delivery has the value, the scatter from ball to ball worked in."""
    block = BLOCK_OF[variable]
    grid = made.grids[block]
    given = {name: np.array([amount]) for name, amount in change.items()} or {"face_deg": np.zeros(1)}
    field = grid.blurred(made.region(variable, value), made.spread("scatter")[block])
    return float(grid.read(field, grid.index(made.points(given)[block]))[0])


@pytest.mark.parametrize("family", ["driver", "mid-iron", *SHORT])
@pytest.mark.parametrize("variable", VALUES)
def test_values_of_a_variable_share_the_whole(family: str, variable: str) -> None:
    """At every place of the grid the values of a variable are chances that sum to one."""
    made = condition(family)
    regions = np.array([made.region(variable, value) for value in VALUES[variable]])
    assert (regions >= 0).all()
    assert regions.sum(axis=0) == pytest.approx(np.ones(regions.shape[1:]))


@pytest.mark.parametrize("family", SHORT)
@pytest.mark.parametrize("level", LEVELS)
def test_usual_ball_is_clean_on_line_and_of_the_usual_pace(family: str, level: str) -> None:
    """Without a fault the likeliest contact is clean, the likeliest start on line, short and long alike in chance."""
    made = condition(family, level)
    assert set(made.fault_free_point) == set(BLOCKS)
    assert made.fault_free_point["pace"] == pytest.approx([0.0], abs=1e-9)
    contacts = {value: chance(made, "contact", value) for value in VALUES["contact"]}
    assert max(contacts, key=lambda value: contacts[value]) == "clean"
    starts = {value: chance(made, "start", value) for value in VALUES["start"]}
    assert max(starts, key=lambda value: starts[value]) == "on-line"
    assert starts["left"] == pytest.approx(starts["right"], abs=0.03)
    assert chance(made, "distance", "short") == pytest.approx(chance(made, "distance", "long"), abs=0.05)


@pytest.mark.parametrize("family", SHORT)
def test_better_players_scatter_less(family: str) -> None:
    """Spreads of direction and of the strike along the face fall from novice to skilled, ball to ball and between."""
    for kind in ("own", "scatter"):
        spreads = [condition(family, level).spread(kind) for level in LEVELS]
        for worse, better in pairwise(spreads):
            assert (better["direction"] < worse["direction"]).all() and (better["toe"] < worse["toe"]).all()


def test_short_game_scale_shrinks_spreads() -> None:
    """A spread named in the scale is that share of the full one; one that is not named is whole."""
    made = condition("chip")
    whole = Condition(made.club, made.level, made.set_up, {**LIBRARY.settings, "short_game_scale": {}}, "chip")
    share = LIBRARY.settings["short_game_scale"]["chip"]["strike_toe_mm"]
    assert made.spread("scatter")["toe"] == pytest.approx(share * whole.spread("scatter")["toe"])
    assert made.spread("scatter")["pace"] <= whole.spread("scatter")["pace"]


# --- putts ----------------------------------------------------------------------------------------------------------


def test_putt_face_counts_several_times_the_path() -> None:
    """The face's share of a putt's start is 0.83 to 0.92 (common practice, no source)."""
    made = condition("putt")
    assert isinstance(made, PuttCondition) and 0.83 <= made.face_share <= 0.92
    assert chance(made, "start", "right", face_deg=1.5) > 0.6
    assert chance(made, "start", "right", swing_direction_deg=1.5) < 0.35


def test_putt_words_are_finer_than_full_swing_ones() -> None:
    """One degree is off line for a putt and on line for an iron."""
    assert chance(condition("putt", "skilled"), "start", "right", face_deg=1.2) > 0.6
    assert chance(condition("mid-iron", "skilled"), "start", "right", face_deg=1.2) < 0.4


def test_putt_pace_follows_speed_and_strike() -> None:
    """Way goes with the square of speed: 10 % off is a fifth off the way; a strike off the middle costs way too."""
    made = condition("putt")
    pace = made.points({"speed_percent": np.array([-10.0, 0.0, 10.0]), "strike_toe_mm": np.zeros(3)})["pace"][:, 0]
    assert pace == pytest.approx(2 * np.log([0.9, 1.0, 1.1]), abs=0.01)
    off = made.points({"strike_toe_mm": np.array([20.0, -20.0])})["pace"][:, 0]
    assert (off < -0.05).all()
    assert chance(made, "distance", "short", speed_percent=-15) > 0.8
    assert chance(made, "distance", "long", speed_percent=15) > 0.8


def test_putt_strike_on_the_toe_is_said_sooner_than_with_an_iron() -> None:
    made = condition("putt", "skilled")
    assert chance(made, "face_part", "toe", strike_toe_mm=10) > 0.6
    assert made.region("face_part", "shank").max() == 0.0


def test_putt_loft_says_whether_it_hops() -> None:
    made = condition("putt", "skilled")
    assert chance(made, "height", "high", loft_deg=4) > 0.6
    assert chance(made, "height", "low", loft_deg=-4) > 0.6
    assert chance(made, "height", "normal") > 0.6


# --- sand -----------------------------------------------------------------------------------------------------------


def test_sand_contact_is_what_the_sole_does() -> None:
    """Deeper or further behind stays in, too high or too far forward meets the ball (common practice, no source)."""
    made = condition("sand", "skilled")
    assert isinstance(made, SandCondition)
    for change in ({"arc_height_mm": -14.0}, {"low_point_cm": -8.0}, {"speed_percent": -50.0}):
        assert chance(made, "contact", "fat", **change) > 0.5 > 4 * chance(made, "contact", "fat")
        assert chance(made, "distance", "short", **change) > 0.8
    assert chance(made, "contact", "thin", arc_height_mm=12.0) > 0.6
    assert chance(made, "contact", "thin", low_point_cm=8.0) > 0.6
    assert chance(made, "distance", "long", speed_percent=30.0) > chance(made, "distance", "long")


def test_slow_head_in_sand_counts_as_a_deeper_one() -> None:
    """The depth that stands for a speed costs as much distance as the speed does; a faster head stands for none."""
    made = condition("sand")
    usual = made.fault_free_point["strike"][1]
    rows = made.points({"speed_percent": np.array([-40.0, -20.0, 0.0, 20.0])})
    lower = rows["strike"][:, 1] - usual
    assert lower[0] < lower[1] < 0 and lower[2:] == pytest.approx([0.0, 0.0], abs=1e-6)
    deeper = made.points({"arc_height_mm": lower[:2]})
    assert rows["pace"][:2] == pytest.approx(deeper["pace"], abs=0.02)


def test_sand_turf_words_are_about_the_mark() -> None:
    made = condition("sand", "skilled")
    assert chance(made, "turf", "after") > 0.8
    assert chance(made, "turf", "none", arc_height_mm=18.0) > 0.8
    assert chance(made, "turf", "behind", low_point_cm=-8.0) > 0.8


# --- distance as an outcome -----------------------------------------------------------------------------------------


def test_distance_beside_a_poor_contact_is_read_off_the_strike() -> None:
    """Alone, or with a sound or off-centre strike, it is the pace; with a thin or fat one the contact's own."""
    assert shot_values({"finish": "short"}) == {"distance": ("short",)}
    assert "distance" in shot_values({"finish": "long", "contact": ["clean"]})
    assert "distance" in shot_values({"finish": "short", "contact": ["toe"]})
    thin = shot_values({"finish": "long", "contact": ["thin"]})
    assert thin["strike_distance"] == ("long",) and "distance" not in thin
    assert shot_values({"finish": "left"}) == {"finish": ("left",)}


@pytest.mark.parametrize("family", ["driver", "mid-iron", *SHORT])
def test_speed_is_evidence_with_every_club(family: str) -> None:
    """A slower head makes short balls likelier and long ones less likely, with every club."""
    made = condition(family)
    assert chance(made, "distance", "short", speed_percent=-25) > 1.25 * chance(made, "distance", "short")
    assert chance(made, "distance", "long", speed_percent=-25) < chance(made, "distance", "long")


def test_thin_chip_runs_long_and_a_fat_one_stops_short() -> None:
    made = condition("chip")
    thin, fat = (made.region("contact", value) for value in ("thin", "fat"))
    long, short = (made.region("strike_distance", value) for value in ("long", "short"))
    assert (thin * long).sum() > 2 * (thin * short).sum()
    assert (fat * short).sum() > 5 * (fat * long).sum()


# --- whole cases ----------------------------------------------------------------------------------------------------


def case(club: str, level: str = "novice", handed: str = "right", **shot: Any) -> dict[str, Any]:
    return {"handed": handed, "level": level, "shots": [{"club": club, **shot}]}


def first_families(answer: dict[str, Any], count: int = 3) -> list[str]:
    return [cause["family"] for cause in answer["causes"][:count]]


def probability(answer: dict[str, Any], name: str) -> float:
    return float({fault["id"]: fault["probability"] for fault in answer["delivery_faults"]}[name])


def test_putts_that_start_left_are_a_face_that_looks_left(bench: Bench) -> None:
    answer = triage(case("putt", start="left"), bench)
    assert "putt-face-or-aim" in first_families(answer, 1)
    assert probability(answer, "face-closed") > 0.5 > probability(answer, "path-out-to-in")
    assert answer["delivery"]["putt"]["face_deg"]["mid"] < -0.7


def test_left_handers_putts_are_mirrored(bench: Bench) -> None:
    one = triage(case("putt", start="left", finish="short"), bench)
    other = triage(case("putt", handed="left", start=mirrored("left"), finish="short"), bench)
    assert [c["id"] for c in one["causes"]] == [c["id"] for c in other["causes"]]
    assert one["delivery"]["putt"]["face_deg"]["low"] == -other["delivery"]["putt"]["face_deg"]["high"]


def test_putts_left_short_raise_the_stroke_that_brakes(bench: Bench) -> None:
    short, told = triage(case("putt", finish="short"), bench), triage(case("putt", start="on-line"), bench)
    assert short["causes"][0]["id"] == "putt-stroke-brakes"
    assert any(row["finding"] == "putt: finish short" for row in short["causes"][0]["because"])
    assert probability(short, "speed-lost") > 1.3 * probability(told, "speed-lost")


def test_ball_that_stays_in_sand_and_one_bladed_out(bench: Bench) -> None:
    stays = triage(case("sand", contact=["fat"], finish="short"), bench)
    blade = triage(case("sand", contact=["thin"], finish="long"), bench)
    assert "sand-entry" in first_families(stays) and "sand-entry" in first_families(blade)
    assert probability(stays, "arc-too-low") + probability(stays, "low-point-behind") > 0.6
    assert probability(blade, "arc-too-high") + probability(blade, "low-point-ahead") > 0.6
    assert stays["causes"][0]["id"] != blade["causes"][0]["id"]


def test_chips_hit_thin_are_an_arc_too_high_or_too_far_back(bench: Bench) -> None:
    answer = triage(case("chip", contact=["thin"], height="low", finish="long", turf=["none"]), bench)
    assert answer["delivery_faults"][0]["id"] == "arc-too-high"
    assert answer["causes"][0]["geometry"]["verdict"] == "agrees"


def test_putt_beside_a_driver_keeps_its_own_stroke(bench: Bench) -> None:
    """What the driver does says nothing of the putting stroke, and the other way about."""
    alone = triage(case("putt", start="left"), bench)["delivery"]["putt"]
    both = case("putt", start="left")
    both["shots"].append({"club": "driver", "start": "on-line", "curve": "none"})
    beside = triage(both, bench)["delivery"]["putt"]
    assert beside["face_deg"]["mid"] == pytest.approx(alone["face_deg"]["mid"], abs=0.4)
    assert beside["face_deg"]["high"] < 0.5


def test_every_short_shot_can_be_told_in_every_word(bench: Bench) -> None:
    """Any word a case may hold is taken for any short shot, and the answer stays a probability."""
    for club in SHORT:
        for variable, values in VALUES.items():
            key = "contact" if variable == "face_part" else variable
            for value in values:
                if variable == "face_part" and value == "middle":
                    continue
                said = [value] if key in ("contact", "turf") else value
                answer = triage(case(club, "skilled", **{key: said}), bench)
                assert 0.0 <= answer["none_of_these"] <= 1.0
                assert all(0.0 <= cause["probability"] <= 1.0 for cause in answer["causes"])
