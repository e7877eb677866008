"""The rest of a lesson: one of two causes first and why, drills within the minutes, and what cannot be done here."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.at_hand import suits
from arclore.engine.diagnosis.lesson_plan import CURES, PROBABLE, brought_on, practice, together, why_first
from arclore.engine.diagnosis.next_check import suggestions
from arclore.engine.diagnosis.plan import coverage
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.remedy import chosen_first
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library
from arclore.tui.plan_words import plan_line, practice_lines, why_line

BENCH = Bench(load_library())
CASE: dict[str, Any] = {"level": "novice", "shots": [{"club": "driver", "start": "left", "curve": "right"}]}
OUTWARD, CLOSE = "shoulder-and-arms-start-outward", "stands-too-close"


def ranked(more: dict[str, Any]) -> Ranking:
    return BENCH.ranking(BENCH.case({**CASE, **more}))


def of(chances: dict[tuple[str, ...], float]) -> Ranking:
    """A ranking in which these sets of causes are as likely as said, and nothing else is."""
    ranking = ranked({})
    sets = ranking.model.sets
    given = np.zeros(len(sets.sizes))
    for names, chance in chances.items():
        members = sorted([ranking.model.place[name] for name in names])
        row = [*members, *[sets.n] * (2 - len(members))]
        given[(sets.members == row).all(axis=1)] = chance
    ranking.__dict__["probability"] = given
    return ranking


def test_the_cause_that_brings_on_the_other_comes_first_where_both_are_as_likely() -> None:
    ranking = of({})
    above, below = next(
        (a, b)
        for a in range(ranking.model.unlisted)
        for b in sorted(brought_on(ranking, a))
        if a not in brought_on(ranking, b)
        and ranking.model.candidates[a].entry["stage"] == ranking.model.candidates[b].entry["stage"]
    )
    names = (ranking.model.ids[above], ranking.model.ids[below])
    found = together(of({names: 1.0}))
    assert found is not None
    assert (found.first, found.then, found.why) == (above, below, "brings-on")
    assert found.chance == pytest.approx(1.0)


def test_what_is_changed_first_is_the_first_of_two() -> None:
    ranking = of({(OUTWARD, CLOSE): 0.7, (OUTWARD,): 0.3})
    found = together(ranking)
    assert found is not None
    assert found.first == chosen_first(ranking)
    assert found.chance == pytest.approx(0.7)


def test_no_plan_for_two_where_they_are_hardly_together() -> None:
    assert together(of({(OUTWARD, CLOSE): PROBABLE - 0.01, (OUTWARD,): 1.01 - PROBABLE})) is None
    assert together(ranked({})) is None
    assert triage(CASE, BENCH)["plan"] is None


def test_why_the_first_to_change_is_not_the_likeliest() -> None:
    """Nearly as likely and in the set-up: quicker. The likeliest is first: nothing to explain."""
    ranking = of({(OUTWARD,): 0.52, (CLOSE,): 0.48})
    first = chosen_first(ranking)
    assert first == ranking.model.place[CLOSE]
    assert why_first(ranking, first)[0] == "quicker"
    assert why_first(of({(OUTWARD,): 1.0}), ranking.model.place[OUTWARD])[0] == "likeliest"


def test_a_cause_whose_every_drill_is_barred_is_not_changed_first() -> None:
    """With all drills for the likeliest cause made unfit for a bad back, another comes first, and why is said."""
    library = BENCH.library
    unfit = {
        name: {**drill, "not_for": [*drill["not_for"], "back-history"]}
        for name, drill in library.drills.items()
        if OUTWARD in drill["for"]["causes"]
    }
    bench = Bench(replace(library, drills={**library.drills, **unfit}))
    sure = {**CASE, "checks": {"first-move-down-on-film": "outside"}, "present": ["divot-points-toward"]}
    well, spared = (triage({**sure, **more}, bench) for more in ({}, {"avoid": ["back-history"]}))
    assert well["causes"][0]["id"] == spared["causes"][0]["id"] == well["priority"]["id"] == OUTWARD
    assert spared["priority"]["id"] != OUTWARD
    assert spared["priority"]["why"] == "spared"
    assert "to be spared" in why_line(spared)


def test_drills_within_the_minutes_cover_as_much_as_the_best_choice_of_them_nearly() -> None:
    """Against all choices of up to three drills: at least 0.9 of the best coverage, of those with one for the first."""
    ranking = ranked({"minutes": 25})
    drills = BENCH.library.drills
    chance = ranking.marginal[:-1]
    usable = [name for name in drills if suits(drills[name], ranking.case)]
    cures = CURES * np.array([[c.id in drills[n]["for"]["causes"] for c in ranking.model.candidates] for n in usable])
    minutes = [drills[name]["minutes"] for name in usable]
    first = chosen_first(ranking)
    strong = sorted(range(len(usable)), key=lambda j: -coverage(chance, cures, [j]))[:40]
    strong += [int(j) for j in np.flatnonzero(cures[:, first]) if j not in strong]
    choices = [plan for size in (1, 2, 3) for plan in combinations(strong, size) if sum(minutes[j] for j in plan) <= 25]
    for wanted, allowed in ((None, choices), (first, [plan for plan in choices if cures[list(plan), first].any()])):
        found = practice(ranking, drills, wanted)
        assert found.minutes <= 25
        ours = coverage(chance, cures, [usable.index(name) for name in found.drills])
        assert ours >= 0.9 * max(coverage(chance, cures, plan) for plan in allowed)


def test_covered_and_left_over_are_all_there_is() -> None:
    ranking = ranked({"minutes": 12})
    found = practice(ranking, BENCH.library.drills, None)
    left = sum(ranking.marginal[i] for i, _ in found.uncovered)
    assert found.covered + left / ranking.marginal[:-1].sum() == pytest.approx(1.0)
    served = {cause for name in found.drills for cause in BENCH.library.drills[name]["for"]["causes"]}
    assert not served & {ranking.model.ids[i] for i, _ in found.uncovered}
    least = min(drill["minutes"] for drill in BENCH.library.drills.values())
    assert practice(ranked({"minutes": least / 2}), BENCH.library.drills, None).drills == ()


def test_the_drill_for_what_is_changed_first_comes_first() -> None:
    ranking = ranked({"minutes": 60})
    for first in (ranking.model.place[OUTWARD], ranking.model.place["body-aimed-across"]):
        drills = practice(ranking, BENCH.library.drills, first).drills
        serves = [ranking.model.ids[first] in BENCH.library.drills[name]["for"]["causes"] for name in drills]
        assert any(serves)
        assert serves == sorted(serves, reverse=True)


def test_what_is_changed_first_keeps_its_place_where_other_drills_cover_more() -> None:
    """Fat and thin chips: other drills fill the minutes better, and the first thing to change is practised first."""
    answer = triage({"level": "novice", "shots": [{"club": "chip", "contact": ["fat", "thin"]}]}, BENCH)
    first, found = answer["priority"]["id"], answer["practice"]
    assert first in BENCH.library.drills[found["drills"][0]["id"]]["for"]["causes"]
    assert first not in {row["id"] for row in found["uncovered"]}
    assert sum(row["minutes"] for row in found["drills"]) <= found["limit_minutes"]


def test_kit_that_nothing_needs_is_told() -> None:
    """A mistyped word takes out nothing: the answer says so; a word of kit that is needed is taken without a note."""
    before, after = (triage({**CASE, **more}, BENCH)["notes"] for more in ({}, {"without": ["phnoe", "Phone"]}))
    (note,) = [line for line in after if line not in before]
    assert "'phnoe'" in note


@pytest.mark.parametrize("limit", [{"place": "indoors"}, {"without": ["Phone"]}, {"avoid": ["back-history"]}])
def test_what_cannot_be_done_here_is_neither_checked_nor_practised(limit: dict[str, Any]) -> None:
    free, bound = ranked({}), ranked(limit)
    library = BENCH.library

    def fits(entry: dict[str, Any]) -> bool:
        return (
            limit.get("place", "mat") in entry.get("where", ["mat"])
            if "place" in limit
            else not any("phone" in item for item in entry.get("kit", ()))
            if "without" in limit
            else "back-history" not in entry.get("not_for", ())
        )

    before, after = ({check.id for check in suggestions(ranking)} for ranking in (free, bound))
    assert after == {name for name in before if fits(library.checks[name])} != before
    assert all(fits(library.drills[name]) for name in practice(bound, library.drills, None).drills)


def test_the_lines_say_it() -> None:
    answer = triage({**CASE, "minutes": 12}, BENCH)
    told = practice_lines(answer)
    assert told[0].startswith("In 12 minutes: ")
    two = {name: {"id": name, "title": f"the {name} thing"} for name in ("first", "then")}
    told_of_two = plan_line({**answer, "plan": {**two, "together": 0.31, "why": "brings-on"}})
    assert told_of_two == (
        "Two causes are probable together (31 in 100). First: the first thing. Then: the then thing; "
        "the first brings on the second."
    )
    quicker = {**answer, "priority": {**answer["priority"], "why": "quicker", "brings_on": [], "stage": "aim"}}
    assert why_line(quicker) == "It is not the likeliest, but nearly so, and it is quicker to change (aim)."
    assert plan_line(answer) == ""
