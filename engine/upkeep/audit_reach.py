"""Entries that no lesson can come to: nothing links them to a ball, a finding or a cause."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import Key
from arclore.engine.upkeep.subject import Subject

FLIGHT: Key = ("flight", "")  # what the geometry tells: every cause that moves something is linked to it


def unreachable(subject: Subject) -> Iterator[Problem]:
    """Rows for entries in use that can't be reached from the flight of a ball or from a sign of danger."""
    links = _links(subject)
    reached = {FLIGHT, *(("symptom", name) for name, entry in subject.symptoms.items() if entry.get("safety"))}
    ahead = list(reached)
    while ahead:
        for near in links[ahead.pop()] - reached:
            reached.add(near)
            ahead.append(near)
    for kind, entries in (
        ("symptom", subject.symptoms),
        ("cause", subject.causes),
        ("check", subject.checks),
        ("drill", subject.drills),
        ("club", subject.library.clubs),
    ):
        for name in entries:
            if (kind, name) not in reached:
                hint = "link it to a finding or a cause that is in use"
                yield subject.problem(kind, name, ("id",), "unreachable", f"no lesson can come to this {kind}", hint)


def _links(subject: Subject) -> dict[Key, set[Key]]:
    links: dict[Key, set[Key]] = defaultdict(set)

    def link(one: Key, other: Key) -> None:
        links[one].add(other)
        links[other].add(one)

    for name, symptom in subject.symptoms.items():
        if "outcome" in symptom:
            link(FLIGHT, ("symptom", name))
    for name, cause in subject.causes.items():
        if cause.get("moves") or cause.get("adds_scatter"):
            link(FLIGHT, ("cause", name))
        for told in cause.get("leads_to", ()):
            if told["symptom"] in subject.symptoms:
                link(("cause", name), ("symptom", told["symptom"]))
        for club in subject.clubs_of_cause[name]:
            link(("cause", name), ("club", club))
        if cause.get("refer"):
            for safety in (s for s, entry in subject.symptoms.items() if entry.get("safety")):
                link(("cause", name), ("symptom", safety))
    for name, check in subject.checks.items():
        if check["type"] == "measurement":
            link(FLIGHT, ("check", name))
        for tested in subject.bearings.touched(check):
            link(("cause", tested), ("check", name))
    for name, drill in subject.drills.items():
        for treated in drill["for"]["causes"]:
            if treated in subject.causes:
                link(("cause", treated), ("drill", name))
    return links
