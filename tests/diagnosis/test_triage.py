"""The answer to a case: what must not change it, what must, and what comes before it."""

from __future__ import annotations

import json
import random
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from arclore.engine.diagnosis.case import CLUB_FAMILIES, CaseError
from arclore.engine.diagnosis.delivery import Delivery
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.triage import Bench, LibraryError, triage
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import mirrored

SLICE = {
    "handed": "right",
    "level": "novice",
    "shots": [
        {"club": "driver", "start": "left", "curve": "right", "bend": "strong", "contact": ["clean"]},
        {"club": "short-iron", "start": "left", "curve": "none"},
    ],
    "present": ["divot-points-toward"],
    "absent": ["strike-all-over-face"],
}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def test_answer_has_every_part_and_is_plain_json(bench: Bench) -> None:
    """Every promised field is there, and the object survives JSON without NaN."""
    answer = triage(SLICE, bench)
    assert answer == json.loads(json.dumps(answer, allow_nan=False))
    cause = answer["causes"][0]
    assert {"id", "title", "family", "stage", "probability", "geometry", "because"} <= set(cause)
    assert set(cause["geometry"]) == {"verdict", "bits", "text", "path_deg", "low_point_cm"}
    assert all(
        set(answer["delivery"]["driver"][q]) == {"low", "mid", "high"}
        for q in ("path_deg", "face_deg", "attack_deg", "low_point_cm")
    )
    assert answer["next_checks"] and answer["drills"]


def test_a_slice_with_pulled_irons_is_a_club_that_cuts_across(bench: Bench) -> None:
    """Start and bend of the driver say path to the lead side of the face (Wood, Henrikson and Broadie 2018)."""
    answer = triage(SLICE, bench)
    assert answer["delivery_faults"][0]["id"] == "path-out-to-in"
    assert answer["delivery"]["driver"]["path_deg"]["high"] < answer["delivery"]["driver"]["face_deg"]["mid"]
    assert answer["causes"][0]["geometry"]["verdict"] == "agrees"


def test_mirrored_case_gives_the_mirrored_answer(bench: Bench) -> None:
    """A left-hander's mirrored case has the same causes and chances, and path and face with the other sign."""
    left: dict[str, Any] = {
        **SLICE,
        "handed": "left",
        "shots": [
            {key: mirrored(value) if isinstance(value, str) else value for key, value in shot.items()}
            for shot in SLICE["shots"]
        ],
    }
    one, other = triage(SLICE, bench), triage(left, bench)
    assert [(c["id"], c["probability"]) for c in one["causes"]] == [
        (c["id"], c["probability"]) for c in other["causes"]
    ]
    assert one["delivery_faults"] == other["delivery_faults"]
    for club, numbers in one["delivery"].items():
        for name in ("path_deg", "face_deg"):
            assert numbers[name]["low"] == -other["delivery"][club][name]["high"]
        assert numbers["attack_deg"] == other["delivery"][club]["attack_deg"]
    assert "left" in str(one["causes"][0]["because"]) and "right" in str(other["causes"][0]["because"])


def test_order_of_the_answers_changes_nothing(bench: Bench) -> None:
    """Shuffled shots, findings and keys give the same bytes."""
    wanted = json.dumps(triage(SLICE, bench))
    shuffle = random.Random(4)
    for _ in range(5):
        items = list(SLICE.items())
        shuffle.shuffle(items)
        case: dict[str, Any] = dict(items)
        case["shots"] = shuffle.sample(case["shots"], len(case["shots"]))
        got = triage(case, bench)
        got["delivery"] = dict(sorted(got["delivery"].items()))
        assert json.dumps(got) == wanted


def test_what_was_not_asked_changes_nothing(bench: Bench) -> None:
    """Empty lists and an unsaid field are the same as leaving them out."""
    assert triage({**SLICE, "unsure": [], "also": [], "theories": [], "checks": {}}, bench) == triage(SLICE, bench)


def test_no_and_not_sure_are_not_the_same_as_not_asked(bench: Bench) -> None:
    """A finding present, absent, unsure and unasked are four different answers."""
    name = "divot-points-toward"
    chances = set()
    for given in ({}, {"present": [name]}, {"absent": [name]}, {"unsure": [name]}):
        answer = triage({**SLICE, "present": [], "absent": [], **given}, bench)
        chances.add(next(f["probability"] for f in answer["families"] if f["id"] == "arms-and-shoulder-start-out"))
    assert len(chances) == 4


@pytest.mark.parametrize(
    "given", [{"pain": True}, {"also": ["my lower back is sore after ten balls"]}, {"present": ["pain-today"]}]
)
def test_pain_stops_everything(bench: Bench, given: dict[str, Any]) -> None:
    """Nothing is ranked or offered: the one entry sends the player to a licensed health professional."""
    answer = triage({**SLICE, "present": [], **given}, bench)
    assert answer["stop"] and "health professional" in answer["stop"]
    assert [c["family"] for c in answer["causes"]] == ["pain"]
    assert not answer["drills"] and not answer["next_checks"]


def test_pain_denied_does_not_stop(bench: Bench) -> None:
    """An explicit no is believed, whatever the words hold."""
    assert triage({**SLICE, "pain": False, "also": ["it was sore last year"]}, bench)["stop"] is None


def test_a_theory_stays_a_theory(bench: Bench) -> None:
    """What the student thinks the fault is moves no chance."""
    answer = triage({**SLICE, "theories": ["I come over the top"]}, bench)
    assert answer["theories"] == ["I come over the top"]
    assert answer["causes"] == triage(SLICE, bench)["causes"]


def test_the_flight_of_a_ball_off_the_neck_tells_nothing(bench: Bench) -> None:
    """Common practice, no source: such a ball flies where the neck sends it, whatever path and face were."""
    shank = {"club": "wedge", "contact": ["shank"]}
    alone, flown = (triage({"shots": [shot]}, bench) for shot in (shank, {**shank, "start": "right", "curve": "none"}))
    assert alone["causes"] == flown["causes"]
    assert any("off the neck" in note for note in flown["notes"])
    assert not any("off the neck" in note for note in alone["notes"])


@pytest.mark.parametrize("clubs", [["driver"], ["driver", "mid-iron"]])
def test_hundreds_of_balls_that_go_every_way_still_have_an_answer(bench: Bench, clubs: list[str]) -> None:
    """As many as a case may hold, each kind as often as the other, of direction and of strike."""
    ways = [
        {"start": start, "curve": curve, "bend": "strong", "finish": curve, "contact": [contact], "height": height}
        for start, curve in product(("left", "right"), repeat=2)
        for contact, height in (("thin", "high"), ("sky", "low"))
    ]
    shots = [{"club": club, "count": 500, **way} for club in clubs for way in ways]
    answer = triage({"shots": shots}, bench)
    assert 0.0 < answer["causes"][0]["probability"] < 1.0
    assert answer["need_balls"] == 0


def test_three_balls_are_too_early(bench: Bench) -> None:
    """Below five balls of a tally the answer asks for more."""
    shots = [{"club": "driver", "start": "left", "count": 2}, {"club": "driver", "start": "right", "count": 1}]
    assert triage({"handed": "right", "level": "novice", "shots": shots}, bench)["need_balls"] == 2
    shots[0]["count"] = 4
    assert triage({"handed": "right", "level": "novice", "shots": shots}, bench)["need_balls"] == 0


def test_finish_alone_is_never_a_confident_answer(bench: Bench) -> None:
    """A side where the ball finished is neither start nor bend: no cause may lead clearly."""
    answer = triage({"handed": "right", "level": "unknown", "shots": [{"club": "mid-iron", "finish": "right"}]}, bench)
    assert answer["causes"][0]["probability"] < 0.25
    assert answer["notes"]


def test_refuting_the_leaders_raises_what_is_not_listed(bench: Bench) -> None:
    """Negative checks on the leading causes move mass to "none of these"."""
    before = triage(SLICE, bench)
    refuted: dict[str, Any] = {}
    for name, check in bench.library.checks.items():
        named = set(check.get("likelihood", {}).get("causes", ()))
        if named & {c["id"] for c in before["causes"][:8]}:
            refuted[name] = check["likelihood"]["negative"]
    after = triage({**SLICE, "checks": refuted}, bench)
    assert len(refuted) >= 3
    assert after["none_of_these"] > before["none_of_these"]


def test_unknown_names_are_refused_with_the_nearest(bench: Bench) -> None:
    """A club, symptom or check the library does not know: one clear line."""
    with pytest.raises(CaseError, match="driver"):
        triage({"shots": [{"club": "drivr"}]}, bench)
    with pytest.raises(CaseError, match="divot-points-toward"):
        triage({**SLICE, "present": ["divot-points-towards"]}, bench)
    with pytest.raises(CaseError, match="no check"):
        triage({**SLICE, "checks": {"look-at-it": "yes"}}, bench)


def test_a_member_of_a_family_has_its_own_loft(bench: Bench) -> None:
    """A 7-iron resolves to the mid irons and keeps its name in the answer."""
    answer = triage({"handed": "right", "level": "skilled", "shots": [{"club": "7-iron", "curve": "left"}]}, bench)
    assert list(answer["delivery"]) == ["7-iron"]


def test_middles_of_height_loft_and_speed_follow_what_was_seen(bench: Bench) -> None:
    """Ground before the ball lowers the arc, high balls add loft; a cause that costs speed takes it off."""

    def middle(name: str, **seen: Any) -> float:
        shots = [{"club": "mid-iron", **seen}]
        return float(triage({"level": "novice", "shots": shots}, bench)["delivery"]["mid-iron"][name]["mid"])

    assert middle("arc_height_mm", contact=["fat"]) < -1.0 < 1.0 < middle("arc_height_mm", contact=["thin"])
    assert middle("loft_deg", height="low") < -0.5 < 0.5 < middle("loft_deg", height="high")
    slow = [name for name, c in bench.library.causes.items() if "full-swing" in c["clubs"] and loses_speed(c)]
    assert slow and middle("speed_percent") < 0
    ranking = bench.ranking(bench.case({"level": "novice", "shots": [{"club": "mid-iron"}]}))
    ranking.probability = (ranking.model.sets.members[:, 0] == ranking.model.place[slow[0]]) * 1.0
    ranking.probability *= (ranking.model.sets.sizes == 1) * 1.0
    told = Delivery(ranking).intervals("mid-iron")["speed_percent"]["mid"]
    assert told == pytest.approx(loses_speed(bench.library.causes[slow[0]]), abs=0.5)


def loses_speed(cause: dict[str, Any]) -> float:
    """How much a cause takes from the speed with every full-swing club, in percent; 0 where it differs by club."""
    sizes = [m["size"] for m in cause.get("moves", ()) if m["input"] == "speed_percent" and "clubs" not in m]
    return float(min([*sizes, 0.0]))


def test_a_verdict_is_about_a_club_that_was_described(bench: Bench) -> None:
    """With the iron alone told of, no verdict speaks of the driver that lies beside it."""
    case = {"level": "novice", "shots": [{"club": "driver"}, {"club": "mid-iron", "start": "left", "curve": "none"}]}
    texts = [cause["geometry"]["text"] for cause in triage(case, bench)["causes"]]
    assert any("mid-iron" in text for text in texts) and not any("driver" in text for text in texts)


def test_a_library_without_causes_or_settings_says_so_in_one_line(bench: Bench) -> None:
    """Nothing listed for these clubs: no ranking and a note. Settings of an older library missing: one line."""
    case = {"level": "novice", "shots": [{"club": "driver", "start": "left"}]}
    answer = triage(case, Bench(replace(bench.library, causes={})))
    assert not answer["causes"] and "no cause for these clubs (driver)" in answer["notes"][-1]
    assert answer["none_of_these"] + answer["nothing_to_fix"] == pytest.approx(1.0)
    older = {name: value for name, value in bench.library.settings.items() if name not in ("priority", "blur")}
    with pytest.raises(LibraryError, match="lacks blur, priority") as caught:
        triage(case, Bench(replace(bench.library, settings=older)))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("family", CLUB_FAMILIES)
def test_every_club_can_be_worked_out_beforehand(bench: Bench, family: str) -> None:
    """What a coach does not wait for must not fail unseen."""
    bench.lay_tables(family, "novice")
    bench.rehearse([family], "novice", 1)
    laid = bench._plain[family, "novice"]
    assert set(laid.long_tables) <= vars(laid).keys()


def test_a_case_foreseen_leaves_its_ranking_little_to_do(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """All that takes its time is kept: of balls counted, and of a set-up that a check has changed."""
    check = next(name for name, entry in sorted(bench.library.checks.items()) if entry["type"] == "changed-set-up")
    result = bench.library.checks[check]["changed_set_up"]["positive"]
    shot = {"club": "driver", "start": "left", "curve": "right", "contact": ["heel"], "count": 3}
    case = {"level": "novice", "shots": [shot], "checks": {check: result}}
    bench.foresee(case)
    called: list[str] = []
    monkeypatch.setattr(Ranking, "_evaluated", lambda *_: called.append("evaluated"))
    assert bench.ranking(bench.case(case)).marginal.sum() > 0
    assert called == []
