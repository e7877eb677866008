"""The sentences: figures inside them, sides for the golfer's own hand, the same units everywhere."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.shot import fault_free
from arclore.tui.pictures import sentences
from arclore.tui.pictures.plate import of_strokes
from arclore.tui.pictures.stroke import exchanged, played, same_swing
from arclore.tui.units import METRIC, YARDS

from tests.pictures.conftest import SPOILT, Hit


def test_going_and_looking_says_both_and_the_angle_between(hit: Hit) -> None:
    stroke = replace(hit(), path_deg=-4.0, face_deg=-1.5, swing_direction_deg=-5.5, low_point_m=0.06)
    said = sentences.going_and_looking(stroke, "right")
    assert "going 4.0 deg left of the target and looked 1.5 deg left of the target, 2.5 deg open" in said
    assert "pointed 5.5 deg left of the target; meeting the ball before the low point turned" in said
    assert "1.5 deg to the right" in said


def test_a_left_hander_reads_the_other_side_and_the_same_words_else(hit: Hit) -> None:
    swap = {"left": "right", "right": "left"}
    for changes in SPOILT.values():
        stroke = hit(**changes)
        for sentence in (sentences.going_and_looking, sentences.bottom, sentences.strike):
            mirrored = re.sub("left|right", lambda side: swap[side[0]], sentence(stroke, "right", METRIC))
            assert sentence(stroke, "left", METRIC) == mirrored


@pytest.mark.parametrize(
    ("toe", "up", "said"),
    [
        (0.0, 0.0, "in the middle, dead centre"),
        (0.0, 0.02, "high in the middle, 20 mm up from its middle"),
        (0.02, 0.0, "at middle height on the toe, 20 mm toward the toe from its middle"),
        (-0.02, -0.006, "low on the heel, 20 mm toward the heel and 6 mm down from its middle"),
        (-0.04, 0.0, "on the neck of the club, 40 mm toward the heel from its middle"),
    ],
)
def test_the_strike_is_said_in_words_first(hit: Hit, toe: float, up: float, said: str) -> None:
    stroke = replace(hit(), strike_toe_m=toe, strike_up_m=up, contact="clean")
    assert sentences.strike(stroke, "right") == f"7-iron: the ball met the face {said}."


def test_where_the_arc_bottoms_out_and_what_the_ground_gets(hit: Hit) -> None:
    iron, driver = hit("7-iron"), hit("driver")
    assert "bottomed out 9 cm past the ball, so the club was moving down by 3.0 deg" in sentences.bottom(iron, "right")
    assert "bottomed out 4 cm short of the ball, so the club was moving up by 1.0 deg" in sentences.bottom(
        driver, "right"
    )
    assert "the ball 40 mm up on its tee" in sentences.bottom(driver, "right")
    assert "before the ball" in sentences.bottom(hit(**SPOILT["behind"]), "right")
    assert "missed" in sentences.bottom(hit(**SPOILT["miss"]), "right")


def test_units_change_the_figures_and_nothing_else(hit: Hit) -> None:
    ball = hit("driver").flown
    said = sentences.height(ball, "right", YARDS)
    assert f"{ball.carry_m / 0.9144:.0f} yd" in said and f"{ball.apex_m / 0.3048:.0f} ft" in said
    assert f"{ball.ball_speed_mps / 0.44704:.0f} mph" in said  # NIST SP 811: 1 mi/h = 0.44704 m/s exactly


def test_every_picture_has_its_sentences(hit: Hit) -> None:
    for changes in SPOILT.values():
        plate = of_strokes("", [hit(**changes)])
        told = [sentence for row in plate.rows for panel in row for sentence in panel.sentences]
        assert len(told) == 5
        assert all(sentence.endswith(".") and "nan" not in sentence and "-0" not in sentence for sentence in told)


def test_one_swing_direction_gives_iron_and_driver_opposite_turns(clubs: dict[str, Club]) -> None:
    """Down with the iron turns the path right, up with the driver turns it left: plane geometry."""
    iron, driver = clubs["7-iron"], clubs["driver"]
    swing = replace(fault_free(iron, "skilled"), swing_direction_deg=0.0)
    one = played(swing, iron.standard, iron)
    other = played(same_swing(swing, iron, driver, "skilled"), driver.standard, driver)
    assert one.swing_direction_deg == other.swing_direction_deg == 0.0
    assert one.path_deg > 1.5
    assert other.path_deg < -1.5


def test_exchanged_set_ups_take_the_ball_but_not_the_tee(clubs: dict[str, Club]) -> None:
    iron, driver = clubs["7-iron"].standard, clubs["driver"].standard
    new = exchanged(iron, driver)
    assert (new.ball_position_m, new.tilt_deg, new.stance_width_m) == (
        driver.ball_position_m,
        driver.tilt_deg,
        driver.stance_width_m,
    )
    assert new.tee_height_m == iron.tee_height_m
    assert exchanged(exchanged(iron, driver), iron) == iron
