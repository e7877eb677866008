"""What of a library the answer to a case can hang on, so that equal keys mean equal answers."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Any

from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.moves import FULL_SWING, covers
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.upkeep.digest import digest_of_bytes

UNFIT = (ArithmeticError, LookupError, TypeError, ValueError)  # of a library written for an older or newer engine
FOR_CLUBS = ("causes", "checks", "drills")  # folders whose entries say which clubs they are for


Entry = tuple[str, str]  # folder, id


class Reach:
    """Keys of the cases that a bench is asked. Its library may hold texts; they count like everything else."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._of_clubs: dict[tuple[str, ...], frozenset[Entry]] = {}

    def key(self, given: Mapping[str, Any]) -> str | None:
        """The key of a case's answer; None for a case that this library cannot read."""
        try:
            entries = self.entries(given)
        except UNFIT:
            return None
        return _digest([given, self._settings, sorted(self._digests[entry] for entry in entries)])

    def checks(self, given: Mapping[str, Any]) -> frozenset[str]:
        """The digests of the checks that the answer to a case can hang on. Raises CaseError."""
        return frozenset(self._digests[entry] for entry in self.entries(given) if entry[0] == "checks")

    def entries(self, given: Mapping[str, Any]) -> frozenset[Entry]:
        """All entries that the answer to a case can hang on, beside the settings. Raises CaseError."""
        case = self._bench.case(given)
        families = case.families or FULL_SWING
        if families not in self._of_clubs:
            self._of_clubs[families] = frozenset(self._for_clubs(families))
        return self._of_clubs[families] | set(self._named(given, case))

    def _for_clubs(self, families: tuple[str, ...]) -> Iterator[Entry]:
        library = self._bench.library
        yield from (("clubs", family) for family in families if family in library.clubs)
        for folder in FOR_CLUBS:
            for name, entry in getattr(library, folder).items():
                if entry.get("refer") or any(covers(entry["clubs"], family) for family in families):
                    yield folder, name

    def _named(self, given: Mapping[str, Any], case: Case) -> Iterator[Entry]:
        """What a case calls by name, and the words its own are looked up in."""
        proposed = (finding for proposal in case.proposed for finding in proposal["findings"])
        yield from (("symptoms", name) for name in (*case.present, *case.absent, *case.unsure, *proposed))
        yield from (("checks", name) for name in case.checks)
        if given.get("words") or given.get("also"):
            yield from (("words", name) for name in self._bench.library.words)

    @cached_property
    def _settings(self) -> str:
        return _digest(self._bench.library.settings)

    @cached_property
    def _digests(self) -> dict[Entry, str]:
        library = self._bench.library
        folders = (*FOR_CLUBS, "clubs", "symptoms", "words")
        return {(folder, name): _digest(e) for folder in folders for name, e in getattr(library, folder).items()}


def _digest(value: Any) -> str:
    return digest_of_bytes(json.dumps(value, sort_keys=True).encode("utf-8", "surrogatepass"))
