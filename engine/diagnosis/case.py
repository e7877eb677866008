"""A case: what the coach was told and saw, in the right-hander's frame.

The input states literal left and right. A left-hander is mirrored once, here; ``Case.side`` mirrors words back for
display. Unknown handedness is taken as right and said so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from arclore.engine.diagnosis.evidence import ShotSeen
from arclore.engine.diagnosis.moves import covers
from arclore.engine.library.problems import nearest
from arclore.engine.library.stack import Library
from arclore.engine.quantities import mirrored

OUTCOME_SIDES = {"toward": "left", "away": "right", "on-line": "on-line", "none": "none"}
UNKNOWN_LEVEL = "unknown"
SIDED_MEASURES = ("path_deg", "face_deg", "swing_direction_deg", "face_to_path_deg")
LEAST_BALLS = 5
CONTACT_PARTS = ("toe", "heel", "shank")
OF_FLIGHT = {"start", "curve", "height", "finish"}


class CaseError(ValueError):
    """A case that cannot be taken as it stands: one line saying what, where and what to do."""


@dataclass(frozen=True)
class ClubUsed:
    """A club of the case: as named, its family, and the member of the family that it is (or None)."""

    name: str
    family: str
    member: str | None


@dataclass(frozen=True)
class Case:
    """A case ready for the inference. Sides are the right-hander's; notes say what was assumed."""

    handed: str
    level: str
    clubs: tuple[ClubUsed, ...]
    shots: tuple[ShotSeen, ...]
    present: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()
    proposed: tuple[dict[str, Any], ...] = ()
    theories: tuple[str, ...] = ()
    checks: Mapping[str, str | float] = field(default_factory=dict)
    measured: tuple[dict[str, Any], ...] = ()
    pain: bool = False
    avoid: tuple[str, ...] = ()
    minutes: float | None = None  # of practice that are left
    place: str = ""
    without: tuple[str, ...] = ()  # words of kit that is not at hand
    notes: tuple[str, ...] = ()

    @property
    def families(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(club.family for club in self.clubs))

    def club_of(self, check: Mapping[str, Any]) -> str:
        """The name of the club that a check is made with, the first by name that it is for; "" where there is none.

        By name, so that it does not matter in which order the clubs were told.
        """
        return min((club.name for club in self.clubs if covers(check["clubs"], club.family)), default="")

    def side(self, word: str) -> str:
        """A right-hander's side as this golfer sees it."""
        return mirrored(word) if self.handed == "left" else word

    def measure(self, quantity: str, value: float) -> float:
        """A right-hander's measure as this golfer's own: angles are + to the right as seen."""
        return -value if self.handed == "left" and quantity in SIDED_MEASURES else value

    @property
    def need_balls(self) -> int:
        """How many more balls are wanted before a tally says enough; a statement counts as five balls.

        Of a club whose starts and bends were counted apart, the longer count: they may be the same balls.
        """
        tallies: dict[str, dict[str, int]] = {}
        for line in self.shots:
            if line.count:
                of_club = tallies.setdefault(line.club, {})
                for variable in line.values:
                    of_club[variable] = of_club.get(variable, 0) + line.count
        longest = [max(of_club.values(), default=0) for of_club in tallies.values()]
        return max((LEAST_BALLS - count for count in longest if count < LEAST_BALLS), default=0)


def club_used(name: str, library: Library) -> ClubUsed:
    """The club of this name: a family or one of a family's members. Raises CaseError with the nearest known name."""
    if name in CLUB_FAMILIES:
        return ClubUsed(name, name, None)
    members = {item["id"]: entry["id"] for entry in library.clubs.values() for item in entry.get("members", ())}
    if name in members:
        return ClubUsed(name, members[name], name)
    near = nearest(name, [*CLUB_FAMILIES, *members])
    raise CaseError(
        f"no club is called {name!r}" + (f"; nearest: {near}" if near else f"; one of: {', '.join(CLUB_FAMILIES)}")
    )


CLUB_FAMILIES = (
    "driver",
    "fairway-wood",
    "hybrid",
    "long-iron",
    "mid-iron",
    "short-iron",
    "wedge",
    "pitch",
    "chip",
    "sand",
    "putt",
)


def outcome_values(outcome: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """A hand-neutral outcome of the library (toward, away) as the values of a shot in the right-hander's frame."""
    named: dict[str, Any] = dict(outcome)
    for variable in ("start", "curve", "finish"):
        if variable in named:
            named[variable] = OUTCOME_SIDES.get(named[variable], named[variable])
    return shot_values(named)


def off_the_neck(shot: Mapping[str, Any]) -> bool:
    """Whether all the balls of a shot came off the neck of the club."""
    return tuple(dict.fromkeys(shot.get("contact", ()))) == ("shank",)


def shot_values(shot: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """The values of a shot by variable; the part of the face becomes a variable of its own.

    So does a distance: beside a poor contact it is read off the strike, else off the pace. A ball off the neck flies
    where the neck sends it, so that nothing else of such a shot is read.
    """
    if off_the_neck(shot):
        return {"face_part": ("shank",)}
    values: dict[str, tuple[str, ...]] = {}
    for variable in ("start", "height"):
        if variable in shot:
            values[variable] = (shot[variable],)
    if shot.get("finish") in ("left", "right", "on-line"):
        values["finish"] = (shot["finish"],)
    if shot.get("finish") in ("short", "long"):
        poor = [contact for contact in shot.get("contact", ()) if contact != "clean" and contact not in CONTACT_PARTS]
        values["strike_distance" if poor else "distance"] = (shot["finish"],)
    if "curve" in shot:
        bend = shot.get("bend")
        values["curve"] = (f"{shot['curve']}-{bend}" if bend and shot["curve"] != "none" else shot["curve"],)
    contacts = tuple(dict.fromkeys(shot.get("contact", ())))
    parts = tuple(part for part in contacts if part in CONTACT_PARTS)
    others = tuple(contact for contact in contacts if contact not in CONTACT_PARTS)
    if others:
        values["contact"] = others
    if parts or others == ("clean",):
        values["face_part"] = parts or ("middle",)
    if shot.get("turf"):
        values["turf"] = tuple(dict.fromkeys(shot["turf"]))
    return values


def mirrored_shot(shot: Mapping[str, Any]) -> dict[str, Any]:
    """The same shot as a golfer of the other hand would state it."""
    return {key: mirrored(value) if key in ("start", "curve", "finish") else value for key, value in shot.items()}


def case_of(given: Mapping[str, Any], library: Library, proposals: Iterable[Mapping[str, Any]] = ()) -> Case:
    """The case of a checked input mapping, with what was proposed from its words. Raises CaseError."""
    notes = []
    handed = given.get("handed", "unknown")
    if handed == "unknown":
        handed = "right"
        notes.append("handedness not given: taken as right-handed")
    level = given.get("level", UNKNOWN_LEVEL)
    if level == UNKNOWN_LEVEL:
        notes.append("level not given: causes weighed over all levels")
    shots, clubs = [], {}
    for number, raw in enumerate(given.get("shots", ()), start=1):
        shot = mirrored_shot(raw) if handed == "left" else dict(raw)
        try:
            club = club_used(shot["club"], library)
        except CaseError as problem:
            raise CaseError(f"shot {number}: {problem}") from None
        clubs[club.name] = club
        if off_the_neck(shot) and shot.keys() & OF_FLIGHT:
            notes.append(f"{club.name}: where a ball off the neck flies says nothing of path or face: left out")
        chance = library.settings["frequency_words"][shot["how_often"]] if "how_often" in shot else None
        shots.append(
            ShotSeen(
                club.name, shot_values(shot), shot.get("count", 0), chance, _unsure_variables(shot.get("unsure", ()))
            )
        )
    findings: dict[str, list[str]] = {"present": [], "absent": [], "unsure": []}
    for kind, known in findings.items():
        for name in dict.fromkeys(given.get(kind, ())):
            if name not in library.symptoms:
                near = nearest(name, library.symptoms)
                raise CaseError(f"{kind}: no symptom is called {name!r}" + (f"; nearest: {near}" if near else ""))
            outcome = library.symptoms[name].get("outcome")
            if outcome is None:
                known.append(name)
            elif kind == "present":
                shots += [ShotSeen(club, outcome_values(outcome)) for club in clubs]
            else:
                notes.append(f"{name} as {kind} is left out: say what the ball did instead")
    for name, result in given.get("checks", {}).items():
        if name not in library.checks:
            near = nearest(name, library.checks)
            raise CaseError(f"checks: no check is called {name!r}" + (f"; nearest: {near}" if near else ""))
        known_result(name, result, library.checks[name])
    notes += _needless(given.get("without", ()), library)
    told = list(shots)
    proposed = []
    for proposal in proposals:
        proposed.append(dict(proposal))
        if proposal.get("outcome"):
            values = outcome_values(proposal["outcome"])
            silent = [
                name
                for name, club in clubs.items()
                if proposal["club"] in ("", club.family)
                and not any(line.values for line in told if line.club == name)
            ]
            shots += [ShotSeen(name, values, unsure=frozenset(values)) for name in silent if values]
    return Case(
        handed=handed,
        level=level,
        clubs=tuple(clubs.values()),
        shots=tuple(shots),
        present=tuple(findings["present"]),
        absent=tuple(findings["absent"]),
        unsure=tuple(findings["unsure"]),
        proposed=tuple(proposed),
        theories=tuple(given.get("theories", ())),
        checks=dict(given.get("checks", {})),
        measured=tuple(_mirrored_measure(m) if handed == "left" else dict(m) for m in given.get("measured", ())),
        pain=bool(given.get("pain", False)),
        avoid=tuple(given.get("avoid", ())),
        minutes=given.get("minutes"),
        place=given.get("place", ""),
        without=tuple(given.get("without", ())),
        notes=tuple(notes),
    )


def _needless(words: Sequence[str], library: Library) -> list[str]:
    """A line for each word of kit that no check and no drill needs: it may be mistyped."""
    if not words:
        return []
    entries = (*library.checks.values(), *library.drills.values())
    kit = {item.casefold() for entry in entries for item in entry.get("kit", ())}
    unknown = [word for word in dict.fromkeys(words) if not any(word.casefold() in item for item in kit)]
    return [
        f"no check or drill needs {word!r}, so going without it changes nothing: is it spelt right?" for word in unknown
    ]


def known_result(name: str, result: str | float, check: Mapping[str, Any]) -> None:
    """Raises CaseError for a result that the check does not have; a measuring check may also be given a number."""
    if check["type"] == "measurement" and isinstance(result, (int, float)):
        return
    known = [row["id"] for row in check["results"]]
    if result not in known:
        number = ["a number"] if check["type"] == "measurement" else []
        raise CaseError(f"check {name} has no result {result!r}; known: {', '.join([*known, *number])}")


def _unsure_variables(names: Iterable[str]) -> frozenset[str]:
    more = {"contact": {"face_part"}, "finish": {"distance", "strike_distance"}}
    return frozenset(names).union(*(more.get(name, set()) for name in names))


def _mirrored_measure(measure: Mapping[str, Any]) -> dict[str, Any]:
    sided = measure["quantity"] in SIDED_MEASURES
    return {**measure, "value": -measure["value"]} if sided else dict(measure)
