"""Findings that say the same thing twice, so that the ranking would count one piece of evidence for two."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.bearing import families_of
from arclore.engine.upkeep.subject import Subject

SAME_STORY = 0.75  # cosine, from which two findings speak for the same causes in nearly the same measure


def unlinked_findings(subject: Subject) -> Iterator[Problem]:
    """Pairs of findings with a common club that speak for the same causes, and of which neither is akin to the other.

    What a finding says is how many times each cause makes it likelier than no cause does, as a logarithm.
    """
    told = {name: row for name, row in _told(subject).items() if row.any()}
    if not told:
        return
    names = list(told)
    rows = np.stack([told[name] / np.linalg.norm(told[name]) for name in names])
    first, second = np.nonzero(np.triu(rows @ rows.T >= SAME_STORY, 1))
    for one, other in zip(first.tolist(), second.tolist(), strict=True):
        yield from _unlinked(subject, names[one], names[other])


def _told(subject: Subject) -> dict[str, Array]:
    """Per finding of stated frequency, no sign of danger: the log ratio (causes,) of each cause, 0 of others."""
    found = {name: entry for name, entry in subject.symptoms.items() if not entry.get("safety")}
    place = {name: i for i, name in enumerate(subject.causes)}
    leaks = {name: subject.words.get(entry.get("leak", "")) for name, entry in found.items()}
    told = {name: np.zeros(len(place)) for name, leak in leaks.items() if leak}
    for cause, entry in subject.causes.items():
        for link in entry.get("leads_to", ()):
            leak, chance = leaks.get(link["symptom"]), subject.words.get(link["how_often"])
            if leak and chance:
                told[link["symptom"]][place[cause]] = max(0.0, float(np.log(chance / leak)))
    return told


def _unlinked(subject: Subject, first: str, second: str) -> Iterator[Problem]:
    one, other = subject.symptoms[first], subject.symptoms[second]
    linked = second in one.get("akin_to", ()) or first in other.get("akin_to", ())
    if not linked and families_of(one["clubs"]) & families_of(other["clubs"]):
        message = f"it and {second!r} speak for the same causes, so both together would count twice"
        hint = f"akin_to: [{second}], or causes that make one and not the other"
        yield subject.problem("symptom", first, ("id",), "unlinked-findings", message, hint)
