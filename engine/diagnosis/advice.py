"""What to change first, what to practise and in which order, as data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.delivery import Delivery
from arclore.engine.diagnosis.lesson_plan import practice, together, why_first
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.remedy import chosen_first, offers, priority
from arclore.engine.diagnosis.told import SIDED, named
from arclore.engine.library.stack import Library

LEAST_UNCOVERED = 0.05  # chance of a cause from which it is said that no drill of the plan works on it


def first_of(ranking: Ranking, i: int) -> dict[str, Any]:
    """What is to be changed first and why, its effect not worked out."""
    candidate = ranking.model.candidates[i]
    told = {name: candidate.entry[name] for name in ("title", "stage", "tell_student")}
    why, below = why_first(ranking, i)
    brings = [{**named(ranking, j), "probability": float(ranking.marginal[j])} for j in below]
    return {"id": candidate.id, **told, "why": why, "brings_on": brings, "undone": {}}


def advice(ranking: Ranking, delivery: Delivery, order: Sequence[int], case: Case, library: Library) -> dict[str, Any]:
    """The one thing to change, drills on offer, a plan for two causes, and what fills the minutes."""
    return {
        "priority": _priority(ranking, delivery, case),
        "drills": drills_of(ranking, order, library),
        "plan": _plan(ranking),
        "practice": _practice(ranking, library),
    }


def drills_of(ranking: Ranking, order: Sequence[int], library: Library) -> list[dict[str, Any]]:
    """Drills for what is to be changed first and for the leading causes."""
    first = chosen_first(ranking)
    wanted = [ranking.model.ids[i] for i in ([] if first is None else [first]) + list(order)]
    return [
        {"id": o.id, "title": library.drills[o.id]["title"], "for": list(o.causes)}
        for o in offers(ranking, library.drills, list(dict.fromkeys(wanted)))
    ]


def _priority(ranking: Ranking, delivery: Delivery, case: Case) -> dict[str, Any] | None:
    chosen = priority(ranking, delivery)
    if chosen is None:
        return None
    sign = -1.0 if case.handed == "left" else 1.0
    return {
        **first_of(ranking, chosen.member),
        "undone": {
            club: {
                name: {"now": (sign if name in SIDED else 1.0) * now, "then": (sign if name in SIDED else 1.0) * then}
                for name, (now, then) in rows.items()
            }
            for club, rows in chosen.undone.items()
        },
    }


def _plan(ranking: Ranking) -> dict[str, Any] | None:
    found = together(ranking)
    if found is None:
        return None
    first, then = (named(ranking, i) for i in (found.first, found.then))
    return {"first": first, "then": then, "together": found.chance, "why": found.why}


def _practice(ranking: Ranking, library: Library) -> dict[str, Any]:
    found = practice(ranking, library.drills, chosen_first(ranking))
    drills = library.drills
    return {
        "limit_minutes": found.limit,
        "minutes": found.minutes,
        "drills": [
            {"id": name, "title": drills[name]["title"], "minutes": float(drills[name]["minutes"])}
            for name in found.drills
        ],
        "covered": found.covered,
        "uncovered": [
            {**named(ranking, i), "probability": float(ranking.marginal[i]), "drill_suits": suits}
            for i, suits in found.uncovered
            if ranking.marginal[i] >= LEAST_UNCOVERED
        ],
    }
