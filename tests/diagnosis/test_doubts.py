"""What is doubtful about an answer: disagreement, competing causes, how firm the lead is, more than are weighed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.conflict import conflict_of
from arclore.engine.diagnosis.doubts import OFTEN_MOST
from arclore.engine.diagnosis.explaining_away import alone_bits, chances_given, explained_away
from arclore.engine.diagnosis.firmness import turns
from arclore.engine.diagnosis.posterior import marginals, prior_of_sets
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library
from arclore.tui.doubt_words import doubt_lines

BENCH = Bench(load_library())
TITLES = {n: e["title"] for kind in (BENCH.library.symptoms, BENCH.library.checks) for n, e in kind.items()}


def case(checks: dict[str, str] | None = None, **shot: Any) -> dict[str, Any]:
    return {"level": "novice", "shots": [{"club": "driver", **shot}], "checks": checks or {}}


OUTWARD = {"chest-faces-the-ball-too-early": "faces-early", "first-move-down-on-film": "outside"}
AGREEING = {**case(OUTWARD, start="left", curve="right", bend="strong"), "present": ["divot-points-toward"]}
CONTRADICTORY = case(start="left", curve="left", finish="right")
MEASURED = {
    **case(start="left", curve="right"),
    "measured": [{"club": "driver", "quantity": "path_deg", "value": -6.0}],
}


def ranked(given: dict[str, Any]) -> Ranking:
    return BENCH.ranking(BENCH.case(given))


def leader_of(ranking: Ranking) -> int:
    return int(ranking.marginal[:-1].argmax())


def test_a_ball_that_starts_and_bends_left_but_ends_right_is_a_conflict_and_the_end_is_asked_again() -> None:
    found = triage(CONTRADICTORY, BENCH)["conflict"]
    assert found["bits"] > 2.0
    assert found["ask_again"]["finding"] == "driver: finish right"
    assert found["ask_again"]["bits"] < 0.0
    shown = doubt_lines(triage(CONTRADICTORY, BENCH), TITLES)[0]
    assert shown.startswith("The answers do not fit together (")
    assert "ask again about driver: finish" not in shown  # it is said in words


def test_answers_that_one_fault_gives_are_no_conflict() -> None:
    found = conflict_of(ranked(AGREEING))
    assert found is not None
    assert found.bits < 0.0
    assert triage(AGREEING, BENCH)["conflict"]["ask_again"] is None
    assert conflict_of(ranked(case(start="left"))) is None


def test_conflict_is_the_ratio_of_what_was_expected_to_what_came() -> None:
    """Against probabilities taken here from three rankings of their own."""

    def evidence(given: dict[str, Any]) -> float:
        ranking = ranked(given)
        answers = frozenset(ranking.answers)
        return float((ranking.other(answers) * ranking.flight(answers)).sum())

    low, right, both = ({"start": "left"}, {"curve": "right"}, {"start": "left", "curve": "right"})
    wanted = np.log2(evidence(case(**low)) * evidence(case(**right)) / evidence(case(**both)))
    found = conflict_of(ranked(case(**both)))
    assert found is not None
    assert found.bits == pytest.approx(wanted, abs=1e-9)


def test_a_cause_stands_lower_because_another_explains_the_finding() -> None:
    ranking = ranked(AGREEING)
    leader = leader_of(ranking)
    order = np.argsort(-ranking.marginal[:-1]).tolist()
    found = explained_away(ranking, order)
    assert found is not None
    assert found.by == leader
    chance = ranking.marginal
    whole = found.acting * chance[leader] + found.absent * (1.0 - chance[leader])
    assert whole == pytest.approx(chance[found.cause], abs=1e-9)  # the law of total probability
    assert found.absent > 2.0 * found.acting
    bits = alone_bits(ranking)[ranking.answers.index(found.answer)]
    assert min(bits[found.cause], bits[leader]) > 0.5


def test_causes_that_do_not_compete_are_not_said_to() -> None:
    ranking = ranked({"level": "novice", "shots": [{"club": "driver"}]})
    assert explained_away(ranking, list(range(10))) is None
    acting, absent = chances_given(ranking, 3)
    assert (acting[3], absent[3]) == pytest.approx((1.0, 0.0), abs=1e-12)


def test_the_lead_changes_where_it_is_said_to() -> None:
    """How common the leader is, and a measured figure, set a little to either side of the border, by rankings anew."""
    ranking = ranked(MEASURED)
    leader, found = leader_of(ranking), {turn.kind: turn for turn in turns(ranking)}
    common = found["how_common"]
    for times, leads in ((common.until * 1.02, leader), (common.until * 0.98, common.leader)):
        weights = ranking.model.weights.copy()
        weights[leader] *= times
        prior = prior_of_sets(ranking.model.sets, weights, ranking.model.settings["acting_causes"])
        mass = prior * ranking.probability / ranking.model.prior
        assert marginals(ranking.model.sets, mass)[:-1].argmax() == leads
    figure = found["measured"]
    for value, leads in ((figure.until - 0.05, leader), (figure.until + 0.05, figure.leader)):
        measured = [{"club": "driver", "quantity": "path_deg", "value": value}]
        assert leader_of(ranked({**MEASURED, "measured": measured})) == leads


def test_a_check_s_stated_figures_turn_the_lead_where_they_are_said_to() -> None:
    ranking = ranked({**case(OUTWARD, start="right", curve="left"), "present": ["divot-points-toward"]})
    leader, found = leader_of(ranking), turns(ranking)
    checked = [turn for turn in found if turn.kind in ("sensitivity", "specificity")]
    assert checked
    assert any(turn.kind == "link" for turn in found)
    for turn in {turn.kind: turn for turn in checked}.values():  # one of each kind
        assert turn.answer is not None
        check = BENCH.library.checks[turn.answer.name]
        for value in (turn.until - 0.004, turn.until + 0.004):
            leads = turn.leader if (value - turn.until) * (turn.until - turn.now) > 0 else leader
            said = {**check, "likelihood": {**check["likelihood"], turn.kind: value}}
            checks = {**BENCH.library.checks, turn.answer.name: said}
            other = Bench(replace(BENCH.library, checks=checks))
            other._plain = BENCH._plain  # the same clubs: their tables are laid already
            assert leader_of(other.ranking(ranking.case)) == leads


def test_more_may_be_acting_only_where_two_are_likely() -> None:
    for given in (AGREEING, CONTRADICTORY, MEASURED):
        acting = triage(given, BENCH)["acting"]
        assert sum(acting["chances"]) == pytest.approx(1.0, abs=1e-5)
        assert acting["more_may_act"] == (acting["chances"][2] >= OFTEN_MOST)
    answer = triage(MEASURED, BENCH)
    crowded = {**answer, "mass_left_out": None, "acting": {"chances": [0.0, 0.3, 0.7], "more_may_act": True}}
    assert any("more may be acting" in line for line in doubt_lines(crowded, TITLES))
    assert any("Three causes" in line for line in doubt_lines({**answer, "mass_left_out": 0.4}, TITLES))
    assert not any("Three causes" in line for line in doubt_lines({**answer, "mass_left_out": 0.1}, TITLES))


def test_a_left_hander_s_measure_is_told_with_its_own_sign() -> None:
    """The same lesson in a mirror: the figure that turns the lead, and its reason, change sign and nothing else."""
    mirror = {
        "handed": "left",
        "level": "novice",
        "shots": [{"club": "driver", "start": "right", "curve": "left"}],
        "measured": [{"club": "driver", "quantity": "path_deg", "value": 6.0}],
    }
    ours, theirs = triage({**MEASURED, "handed": "right"}, BENCH), triage(mirror, BENCH)
    (one,), (other,) = ([t for t in a["firmness"] if t["number"] == "measured"] for a in (ours, theirs))
    assert (other["now"], other["until"]) == (-one["now"], pytest.approx(-one["until"], abs=1e-6))
    for answer, told in ((ours, "driver: path_deg -6"), (theirs, "driver: path_deg 6")):
        assert any(row["finding"] == told for cause in answer["causes"] for row in cause["because"])
