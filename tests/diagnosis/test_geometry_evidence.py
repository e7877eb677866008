"""Set-up or swing, sizes, readings and words: what the geometry makes of them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.measuring_check import reading_of
from arclore.engine.diagnosis.model import size_nodes
from arclore.engine.diagnosis.played import Deliveries
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.diagnosis.words import Expressions
from arclore.engine.library.stack import load_library
from scipy.stats import gamma

from tests.diagnosis.brute_force import CHOSEN, compare

FAT_IRON: dict[str, Any] = {
    "handed": "right",
    "level": "intermediate",
    "shots": [{"club": "mid-iron", "contact": ["fat"], "turf": ["behind"]}],
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def chances(answer: dict[str, Any], key: str = "families") -> dict[str, float]:
    rows = answer["stages"]["involved"] if key == "stages" else answer[key]
    return {row["id"]: row["probability"] for row in rows}


@pytest.mark.parametrize("spread", [0.2, 0.5, 0.8])
def test_sizes_match_a_gamma_distribution(spread: float) -> None:
    """Mean, variance and third moment of the two sizes are those of scipy's gamma, and no size changes its sign."""
    sizes, weights = size_nodes(spread)
    law = gamma(1 / spread**2, scale=spread**2)
    for power in (0, 1, 2, 3):
        assert weights @ sizes**power == pytest.approx(law.moment(power) if power else 1.0, rel=1e-12)
    assert (sizes > 0).all()


def test_the_transplanted_set_up_tells_set_up_from_swing(bench: Bench) -> None:
    """The same swing from a set-up that the coach placed: gone points to the set-up, stays to the swing."""
    gone = chances(triage({**FAT_IRON, "checks": {"coach-sets-the-ball": "gone"}}, bench), "stages")
    before = chances(triage(FAT_IRON, bench), "stages")
    stays = chances(triage({**FAT_IRON, "checks": {"coach-sets-the-ball": "stays"}}, bench), "stages")
    assert gone["set-up"] > before["set-up"] > stays["set-up"]
    assert gone["downswing"] < before["downswing"] < stays["downswing"]


def test_a_sound_brush_without_a_ball_clears_the_swing(bench: Bench) -> None:
    """Low point where it belongs against the body, yet fat: the ball or the arc's height, not the pressure."""
    sound = {"measured": [{"club": "mid-iron", "quantity": "low_point_body_cm", "value": 0.0, "error_sd": 2.0}]}
    early = {"measured": [{"club": "mid-iron", "quantity": "low_point_body_cm", "value": -9.0, "error_sd": 2.0}]}
    at_body = chances(triage({**FAT_IRON, **sound}, bench))
    behind = chances(triage({**FAT_IRON, **early}, bench))
    assert at_body["hangs-back"] < 0.5 * behind["hangs-back"]
    assert at_body["ball-too-far-forward"] > behind["ball-too-far-forward"]


def test_a_reading_in_words_counts_like_its_range(bench: Bench) -> None:
    """ "Points to the near side by more than 5 degrees" moves the base line the way a number there does."""
    iron = {"handed": "right", "level": "intermediate", "shots": [{"club": "mid-iron", "start": "left"}]}
    words = chances(triage({**iron, "checks": {"divot-direction": "toward"}}, bench))
    number = chances(triage({**iron, "checks": {"divot-direction": -8.0}}, bench))
    none = chances(triage(iron, bench))
    assert words["arms-and-shoulder-start-out"] > 1.5 * none["arms-and-shoulder-start-out"]
    assert number["arms-and-shoulder-start-out"] > 1.5 * none["arms-and-shoulder-start-out"]


def test_one_swing_with_two_clubs_is_no_fault(bench: Bench) -> None:
    """A small draw with the iron and a small fade with the driver: nothing to fix gains, whatever else may act."""
    both = {
        "handed": "right",
        "level": "skilled",
        "shots": [
            {"club": "driver", "start": "on-line", "curve": "right", "bend": "slight"},
            {"club": "mid-iron", "start": "on-line", "curve": "left", "bend": "slight"},
        ],
    }
    answer = triage(both, bench)
    leading = [cause["id"] for cause in answer["causes"][:3]]
    assert "same-swing-two-flights" in leading
    wild = triage({**both, "shots": [{**both["shots"][0], "bend": "strong", "start": "left"}, both["shots"][1]]}, bench)
    assert answer["nothing_to_fix"] > wild["nothing_to_fix"]


def test_words_bear_on_the_club_beside_them(bench: Bench) -> None:
    """A slice belongs to the driver and a pull to the short irons when the words say so."""
    found = Expressions(bench.library.words).proposals("I slice my driver and my short irons are pulled")
    clubs = {proposal.phrase: proposal.club for proposal in found}
    assert clubs["slice"] == "driver"
    assert clubs["pulled"] == "short-iron"


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("driver starts left and curves right, irons go left", {"start": "left", "curve": "right", "finish": "left"}),
        ("it bends off to the left", {"curve": "left"}),
        ("it turns left to right", {"curve": "right"}),
        ("it curves from right to left", {"curve": "left"}),
    ],
)
def test_a_side_is_that_of_the_word_before_it(text: str, sides: dict[str, str]) -> None:
    """The first side named counts, not one of the next clause; "left to right" is a ball that moves to the right."""
    found = [proposal.means["sides"] for proposal in Expressions({}).proposals(text)]
    assert {variable: side for each in found for variable, side in each.items()} == sides
    assert len(found) == len(sides)


@pytest.mark.parametrize("text", ["it is not a slice", "I never slice my driver"])
def test_what_is_denied_is_not_proposed(bench: Bench, text: str) -> None:
    assert not [p for p in Expressions(bench.library.words).proposals(text) if p.phrase == "slice"]


def test_two_clubs_against_brute_force(bench: Bench) -> None:
    """Driver left to right, iron left: every cause within 0.06 of 4,096 played deliveries a set."""
    given = {
        "handed": "right",
        "level": "intermediate",
        "shots": [
            {"club": "driver", "start": "left", "curve": "right"},
            {"club": "mid-iron", "start": "left", "curve": "none"},
        ],
    }
    worst, rows = compare(given, bench, CHOSEN[:5], 4096)
    assert worst < 0.06, "\n".join(rows)


def test_probabilities_are_plain_and_bounded(bench: Bench) -> None:
    """No probability is 0 or 1: nothing is for ever."""
    answer = triage(FAT_IRON, bench)
    values = [c["probability"] for c in answer["causes"]] + [f["probability"] for f in answer["families"]]
    assert all(0.0 < value < 1.0 for value in values)
    assert np.isfinite(values).all()


def test_a_measured_attack_tells_as_much_as_the_low_point_it_stands_for(bench: Bench) -> None:
    """The same reading in degrees and in centimetres, its error turned with it, is worth the same bits."""
    ranking = bench.ranking(bench.case(FAT_IRON))
    condition = ranking.model.conditions["mid-iron"]
    usual = condition.fault_free_point["strike"][0]
    rate = abs(float(attack_of(condition, usual + 0.5) - attack_of(condition, usual - 0.5)))

    def bits(quantity: str, error: float) -> float:
        check = {"clubs": ["mid-iron"], "measurement": {"quantity": quantity, "error_sd": error}}
        read = reading_of(Deliveries(ranking), check)
        assert read is not None
        return read.bits()

    assert bits("attack_deg", 3.0 * rate) == pytest.approx(bits("low_point_cm", 3.0), rel=0.01)
    assert bits("face_to_path_deg", 2.0) > 0.02
