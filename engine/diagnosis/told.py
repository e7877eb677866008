"""Parts of an answer as data, with the sides that this golfer sees."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.decision import Outlook, act_now, outlook
from arclore.engine.diagnosis.delivery import Delivery, Verdict
from arclore.engine.diagnosis.next_check import suggestions
from arclore.engine.diagnosis.ranking import Answer, Ranking
from arclore.engine.diagnosis.remedy import Worths

SIDED = ("path_deg", "face_deg")
SHOWN_CHECKS = 5
SPOKEN_AS = {"distance": "finish", "strike_distance": "finish", "face_part": "face part"}


def spoken(answer: Answer, case: Case) -> str:
    """An answer as a finding's name: a flight variable with its values as this golfer saw them."""
    if answer.kind == "flight":
        values = [
            case.side(value.split("-")[0])
            + (f" ({value.split('-', 1)[1]})" if answer.variable == "curve" and "-" in value else "")
            if answer.variable in ("start", "curve", "finish") and value != "on-line"
            else value
            for line in case.shots
            if line.club == answer.club
            for value in line.values.get(answer.variable, ())
        ]
        return f"{answer.club}: {SPOKEN_AS.get(answer.variable, answer.variable)} {' or '.join(dict.fromkeys(values))}"
    if answer.kind == "measured":
        low, high = sorted(case.measure(answer.variable, value) for value in answer.value[:2])
        return f"{answer.name} {low:g}" if low == high else f"{answer.name} from {low:g} to {high:g}"
    return f"{answer.name}: {answer.value}"


def geometry_of(verdict: Verdict, case: Case) -> dict[str, Any]:
    """A verdict as data: its word, bits and text, the intervals (low, high) predicted, with this golfer's sides."""
    flip = case.handed == "left"

    def shown(name: str) -> list[float] | None:
        interval = verdict.predicted.get(name)
        if interval is None:
            return None
        low, high = interval
        return [-high, -low] if flip and name in SIDED else [low, high]

    return {
        "verdict": verdict.word,
        "bits": verdict.bits if verdict.predicted else 0.0,
        "text": _verdict_text(verdict, flip),
        "path_deg": shown("path_deg"),
        "low_point_cm": shown("low_point_cm"),
    }


def _verdict_text(verdict: Verdict, flip: bool) -> str:
    if not verdict.predicted:
        return "with the clubs described it moves neither path nor low point, so the geometry is silent"
    parts = []
    for name, words, unit in (("path_deg", "club path", "deg"), ("low_point_cm", "low point", "cm")):
        low, high = verdict.predicted[name]
        if flip and name in SIDED:
            low, high = -high, -low
        part = f"{words} {low:+.0f} to {high:+.0f} {unit}"
        if name in verdict.inferred:
            seen_low, seen_high = verdict.inferred[name]
            if flip and name in SIDED:
                seen_low, seen_high = -seen_high, -seen_low
            part += f" (the flight says {seen_low:+.0f} to {seen_high:+.0f})"
        parts.append(part)
    return f"with the {verdict.club} it would give " + ", ".join(parts)


def intervals_of(delivery: Delivery, club: str, case: Case) -> dict[str, dict[str, float]]:
    """low, mid and high of what the club did, by quantity, with this golfer's sides."""
    result = delivery.intervals(club)
    if case.handed == "left":
        for name in SIDED:
            given = result[name]
            result[name] = {"low": -given["high"], "mid": -given["mid"], "high": -given["low"]}
    return result


def groups_of(ranking: Ranking, key: str) -> list[dict[str, Any]]:
    """P(at least one cause of the group acts) for every family or stage, best first."""
    of_member = [candidate.entry[key] for candidate in ranking.model.candidates]
    names = sorted(set(of_member))
    chances = ranking.grouped(np.array([*(names.index(name) for name in of_member), len(names)]))
    return ordered(dict(zip(names, chances.tolist(), strict=False)))  # the unlisted one is of no group


def named(ranking: Ranking, cause: int) -> dict[str, Any]:
    """A cause by id and title."""
    candidate = ranking.model.candidates[cause]
    return {"id": candidate.id, "title": candidate.entry["title"]}


def ordered(chances: Mapping[str, float]) -> list[dict[str, Any]]:
    """Names with their chances as rows, likeliest first."""
    ranked = sorted(chances.items(), key=lambda item: (-round(item[1], 12), item[0]))
    return [{"id": name, "probability": float(value)} for name, value in ranked]


def next_step(ranking: Ranking, checks: Mapping[str, Any]) -> dict[str, Any]:
    """The checks that tell most, what their results would mean, and whether it is time to act instead."""
    worths = Worths(ranking.model, barred=ranking.barred)
    overhead = ranking.model.settings["next_check"]["overhead_minutes"]
    found = [(check, outlook(ranking, worths, check)) for check in suggestions(ranking)]
    return {
        "act_now": act_now(ranking, worths, found),
        "next_checks": [
            {
                "id": check.id,
                "title": checks[check.id]["title"],
                "bits": check.bits,
                "minutes": check.minutes,
                "changes_priority": seen.changes_choice,
                "gain_a_minute": seen.gain / (check.minutes + overhead),
                "results": _results(ranking, checks[check.id], seen),
            }
            for check, seen in found[:SHOWN_CHECKS]
        ],
    }


def _results(ranking: Ranking, entry: Mapping[str, Any], seen: Outlook) -> list[dict[str, Any]]:
    """How likely each result is and which cause would lead after it; nothing for a number without ranges."""
    known = {row["id"] for row in entry["results"]}
    return [
        {
            "id": result.id,
            "chance": result.chance,
            "leads": {**named(ranking, result.leader), "probability": result.leads},
        }
        for result in seen.results
        if result.id in known
    ]
