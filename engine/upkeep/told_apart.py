"""Which causes one library tells apart and another no longer does.

Two causes are told apart by the flight where they make different balls, else by a check that moves the odds of one
against the other at least ``TELLING`` times.
"""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.confusable import TELLING, Pair, confusable
from arclore.engine.upkeep.laid import Laid
from arclore.engine.upkeep.subject import Subject
from arclore.engine.upkeep.weighed import weighed

BY_FLIGHT, BY_CLUBS = "the flight", "the clubs they are for"
Names = tuple[str, str]


@dataclass(frozen=True)
class Merged:
    """Causes, by id, that the second library no longer tells apart, and what tells some of them apart in the first.

    ``told_by``: ids of checks, BY_FLIGHT and BY_CLUBS; empty where a cause of each pair is new.
    """

    causes: tuple[str, ...]
    told_by: tuple[str, ...]


def no_longer_told_apart(a: Library, b: Library, cache: Cache = NO_CACHE) -> list[Merged]:
    """The sets of causes of ``b`` that it does not tell apart while ``a`` does, or does not have, in order of ids.

    Empty where a library lacks the settings, clubs or causes that a flight needs.
    """
    laid = Laid(cache)
    first = Subject(weighed(a), ready=laid.bring)
    second = Subject(weighed(b), like=first, ready=laid.bring)
    among = _touched(first, second)
    if among is not None and not among:
        return []
    if first.model is None or second.model is None:
        return []
    before = {(pair.first, pair.second): pair for pair in confusable(first, among=among)}
    lost = nx.Graph()
    for pair in confusable(second, among=among):
        names = pair.first, pair.second
        if not _told(pair) and (names not in before or _told(before[names])):
            lost.add_edge(*names, told_by=_told_by(names, before, first))
    laid.keep()
    return sorted((_merged(lost, causes) for causes in nx.connected_components(lost)), key=lambda each: each.causes)


def _told(pair: Pair) -> bool:
    return pair.factor >= TELLING


def _told_by(names: Names, before: dict[Names, Pair], subject: Subject) -> str | None:
    """What tells two causes apart in the first library; None where it does not have both."""
    if names in before:
        return before[names].check
    if not set(names) <= subject.clubs_of_cause.keys():
        return None
    one, other = (subject.clubs_of_cause[name] for name in names)
    return BY_FLIGHT if one & other else BY_CLUBS


def _merged(lost: nx.Graph, causes: set[str]) -> Merged:
    told = {told_by for *_, told_by in lost.subgraph(causes).edges(data="told_by")}
    return Merged(tuple(sorted(causes)), tuple(sorted(told - {None})))


def _touched(first: Subject, second: Subject) -> frozenset[str] | None:
    """The causes that something which differs between the libraries bears on; None where it bears on all."""
    a, b = first.library, second.library
    if a.clubs != b.clubs or a.settings != b.settings:
        return None
    touched = {name for name in {*first.causes, *second.causes} if first.causes.get(name) != second.causes.get(name)}
    for name in {*first.checks, *second.checks}:
        if first.checks.get(name) == second.checks.get(name):
            continue
        for subject in (first, second):
            check = subject.checks.get(name)
            if check is not None and check["type"] == "measurement":
                return None
            touched |= frozenset() if check is None else subject.bearings.causes(check)
    return frozenset(touched)
