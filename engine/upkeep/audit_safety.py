"""Whether a drill looks after whoever does it: what its cautions say, and whom its steps are not for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.bearing import Entry
from arclore.engine.upkeep.subject import Subject

_PAIN = re.compile(r"\b(?:pain|hurts?|sore|aches?|twinge|strains?|complains?|jars?)\b")
_ROOM = re.compile(r"\b(?:clear|nobody|no one|ahead|inside|away from|stands?|against a wall|soft)\b")
_RISKS: tuple[tuple[re.Pattern[str], str, re.Pattern[str]], ...] = tuple(
    (re.compile(step), flag, re.compile(caution))
    for step, flag, caution in (
        (r"\bon one (?:leg|foot)\b|\bone-leg", "balance-limits", r"\b(?:balance|support|rail|firm)"),
        (r"\bswing\w*\b[^.;]*\beyes (?:shut|closed)|\beyes (?:shut|closed)[^.;]*\bswing", "balance-limits",
         r"\b(?:balance|support|standing firm)"),
        (r"\bswing\w*\b[^.;]*\bas (?:hard|fast) as\b|\bflat out\b", "back-history", r"\bback\b"),
        (r"\bthrow (?:a|the) (?:soft |rolled )?(?:ball|cloth|towel)\b", "shoulder-history", r"\bshoulder"),
        (r"\bside-bend|\bbend sideways|\blean back\b", "back-history", r"\bback\b|\bside-?bend"),
    )
)  # fmt: skip
"""A step that is not for everybody, whom it is not for, and a caution that will do in place of that flag."""


def bare_cautions(subject: Subject) -> Iterator[Problem]:
    """Drills whose cautions say nothing of pain, or nothing of room where a club or a ball moves."""
    for name, drill in subject.drills.items():
        said = _said(drill)
        if not _PAIN.search(said):
            message, hint = "no caution says what to do at pain", "say: stop at any pain"
            yield subject.problem("drill", name, ("cautions",), "bare-caution", message, hint)
        if drill["space_m"] > 0 and not _ROOM.search(said):
            message, hint = "nothing says who must keep away", "say in hazards or cautions how much room it needs"
            yield subject.problem("drill", name, ("hazards",), "bare-caution", message, hint)


def unguarded_steps(subject: Subject) -> Iterator[Problem]:
    """Steps that are not for everybody, in a drill that neither excludes nor warns whom they are not for."""
    for name, drill in subject.drills.items():
        for index, step in enumerate(drill["steps"]):
            for risk, flag, caution in _RISKS:
                found = risk.search(step.lower())
                if found and flag not in drill["not_for"] and not caution.search(_said(drill)):
                    message = f"{found[0]!r} without a word for players with {flag}"
                    hint = f"not_for: [{flag}], or a caution about it"
                    yield subject.problem("drill", name, ("steps", index), "unguarded-step", message, hint)


def _said(drill: Entry) -> str:
    return " ".join([*drill["cautions"], drill["hazards"]]).lower()
