"""The swing that gives what the engine inferred of a club, beside one without a fault: what pictures are drawn from.

Numbers are a right-hander's; what an answer says of a left-hander is turned on the way in, once. Importing this module
brings numpy, so screens import it only when they draw.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from arclore.engine.diagnosis.moves import SET_UP_FIELDS, amounts, moved
from arclore.engine.diagnosis.told import SIDED
from arclore.engine.diagnosis.triage import CONDITIONS, USUAL_LEVEL
from arclore.engine.geometry.club import LEVELS, Club
from arclore.engine.geometry.putt import Green, putt, stroke
from arclore.engine.geometry.sand import splash_swing
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Delivered, Swing, deliver, fault_free
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import Library
from arclore.tui.chances import STANDS_OUT
from arclore.tui.pictures.short import putted, splashed
from arclore.tui.pictures.stroke import Stroke, played
from arclore.tui.questions import CLUB_WORDS
from arclore.tui.wording import GROUPS

MIDS = ("path_deg", "face_deg", "low_point_cm")
CHANGES = ("arc_height_mm", "loft_deg", "speed_percent")  # measured from the same player's own without a fault


@dataclass(frozen=True)
class Made:
    """A swing made with a club from a set-up; of a putt, on what green and how far the hole is."""

    club: Club
    swing: Swing
    set_up: SetUp
    green: Green = field(default_factory=Green)
    hole_m: float = 0.0

    def changed(self, change: Mapping[str, float]) -> Made:
        """The same with a change of inputs, named and measured as a cause's moves are, laid on, or of the green."""
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        green = replace(self.green, run_m=self.green.run_m + 0.01 * change.get("green_run_cm", 0.0))
        return replace(self, swing=swing, set_up=set_up, green=green)

    def stroke(self, label: str) -> Stroke:
        """Play it. Raises ValueError where the ball lies off the arc."""
        if self.club.family == "putt":
            return putted(self.swing, self.set_up, self.club, label, self.green, self.hole_m)
        if self.club.family == "sand":
            return splashed(self.swing, self.set_up, self.club, label)
        return played(self.swing, self.set_up, self.club, label)

    def delivered(self) -> Delivered:
        """What the head does at the ball; how high its arc runs is of no account in sand."""
        swing = replace(self.swing, arc_height_m=0.0) if self.club.family == "sand" else self.swing
        return deliver(swing, self.set_up, self.club)


def sound(library: Library, answer: Mapping[str, Any], club: str) -> Made:
    """This club without a fault, at the answer's level. Raises KeyError for a club that the library does not have."""
    made = club_from_entry(library.clubs[club])
    level = answer["level"] if answer["level"] in LEVELS else USUAL_LEVEL
    if made.family == "putt":
        swing = stroke(made, level)
        return Made(made, swing, made.standard, hole_m=float(putt(swing, made.standard, made).distance_m))
    return Made(made, splash_swing(made, level) if made.family == "sand" else fault_free(made, level), made.standard)


def inferred(library: Library, answer: Mapping[str, Any], club: str, cause: str = "") -> Made:
    """What the club did by the middle values of the answer.

    Where ``cause`` is a likely one of the set-up, the player stands as that cause says; otherwise as is standard.
    """
    whole = sound(library, answer, club)
    mid, change = ({name: float(answer["delivery"][club][name]["mid"]) for name in names} for names in (MIDS, CHANGES))
    stood = whole.changed(change).changed(_set_up_of(library, answer, whole.club.family, cause))
    return _delivering(stood, mid, answer["handed"])


def remedied(library: Library, answer: Mapping[str, Any], club: str, cause: str) -> Made | None:
    """What the club would do with this cause put right; None where the answer says so of another cause only."""
    priority = answer["priority"]
    if priority is None or priority["id"] != cause or club not in priority["undone"]:
        return None
    then = {name: float(priority["undone"][club][name]["then"]) for name in MIDS}
    return _delivering(sound(library, answer, club), then, answer["handed"])


def _delivering(stood: Made, mid: dict[str, float], handed: str) -> Made:
    """The swing turned so that it delivers these values, as this golfer sees them, from where the player stands."""
    if handed == "left":
        mid = {**mid, **{name: 0.0 - mid[name] for name in SIDED}}
    first = stood.delivered()
    low_point = stood.swing.low_point_m + 0.01 * mid["low_point_cm"] - float(first.low_point_m)
    swing = replace(stood.swing, low_point_m=low_point)
    second = replace(stood, swing=swing).delivered()
    return replace(
        stood,
        swing=replace(
            swing,
            swing_direction_deg=swing.swing_direction_deg + mid["path_deg"] - float(second.path_deg),
            face_deg=swing.face_deg + mid["face_deg"] - float(second.face_deg),
        ),
    )


def _set_up_of(library: Library, answer: Mapping[str, Any], family: str, cause: str) -> dict[str, float]:
    """What a likely cause of the set-up changes there; nothing for any other."""
    rows = {row["id"]: row for row in answer["causes"]}
    if cause not in rows or cause not in library.causes or rows[cause]["probability"] < STANDS_OUT:
        return {}
    if rows[cause]["stage"] not in GROUPS["set-up"]:
        return {}
    given = amounts(library.causes[cause], family)
    return {name: size for name, size in given.items() if name in SET_UP_FIELDS}


@dataclass(frozen=True)
class Pair:
    """Two strokes to be drawn side by side, under a title."""

    title: str
    strokes: tuple[Stroke, Stroke]


def before_and_after(library: Library, answer: Mapping[str, Any], club: str, cause: str = "") -> Pair:
    """What the club did beside what it would do with the cause put right, or else without any fault."""
    now = inferred(library, answer, club, cause).stroke("now")
    then = remedied(library, answer, club, cause)
    label, words = ("put right", "with the marked cause put right") if then else ("without a fault",) * 2
    wanted = (then or sound(library, answer, club)).stroke(label)
    return Pair(f"{CLUB_WORDS.get(club, club).capitalize()}: now, and {words}", (now, wanted))


def pairs(library: Library, answer: Mapping[str, Any], cause: str = "") -> list[Pair]:
    """Every pair worth a look: each club before and after, then the first two full swings as they are now."""
    found = [before_and_after(library, answer, club, cause) for club in answer["delivery"]]
    clubs = [club for club in answer["delivery"] if club not in CONDITIONS]  # of one swing: a putt has its own
    if len(clubs) > 1:
        names = [CLUB_WORDS.get(club, club) for club in clubs[:2]]
        one, two = (
            inferred(library, answer, club, cause).stroke(f"{name}, now")
            for club, name in zip(clubs, names, strict=False)
        )
        found.append(Pair(f"One golfer, two clubs: {names[0]} beside {names[1]}, both now", (one, two)))
    return found
