"""Whether the results of a check mean one side and not both: by the signs of its quantity, and by the geometry."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from arclore.engine.diagnosis.moves import amounts
from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.audit_drills import cosine
from arclore.engine.upkeep.subject import Subject

OPPOSED = -0.7  # cosine between the shifts of two deliveries from which they are opposites
SIDES = {
    **dict.fromkeys(("away", "open", "toe", "ahead", "up", "outward"), 1.0),
    **dict.fromkeys(("toward", "closed", "shut", "heel", "behind", "down", "inward"), -1.0),
}
"""Words for a side in the id of a result, and the sign of that side."""


def wrong_sides(subject: Subject) -> Iterator[Problem]:
    """Measured results named after one side whose range lies on the other: + is away, open, toe, ahead and up."""
    for name, check in subject.checks.items():
        for index, result in enumerate(check["results"] if check["type"] == "measurement" else ()):
            sign = next((SIDES[word] for word in result["id"].split("-") if word in SIDES), 0.0)
            open_end = ("from" in result) - ("to" in result)  # + where the range goes on upward, - downward
            if sign * open_end < 0:
                side = "+" if sign > 0 else "-"
                message = f"the result {result['id']!r} stands for the {side} side, its range does not"
                hint = "turn the range round: + is away, open, toe, ahead and up"
                yield subject.problem("check", name, ("results", index), "check-side", message, hint)


def opposed_causes(subject: Subject) -> Iterator[Problem]:
    """Yes-or-no checks of which one result speaks for two causes that do opposite things to the delivery."""
    for name, check in subject.checks.items():
        said = check.get("likelihood", {})
        moving = [cause for cause in said.get("causes", ()) if subject.causes.get(cause, {}).get("moves")]
        for first, second in combinations(moving, 2):
            if _apart(subject, name, first, second) <= OPPOSED:
                message = f"its result {said['positive']!r} speaks for {first!r} and for {second!r}, which do opposites"
                hint = "keep one of the two, or make two checks"
                yield subject.problem("check", name, ("likelihood", "causes"), "check-sign", message, hint)


def _apart(subject: Subject, check: str, first: str, second: str) -> float:
    """Cosine between what two causes do to the delivery of one club that the check is for; 0 without a model."""
    known = subject.model.conditions if subject.model is not None else {}
    clubs = subject.clubs_of_check[check] & subject.clubs_of_cause[first] & subject.clubs_of_cause[second]
    club = next((club for club in sorted(clubs) if club in known), None)
    if club is None:
        return 0.0
    shifts = [subject.pushed(club, amounts(subject.causes[cause], club)) for cause in (first, second)]
    return cosine(*shifts)
