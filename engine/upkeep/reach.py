"""What of a library the answer to a case can hang on, so that equal keys mean equal answers."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

from arclore.engine.diagnosis.case import CLUB_FAMILIES, Case
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.upkeep.digest import digest_of_bytes

UNFIT = (ArithmeticError, LookupError, TypeError, ValueError)  # of a library written for an older or newer engine
FOR_CLUBS = ("causes", "checks", "drills")  # folders whose entries say which clubs they are for


class Reach:
    """Keys of the cases that a bench is asked. Its library may hold texts; they count like everything else."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._of_families: dict[tuple[str, ...], str] = {}

    def key(self, given: Mapping[str, Any]) -> str | None:
        """The key of a case's answer; None for a case that this library cannot read."""
        try:
            case = self._bench.case(given)
        except UNFIT:
            return None
        families = case.families or CLUB_FAMILIES[:7]
        if families not in self._of_families:
            self._of_families[families] = _digest(sorted(self._for_clubs(families)))
        parts = [given, self._ground, self._of_families[families], *sorted(self._named(given, case))]
        return _digest(parts)

    @cached_property
    def _ground(self) -> str:
        """The digest of what every answer hangs on."""
        refer = {name: cause for name, cause in self._bench.library.causes.items() if cause.get("refer")}
        return _digest([self._bench.library.settings, refer])

    @cached_property
    def _digests(self) -> dict[tuple[str, str], str]:
        folders = (*FOR_CLUBS, "clubs", "symptoms", "words")
        return {
            (folder, name): _digest(entry)
            for folder in folders
            for name, entry in getattr(self._bench.library, folder).items()
        }

    def _for_clubs(self, families: tuple[str, ...]) -> Iterator[str]:
        library = self._bench.library
        yield from (self._digests["clubs", family] for family in families if family in library.clubs)
        for folder in FOR_CLUBS:
            for name, entry in getattr(library, folder).items():
                if any(covers(entry["clubs"], family) for family in families):
                    yield self._digests[folder, name]

    def _named(self, given: Mapping[str, Any], case: Case) -> Iterator[str]:
        """What a case calls by name, and the words its own are looked up in."""
        proposed = (finding for proposal in case.proposed for finding in proposal["findings"])
        for name in {*case.present, *case.absent, *case.unsure, *proposed}:
            yield self._digests["symptoms", name]
        yield from (self._digests["checks", name] for name in case.checks)
        if given.get("words") or given.get("also"):
            yield from (value for (folder, _), value in self._digests.items() if folder == "words")


def _digest(value: Any) -> str:
    return digest_of_bytes(json.dumps(value, sort_keys=True).encode("utf-8", "surrogatepass"))
