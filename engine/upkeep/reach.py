"""What of a library the answer to a case can hang on, so that equal keys mean equal answers."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from functools import cached_property, lru_cache
from typing import Any

from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.moves import FULL_SWING
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.upkeep.bearing import families_of
from arclore.engine.upkeep.digest import digest_of_bytes

UNFIT = (ArithmeticError, LookupError, TypeError, ValueError)  # of a library written for an older or newer engine
FOR_CLUBS = ("causes", "checks", "drills")  # folders whose entries say which clubs they are for
PER_ANSWER, PER_MODEL = 70.0, 230.0  # checks that a set could be weighed by while it is ranked; while it is laid
LEAST_SETS = 40_000.0  # whose work the smallest library makes as well

Entry = tuple[str, str]  # folder, id


class Reach:
    """Keys of the cases that a bench is asked. Its library may hold texts; they count like everything else."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._of_clubs: dict[tuple[str, ...], tuple[frozenset[Entry], str, str]] = {}

    def key(self, given: Mapping[str, Any]) -> str | None:
        """The key of a case's answer; None for a case that this library cannot read."""
        try:
            case = self._bench.case(given)
            _, of_clubs, _ = self._shared(case)
            named = sorted(self._digests[entry] for entry in set(self._named(given, case)))
        except UNFIT:
            return None
        return _digest([given, self._settings, of_clubs, named])

    def checks(self, given: Mapping[str, Any]) -> str:
        """A digest of the checks that the answer to a case can hang on. Raises CaseError."""
        case = self._bench.case(given)
        named = (self._digests[entry] for entry in set(self._named(given, case)) if entry[0] == "checks")
        return _digest([self._shared(case)[2], sorted(named)])

    def work(self, given: Mapping[str, Any], laid: bool) -> float:
        """About how much work an answer is, in sets of causes weighed by one check; 0 for a case that can't be read.

        laid: whether another case of the same clubs and level is answered before.
        """
        sets = self._sets(given)
        return PER_ANSWER * (sets + LEAST_SETS) + (0.0 if laid else PER_MODEL * sets) if sets else 0.0

    def work_of_checks(self, given: Mapping[str, Any]) -> float:
        """The same for the choice of the next check."""
        sets = self._sets(given)
        if not sets:
            return 0.0
        return (sets + LEAST_SETS) * sum(folder == "checks" for folder, _ in self.entries(given))

    def _sets(self, given: Mapping[str, Any]) -> float:
        try:
            model = self._bench.model(self._bench.case(given))
        except UNFIT:
            return 0.0
        count = len(model.candidates) + 1
        return float(math.comb(count, 2) + count + 1 if model.largest > 1 else count + 1)

    def entries(self, given: Mapping[str, Any]) -> frozenset[Entry]:
        """All entries that the answer to a case can hang on, beside the settings. Raises CaseError."""
        case = self._bench.case(given)
        return self._shared(case)[0] | set(self._named(given, case))

    def _shared(self, case: Case) -> tuple[frozenset[Entry], str, str]:
        """What all cases with these clubs can hang on, its digest, and that of the checks in it."""
        families = case.families or FULL_SWING
        if families not in self._of_clubs:
            entries = frozenset(self._for_clubs(families))
            digests = _digest(sorted(self._digests[entry] for entry in entries))
            checks = _digest(sorted(self._digests[entry] for entry in entries if entry[0] == "checks"))
            self._of_clubs[families] = entries, digests, checks
        return self._of_clubs[families]

    def _for_clubs(self, families: tuple[str, ...]) -> Iterator[Entry]:
        library, wanted = self._bench.library, frozenset(families)
        yield from (("clubs", family) for family in families if family in library.clubs)
        for folder in FOR_CLUBS:
            for name, entry in getattr(library, folder).items():
                if entry.get("refer") or wanted & _families(tuple(entry["clubs"])):
                    yield folder, name

    def _named(self, given: Mapping[str, Any], case: Case) -> Iterator[Entry]:
        """What a case calls by name, and the entries that its own words are found in."""
        proposed = (finding for proposal in case.proposed for finding in proposal["findings"])
        yield from (("symptoms", name) for name in (*case.present, *case.absent, *case.unsure, *proposed))
        yield from (("checks", name) for name in case.checks)
        library = self._bench.library
        texts = (text for text in (*given.get("also", ()), given.get("words", "")) if text not in library.symptoms)
        found = self._bench.expressions.of_all(text for text in texts if text)
        yield from (("words", proposal.entry) for proposal in found if proposal.entry in library.words)

    @cached_property
    def _settings(self) -> str:
        return _digest(self._bench.library.settings)

    @cached_property
    def _digests(self) -> dict[Entry, str]:
        library = self._bench.library
        folders = (*FOR_CLUBS, "clubs", "symptoms", "words")
        return {(folder, name): _digest(e) for folder in folders for name, e in getattr(library, folder).items()}


@lru_cache(maxsize=1024)
def _families(clubs: tuple[str, ...]) -> frozenset[str]:
    return families_of(clubs)


def _digest(value: Any) -> str:
    return digest_of_bytes(json.dumps(value, sort_keys=True).encode("utf-8", "surrogatepass"))
