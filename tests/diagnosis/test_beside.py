"""A reading of the base line beside words of direction: counted once, as full plays of single causes count it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from arclore.engine.diagnosis.beside import regression
from arclore.engine.diagnosis.next_check import suggestions
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array

from tests.diagnosis.brute_force import INPUTS
from tests.students.drawn import CURVES, STARTS, Change, _as_played, _with_club

CLUB, CHECK, PLAYS = "mid-iron", "divot-direction", 40_000
SAID = {"club": CLUB, "start": "left", "curve": "none"}
CAUSES = ("shoulder-and-arms-start-outward", "body-aimed-across", "hangs-on-trail-foot", "face-set-toward")


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def given(**more: object) -> dict[str, object]:
    return {"handed": "right", "level": "intermediate", "shots": [SAID], **more}


def test_base_line_and_path_turn_together(bench: Bench) -> None:
    condition = bench.model(bench.case(given())).conditions[CLUB]
    share, left = regression(condition, "line", "direction", 0.0)
    own = sum(condition.spread(kind)["line"][0] ** 2 for kind in ("own", "club"))
    assert 0.7 < share < 1.1
    assert 0.0 < left < 0.3 * own


Plays = dict[str, tuple[float, Callable[[float], float]]]


@pytest.fixture(scope="module")
def plays(bench: Bench) -> Plays:
    return {name: _played(bench, [name] if name else []) for name in ("", *CAUSES)}


@pytest.mark.parametrize("reading", [-7.0, -1.0])
def test_a_reading_adds_to_words_what_it_adds_in_full_plays(bench: Bench, plays: Plays, reading: float) -> None:

    def added(name: str) -> float:
        before, after = (plays[one][0] for one in (name, "")), (plays[one][1](reading) for one in (name, ""))
        return float(np.subtract(*np.log(list(after))) - np.subtract(*np.log(list(before))))

    without, with_it = _engine(bench, {}), _engine(bench, {CHECK: reading})
    for name in CAUSES:
        assert with_it[name] - without[name] == pytest.approx(added(name), abs=0.15), name


def _engine(bench: Bench, checks: dict[str, float]) -> dict[str, float]:
    """ln P(words, readings | cause alone) / P(words, readings | no cause)."""
    ranking = bench.ranking(bench.case(given(checks=checks)))
    sets, flight = ranking.model.sets, ranking.flight(frozenset(ranking.answers))
    alone = {int(sets.members[k][0]): k for k in np.flatnonzero(sets.sizes == 1)}
    return {name: float(np.log(flight[alone[ranking.model.place[name]]] / flight[0])) for name in CAUSES}


def _played(bench: Bench, acting: list[str]) -> tuple[float, Callable[[float], float]]:
    """P(words | these causes act) by playing them, and P(words, reading | they act) up to a factor."""
    model = bench.model(bench.case(given()))
    random = np.random.default_rng(4)
    members = np.full((PLAYS, 3), -1, dtype=np.intp)
    members[:, : len(acting)] = [model.place[name] for name in acting]
    played, strength = _as_played(model, members, random, Change(np.ones(model.unlisted)))
    own: dict[str, Array] = {name: random.normal(size=PLAYS) for name in INPUTS}
    words, true = _with_club(model, model.conditions[CLUB], played, strength, own, random)
    right = (words["start"] == STARTS.index("left")) & (words["curve"] == CURVES.index("none"))
    error = model.settings["statement"]["label_error"]
    said = (1.0 - error) * right + error / 9.0
    check = bench.library.checks[CHECK]["measurement"]
    at = true[check["quantity"]]
    return float(said.mean()), lambda value: float(
        (said * np.exp(-0.5 * ((value - at) / check["error_sd"]) ** 2)).mean()
    )


def test_what_the_flight_has_nearly_told_is_promised_less(bench: Bench) -> None:
    told = bench.ranking(bench.case(given()))
    silent = bench.ranking(bench.case({**given(), "shots": [{"club": CLUB, "contact": ["fat"]}]}))
    bits = [next((s.bits for s in suggestions(ranking) if s.id == CHECK), 0.0) for ranking in (told, silent)]
    assert bits[0] < 0.7 * bits[1]
