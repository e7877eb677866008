"""From a case to an answer: safety first, then causes ranked with reasons, the next check and the drill.

``triage`` returns plain data, the object that ``arclore triage --json`` prints; its schema is
``schemas/triage.schema.json``. Sides in it are this golfer's own: angles stay + to the right as seen.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from arclore.engine.diagnosis.case import CLUB_FAMILIES, Case, CaseError, ClubUsed, case_of, club_used
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import Delivery, Verdict
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.next_check import suggestions
from arclore.engine.diagnosis.posterior import marginals
from arclore.engine.diagnosis.putt_condition import PuttCondition
from arclore.engine.diagnosis.ranking import Answer, Ranking, changed_name
from arclore.engine.diagnosis.reasons import log2_odds, shapley
from arclore.engine.diagnosis.remedy import offers, priority
from arclore.engine.diagnosis.sand_condition import SandCondition
from arclore.engine.diagnosis.words import Expressions, Proposal
from arclore.engine.geometry.club import LEVELS
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Array, mirrored, plain

NEEDED_SETTINGS = (
    "frequency_words",
    "commonness",
    "acting_causes",
    "unlisted_weight",
    "spreads",
    "borders",
    "faults",
    "blur",
    "statement",
    "priority",
    "next_check",
    "safety",
)
MOST_SHAPLEY_ANSWERS, MOST_LIVE_ANSWERS = 8, 3
SHOWN_CAUSES = 12
USUAL_LEVEL = "intermediate"  # whose swing the geometry plays where the level is not known
SIDED = ("path_deg", "face_deg")
CONDITIONS = {"putt": PuttCondition, "sand": SandCondition}  # by club family; the full swing's serves all the others
SPOKEN_AS = {"distance": "finish", "strike_distance": "finish", "face_part": "face part"}


class LibraryError(CaseError):
    """A library that no case can be weighed with: one line saying what it lacks and what to do."""


class Bench:
    """A library made ready for cases: models are built once for a choice of clubs and level, and kept."""

    def __init__(self, library: Library, largest: int = 2) -> None:
        self.library = library
        self.largest = largest
        self.expressions = Expressions(library.words)
        self._models: dict[tuple[tuple[str, ...], str, tuple[str, ...]], Model] = {}

    def case(self, given: Mapping[str, Any]) -> Case:
        """The case of a checked input, its words turned into proposals. Raises CaseError."""
        library = self.library
        texts = [*given.get("also", ()), given.get("words", "")]
        known = [text for text in texts if text in library.symptoms]
        given = {**given, "present": [*given.get("present", ()), *known]}
        found = self.expressions.of_all(text for text in texts if text and text not in known)
        noted = set(given.get("also", ()))
        pain = given.get("pain")
        if pain is None:
            pain = any(proposal.means.get("pain") for proposal in found)
        shots = list(given.get("shots", ()))
        if not shots:
            clubs = [club for proposal in found for club in proposal.means.get("clubs", ()) if club in CLUB_FAMILIES]
            shots = [{"club": club} for club in dict.fromkeys(clubs)]
        handed = given.get("handed", "unknown")
        proposals = [_proposed(p, handed, p.certain and p.text in noted) for p in found]
        return case_of({**given, "pain": pain, "shots": shots}, library, proposals)

    def model(self, case: Case) -> Model:
        """The model for the clubs and level of a case."""
        changed = tuple(
            name for name in sorted(case.checks) if self.library.checks[name]["type"] == "changed-set-up"
        )
        key = (tuple(sorted(club.name for club in case.clubs)), case.level, changed)
        if key not in self._models:
            conditions: dict[str, Condition] = {}
            for club in (club_used(name, self.library) for name in key[0]):
                if club.family in self.library.clubs:
                    conditions |= self._conditions(club, case.level, changed)
            families = case.families or CLUB_FAMILIES[:7]
            self._models[key] = Model(
                self.library.causes, self.library.settings, families, conditions, case.level, self.largest
            )
        return self._models[key]

    def _conditions(self, club: ClubUsed, level: str, changed: Sequence[str]) -> dict[str, Condition]:
        """The club in its own set-up, and in those of the checks that change it and are meant for it."""
        made = club_from_entry(self.library.clubs[club.family], club.member)
        played = level if level in LEVELS else USUAL_LEVEL
        condition = CONDITIONS.get(club.family, Condition)
        plain_set_up = condition(made, played, made.standard, self.library.settings, club.name)
        result = {club.name: plain_set_up}
        for name in changed:
            check = self.library.checks[name]
            if covers(check["clubs"], club.family):
                put_right = frozenset(check["changed_set_up"]["puts_right"])
                result[changed_name(club.name, name)] = replace(plain_set_up, put_right=put_right)
        return result

    def ranking(self, case: Case) -> Ranking:
        return Ranking(self.model(case), case, self.library.symptoms, self.library.checks)


def _proposed(proposal: Proposal, handed: str, told: bool) -> dict[str, Any]:
    """A proposal as data, in hand-neutral words. told: a plain expression among the findings, not loose talk."""
    means = proposal.means
    outcome = dict(means.get("outcome", {}))
    for variable, side in means.get("sides", {}).items():
        seen = mirrored(side) if handed == "left" else side
        outcome[variable] = {"left": "toward", "right": "away"}[seen]
    return {
        "phrase": proposal.phrase,
        "from": proposal.text,
        "outcome": outcome,
        "findings": list(means.get("findings", ())),
        "theory": means.get("theory"),
        "ask": list(means.get("ask", ())),
        "certain": proposal.certain,
        "told": told,
        "club": proposal.club,
    }


def triage(given: Mapping[str, Any], bench: Bench, live: bool = False) -> dict[str, Any]:
    """The answer to a checked case. Raises CaseError for a name that the library does not know.

    LibraryError where the library lacks settings of the inference, as an older one may.
    live: while a person waits at every answer, reasons fall back to leave-one-out bits sooner.
    """
    if lacking := [name for name in NEEDED_SETTINGS if name not in bench.library.settings]:
        raise LibraryError(f"library.yaml lacks {', '.join(lacking)}: lay the library over the built-in one")
    case = bench.case(given)
    if case.pain or any(bench.library.symptoms[name].get("safety") for name in case.present):
        return _stopped(case, bench)
    if not bench.model(case).candidates:
        return _unlisted(case, bench)
    ranking = bench.ranking(case)
    delivery = Delivery(ranking)
    order = sorted(
        range(ranking.model.unlisted), key=lambda i: (-round(float(ranking.marginal[i]), 12), ranking.model.ids[i])
    )
    because = _because(ranking, MOST_LIVE_ANSWERS if live else MOST_SHAPLEY_ANSWERS)
    causes = [_cause(i, ranking, delivery, because, case) for i in order[:SHOWN_CAUSES]]
    leading = [cause["id"] for cause in causes]
    made = ranking.model.conditions
    first = _priority(ranking, delivery, case)
    wanted = [*([first["id"]] if first else []), *leading]
    library = bench.library
    answer = {
        **_empty(case),
        "causes": causes,
        "families": _groups(ranking, "family"),
        "delivery_faults": _ordered(delivery.faults()),
        "nothing_to_fix": ranking.nothing_to_fix,
        "none_of_these": ranking.none_of_these,
        "stages": {
            "involved": _groups(ranking, "stage"),
            "leading": causes[0]["stage"] if causes else None,
        },
        "priority": first,
        "next_checks": [
            {"id": s.id, "title": library.checks[s.id]["title"], "bits": s.bits, "minutes": s.minutes}
            for s in suggestions(ranking)
        ],
        "drills": [
            {"id": o.id, "title": library.drills[o.id]["title"], "for": list(o.causes)}
            for o in (offers(ranking, library.drills, list(dict.fromkeys(wanted))) if causes else ())
        ],
        "delivery": {club.name: _intervals(delivery, club.name, case) for club in case.clubs if club.name in made},
    }
    result: dict[str, Any] = plain(answer, 6)
    return result


def _empty(case: Case) -> dict[str, Any]:
    return {
        "stop": None,
        "causes": [],
        "families": [],
        "delivery_faults": [],
        "nothing_to_fix": 0.0,
        "none_of_these": 0.0,
        "stages": {"involved": [], "leading": None},
        "priority": None,
        "next_checks": [],
        "drills": [],
        "delivery": {},
        "theories": list(case.theories) + [p["theory"] for p in case.proposed if p["theory"]],
        "proposed": [
            {k: p[k] for k in ("phrase", "from", "outcome", "findings", "ask", "certain")} for p in case.proposed
        ],
        "need_balls": case.need_balls,
        "handed": case.handed,
        "level": case.level,
        "notes": list(case.notes),
    }


def _stopped(case: Case, bench: Bench) -> dict[str, Any]:
    """The answer where safety comes first: nothing is ranked, the one entry is to see a health professional."""
    library = bench.library
    refer = [name for name, entry in sorted(library.causes.items()) if entry.get("refer")]
    chance = library.settings["frequency_words"]["always"]
    answer = {
        **_empty(case),
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


def _unlisted(case: Case, bench: Bench) -> dict[str, Any]:
    """The answer where the library has no cause for these clubs: nothing is ranked, and a note says so."""
    clubs = ", ".join(case.families) or "a full swing"
    note = f"this library lists no cause for these clubs ({clubs}): lay one over it that does, or name another club"
    nothing = float(bench.library.settings["acting_causes"][0])
    result: dict[str, Any] = plain(
        {**_empty(case), "notes": [*case.notes, note], "nothing_to_fix": nothing, "none_of_these": 1.0 - nothing}, 6
    )
    return result


def _cause(i: int, ranking: Ranking, delivery: Delivery, because: Array, case: Case) -> dict[str, Any]:
    candidate = ranking.model.candidates[i]
    verdict = delivery.verdict(i)
    bits = [
        {"finding": spoken(answer, case), "bits": float(because[i, j])}
        for j, answer in enumerate(ranking.answers)
        if abs(because[i, j]) >= 0.05
    ]
    return {
        "id": candidate.id,
        "title": candidate.entry["title"],
        "family": candidate.entry["family"],
        "stage": candidate.entry["stage"],
        "probability": float(ranking.marginal[i]),
        "geometry": _geometry(verdict, case),
        "because": sorted(bits, key=lambda row: (-abs(row["bits"]), row["finding"])),
    }


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
        low, high, _ = answer.value
        return f"{answer.name} {low:g}" if low == high else f"{answer.name} from {low:g} to {high:g}"
    return f"{answer.name}: {answer.value}"


def _geometry(verdict: Verdict, case: Case) -> dict[str, Any]:
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


def _intervals(delivery: Delivery, club: str, case: Case) -> dict[str, dict[str, float]]:
    result = delivery.intervals(club)
    if case.handed == "left":
        for name in SIDED:
            given = result[name]
            result[name] = {"low": -given["high"], "mid": -given["mid"], "high": -given["low"]}
    return result


def _priority(ranking: Ranking, delivery: Delivery, case: Case) -> dict[str, Any] | None:
    chosen = priority(ranking, delivery)
    if chosen is None:
        return None
    entry = ranking.model.candidates[chosen.member]
    sign = -1.0 if case.handed == "left" else 1.0
    return {
        "id": entry.id,
        "title": entry.entry["title"],
        "stage": entry.entry["stage"],
        "tell_student": entry.entry["tell_student"],
        "undone": {
            club: {
                name: {"now": (sign if name in SIDED else 1.0) * now, "then": (sign if name in SIDED else 1.0) * then}
                for name, (now, then) in rows.items()
            }
            for club, rows in chosen.undone.items()
        },
    }


def _groups(ranking: Ranking, key: str) -> list[dict[str, Any]]:
    """P(at least one cause of the group acts) for every family or stage, best first."""
    groups: dict[str, list[bool]] = {}
    for candidate in ranking.model.candidates:
        groups.setdefault(candidate.entry[key], [])
    chances = {
        name: ranking.holding([*(c.entry[key] == name for c in ranking.model.candidates), False]) for name in groups
    }
    return _ordered(chances)


def _ordered(chances: Mapping[str, float]) -> list[dict[str, Any]]:
    ranked = sorted(chances.items(), key=lambda item: (-round(item[1], 12), item[0]))
    return [{"id": name, "probability": float(value)} for name, value in ranked]


def _because(ranking: Ranking, most: int) -> Array:
    """Bits of each answer for each member: Shapley shares, or leave-one-out where there are too many answers."""
    answers = ranking.answers
    if not answers:
        return np.zeros((ranking.model.unlisted + 1, 0))

    def log_odds_of(mask: int) -> Array:
        chosen = frozenset(a for j, a in enumerate(answers) if mask >> j & 1)
        return log2_odds(marginals(ranking.model.sets, ranking.posterior(chosen)))

    if len(answers) <= most:
        return shapley(log_odds_of, len(answers))
    full = (1 << len(answers)) - 1
    whole = log_odds_of(full)
    return np.stack([whole - log_odds_of(full ^ 1 << j) for j in range(len(answers))], axis=1)
