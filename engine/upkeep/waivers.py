"""Findings that a library lives with for a while: each waiver silences one finding of its own layer, until a day.

A waiver that silences nothing, or more than one finding, is a problem itself, so that none outlives its reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import KIND_OF_FOLDER
from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import Key, Library

NEVER = frozenset({"bare-caution", "unguarded-step"})
"""Codes of findings about people's safety, which no waiver silences."""


@dataclass(frozen=True, order=True)
class Waived:
    """A silenced finding, and who bears with it, why and until when (an ISO date, that day included)."""

    finding: Problem
    reason: str
    author: str
    until: str


@dataclass(frozen=True)
class Ruling:
    """What the waivers of a library make of its findings, all sorted."""

    waived: list[Waived]
    problems: list[Problem]


def rule(library: Library, findings: Sequence[Problem], today: date) -> Ruling:
    """Which findings the waivers of each layer silence, and which waivers are no good."""
    waived, problems = [], []
    for layer, document in library.waivers:
        for index, waiver in enumerate(document.value["waivers"]):
            fitting = [row for row in findings if _fits(waiver, row)]
            wrong = _wrong(library, layer, waiver, fitting, today)
            if wrong:
                problems.append(document.problem(("waivers", index), *wrong))
            else:
                waived.append(Waived(fitting[0], waiver["reason"], waiver["author"], waiver["until"]))
    return Ruling(sorted(set(waived)), sorted(problems))


def _fits(waiver: dict[str, Any], row: Problem) -> bool:
    return (
        row.code == waiver["waives"]
        and _key(row) == (waiver["kind"], waiver["entry"])
        and waiver.get("field", row.field) == row.field
        and waiver.get("names", "") in row.message
    )


def _key(row: Problem) -> Key:
    return KIND_OF_FOLDER.get(Path(row.path).parent.name, ""), row.entry


def _wrong(
    library: Library, layer: Path, waiver: dict[str, Any], fitting: Sequence[Problem], today: date
) -> tuple[str, str, str] | None:
    """Code, message and hint of what is wrong with a waiver, None for a sound one."""
    code, kind, entry = waiver["waives"], waiver["kind"], waiver["entry"]
    what = f"{code} of the {kind} {entry!r}"
    if code in NEVER:
        return "waiver-of-safety", f"{what} is about safety", "mend the entry: this is never waived"
    if library.origin.get((kind, entry)) != layer:
        where = "stands in another library" if (kind, entry) in library.origin else "is not there"
        return "waiver-not-own", f"{what}: the {kind} {where}", "waive only what stands in this library"
    if today.isoformat() > waiver["until"]:
        hint = "mend the finding and take the waiver out, or judge it afresh and name a later day"
        return "waiver-expired", f"{what} was waived until {waiver['until']}", hint
    if not fitting:
        return "waiver-idle", f"{what}: there is no such finding", "take the waiver out"
    if len(fitting) > 1:
        return "waiver-wide", f"{what} fits {len(fitting)} findings", "name the field, or what the finding names"
    return None


def unsilenced(rows: Sequence[Problem], ruling: Ruling) -> Iterator[Problem]:
    """The rows that no waiver silences."""
    silenced = {waived.finding for waived in ruling.waived}
    return (row for row in rows if row not in silenced)
