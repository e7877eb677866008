"""Whether a drill pushes the other way than the causes it is for: by what they move, else by the geometry."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
from arclore.engine.diagnosis.moves import amounts
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.bearing import Entry, families_of
from arclore.engine.upkeep.subject import Subject

SIGN = {"more": 1.0, "less": -1.0}
STANDING = {"more": "up", "less": "down"}
_INWARD = re.compile(
    r"\b(?:let|move|feel|carry|stand on|lean on|plant|lift|turn|bend|keep|drop|hold|point|press|relax|straighten) "
    r"(?:the |your |both )?(?:front |lead |trail )?"
    r"(?:arms?|forearms?|wrists?|hips?|shoulders?|knees?|elbows?|chest|legs?|feet|foot|trunk|fingers)\b"
    r"|\bin the (?:arms|fingers|wrists|hips|shoulders|legs)\b"
)
LEAST_ALIKE = 0.3  # cosine between two shifts of a delivery; below it they are two different things


def wrong_signs(subject: Subject) -> Iterator[Problem]:
    """Drills that push an input the same way as a cause they are for already does."""
    for name, drill in subject.drills.items():
        effect = drill["effect"]
        if effect["change"] == "steadier":
            yield from _steadier_than_needed(subject, name, drill)
            continue
        for index, cause in enumerate(drill["for"]["causes"]):
            if cause in subject.causes and _pushes(subject, drill, cause) * SIGN[effect["change"]] > 0:
                way = STANDING[effect["change"]]
                message = f"{effect['input']} {effect['change']}: {cause!r} already moves it {way}"
                hint = "turn the change round, or name the cause elsewhere"
                yield subject.problem("drill", name, ("for", "causes", index), "drill-sign", message, hint)


def _steadier_than_needed(subject: Subject, name: str, drill: Entry) -> Iterator[Problem]:
    """``steadier`` fits causes that scatter, that move nothing, or that move the input to both sides."""
    causes = [cause for cause in drill["for"]["causes"] if cause in subject.causes]
    if any(subject.causes[c].get("adds_scatter") or not subject.causes[c].get("moves") for c in causes):
        return
    pushes = {float(np.sign(_pushes(subject, drill, cause))) for cause in causes}
    if len(pushes) == 1 and pushes != {0.0}:
        change = "less" if pushes == {1.0} else "more"
        message = f"all its causes move {drill['effect']['input']} one way, and none adds scatter"
        yield subject.problem("drill", name, ("effect", "change"), "drill-steadier", message, f"change: {change}")


def inward_cues(subject: Subject) -> Iterator[Problem]:
    """Cues said to point outside the body that tell a part of the body what to do."""
    for name, drill in subject.drills.items():
        found = _INWARD.search(drill["cue"].lower()) if drill["cue_focus"] == "outside-the-body" else None
        if found:
            message = f"{found[0]!r} points at the body, and the cue is said to point outside it"
            hint = "say what club, ball or ground should do, or cue_focus: body"
            yield subject.problem("drill", name, ("cue",), "inward-cue", message, hint)


def clubless(subject: Subject) -> Iterator[Problem]:
    """Drills for a cause with which they share no club."""
    for name, drill in subject.drills.items():
        for index, cause in enumerate(drill["for"]["causes"]):
            if cause in subject.causes and not families_of(drill["clubs"]) & subject.clubs_of_cause[cause]:
                message = f"{cause!r} is about other clubs than this drill"
                hint = "add a club to one of them, or take the cause out"
                yield subject.problem("drill", name, ("for", "causes", index), "no-common-club", message, hint)


def _pushes(subject: Subject, drill: Entry, cause: str) -> float:
    """Above 0 where the cause moves the drill's input up, or does to the delivery what moving it up would do."""
    moved = drill["effect"]["input"]
    clubs = sorted(families_of(drill["clubs"]) & subject.clubs_of_cause[cause])
    direct = sum(amounts(subject.causes[cause], club).get(moved, 0.0) for club in clubs)
    if direct or not subject.causes[cause].get("moves"):
        return direct
    alike = [
        cosine(subject.pushed(club, {moved: 1.0}), subject.pushed(club, amounts(subject.causes[cause], club)))
        for club in clubs
        if subject.model is not None and club in subject.model.conditions
    ]
    mean = float(np.mean(alike)) if alike else 0.0
    return mean if abs(mean) >= LEAST_ALIKE else 0.0


def cosine(first: Array, second: Array) -> float:
    """Cosine between two shifts of a delivery, 0 where one is none."""
    lengths = float(np.linalg.norm(first) * np.linalg.norm(second))
    return float(first @ second) / lengths if lengths > 1e-9 else 0.0
