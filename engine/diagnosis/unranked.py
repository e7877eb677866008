"""Answers in which nothing is ranked: safety comes first, or the library lists no cause for these clubs."""

from __future__ import annotations

from typing import Any

from arclore.engine.diagnosis.case import Case
from arclore.engine.library.stack import Library
from arclore.engine.quantities import plain


def empty(case: Case, library: Library) -> dict[str, Any]:
    """Every part of an answer, with nothing in it but what the case itself says, and what is to be minded with it."""
    minded = library.settings.get("safety", {}).get("by_flag", {})
    return {
        "stop": None,
        "causes": [],
        "families": [],
        "delivery_faults": [],
        "nothing_to_fix": 0.0,
        "none_of_these": 0.0,
        "mass_left_out": None,
        "sets_of_three": None,
        "sets_of_two": None,
        "conflict": None,
        "explained_away": None,
        "firmness": [],
        "acting": None,
        "stages": {"involved": [], "leading": None},
        "priority": None,
        "next_checks": [],
        "act_now": False,
        "drills": [],
        "plan": None,
        "practice": None,
        "delivery": {},
        "theories": list(case.theories) + [p["theory"] for p in case.proposed if p["theory"]],
        "proposed": [
            {k: p[k] for k in ("phrase", "from", "outcome", "findings", "ask", "certain")} for p in case.proposed
        ],
        "need_balls": case.need_balls,
        "handed": case.handed,
        "level": case.level,
        "notes": list(case.notes),
        "take_care": [minded[flag] for flag in case.avoid if flag in minded],
    }


def stopped(case: Case, library: Library) -> dict[str, Any]:
    """The answer where safety comes first: nothing is ranked, the one entry is to see a health professional."""
    refer = [name for name, entry in sorted(library.causes.items()) if entry.get("refer")]
    chance = library.settings["frequency_words"]["always"]
    answer = {
        **empty(case, library),
        "stop": library.settings["safety"]["stop"],
        "causes": [
            {
                "id": name,
                "title": library.causes[name]["title"],
                "family": library.causes[name]["family"],
                "stage": library.causes[name]["stage"],
                "probability": chance,
                "geometry": {
                    "verdict": "silent",
                    "bits": 0.0,
                    "text": "not played",
                    "path_deg": None,
                    "low_point_cm": None,
                },
                "because": [{"finding": "pain or a safety sign was reported", "bits": 0.0}],
            }
            for name in refer
        ],
        "stages": {"involved": [], "leading": "see-a-health-professional"},
    }
    result: dict[str, Any] = plain(answer, 6)
    return result


def unlisted(case: Case, library: Library) -> dict[str, Any]:
    """The answer where the library has no cause for these clubs: nothing is ranked, and a note says so."""
    clubs = ", ".join(case.families) or "a full swing"
    note = f"this library lists no cause for these clubs ({clubs}): lay one over it that does, or name another club"
    nothing = float(library.settings["acting_causes"][0])
    result: dict[str, Any] = plain(
        {
            **empty(case, library),
            "notes": [*case.notes, note],
            "nothing_to_fix": nothing,
            "none_of_these": 1.0 - nothing,
        },
        6,
    )
    return result
