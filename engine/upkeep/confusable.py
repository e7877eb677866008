"""Causes that a flight can't tell apart, and for each pair the check that tells them apart best.

How far two causes are apart is measured by the Bhattacharyya coefficient (Bhattacharyya 1943): 1 where they make
the same ball, near 0 where one ball settles it. What a club shows of a cause is taken as normal about the cause's
mean shift, as wide as fault-free players and clubs differ plus the cause's own spread of sizes; what it adds to the
scatter shows over a few balls. One cause has one swing, so the clubs are not multiplied: the most telling one counts.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Any

import numpy as np
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.next_check import SEEN_SHARE, reading
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.bearing import Entry, ratios
from arclore.engine.upkeep.subject import WITHOUT_DRILL, Subject

IN_FLIGHT = ("direction", "strike", "toe", "pace")
BALLS = 5  # over which scatter shows
SAME_FLIGHT = 0.85  # coefficient from which a flight is no help
SAME_IN_ALL = 0.98  # coefficient of flight and findings together from which nothing but a check is a help
TELLING = 2.0  # times a check must move the odds of one against the other to tell them apart


@dataclass(frozen=True)
class Pair:
    """Two causes by id, how alike their flights are (0 to 1), and the check that tells them apart best.

    ``factor``: times by which the check's more telling result moves the odds of one against the other, at most the
    library's cap on an estimate; 1 and no check where none tells.
    """

    first: str
    second: str
    flight: float
    check: str | None
    factor: float


class Flights:
    """How alike the flights of a library's causes are. Raises ValueError for a subject without a model."""

    def __init__(self, subject: Subject) -> None:
        if subject.model is None:
            raise ValueError("a library without clubs, settings or causes has no flights to compare")
        self._clubs = subject.clubs_of_cause
        self.model: Model = subject.model
        self.names = self.model.ids

    def alike(self, i: int) -> Array:
        """Likeness (causes,) of the flights of cause i and of every cause, 1 where they share no club."""
        distance = np.zeros(len(self.names))
        for club, (mean, variance, scatter) in self._seen.items():
            shared = self._plays[club][i] & self._plays[club]
            apart = _normal_distance(mean[i], variance[i], mean, variance)
            apart += BALLS * _normal_distance(0.0, scatter[i], 0.0, scatter)
            distance = np.where(shared, np.maximum(distance, apart), distance)
        return np.asarray(np.exp(-distance))

    def comparable(self, i: int) -> Array:
        """Whether each cause (causes,) shares a club with cause i."""
        return np.asarray(np.any([plays[i] & plays for plays in self._plays.values()], axis=0))

    @cached_property
    def _plays(self) -> dict[str, Array]:
        return {
            club: np.array([condition.club.family in self._clubs[name] for name in self.names])
            for club, condition in self.model.conditions.items()
        }

    @cached_property
    def _seen(self) -> dict[str, tuple[Array, Array, Array]]:
        """Per club: mean, variance and scatter variance (causes, coordinates) of what a flight shows."""
        sizes = np.array([candidate.size_spread for candidate in self.model.candidates])[:, None]
        result = {}
        for club, condition in self.model.conditions.items():
            blocks = [block for block in IN_FLIGHT if block in self.model.mean_shifts[club]]
            own, between, scatter = (condition.spread(name) for name in ("own", "club", "scatter"))
            mean = np.concatenate([self.model.mean_shifts[club][block] for block in blocks], axis=1)
            added = np.concatenate([self.model.added_variance[club][block] for block in blocks], axis=1)
            usual = np.concatenate([np.square(own[block]) + np.square(between[block]) for block in blocks])
            balls = np.concatenate([np.square(scatter[block]) for block in blocks])
            result[club] = mean, usual + np.square(sizes * mean), balls + added
        return result


def best_check(subject: Subject, first: str, second: str) -> tuple[str | None, float]:
    """The yes-or-no check that moves the odds of one cause against the other most, and how many times; None and 1."""
    clubs = subject.clubs_of_cause[first] & subject.clubs_of_cause[second]
    best: tuple[str | None, float] = (None, 1.0)
    for name in sorted({*subject.checks_of[first]} ^ {*subject.checks_of[second]}):
        if subject.clubs_of_check[name] & clubs:
            positive, negative = ratios(subject.checks[name])
            if max(positive, 1.0 / negative) > best[1]:
                best = name, float(max(positive, 1.0 / negative))
    return best


class Readings:
    """What the measuring checks of a library read of each cause. Raises ValueError for a subject without a model."""

    def __init__(self, subject: Subject) -> None:
        if subject.model is None:
            raise ValueError("a library without clubs, settings or causes has nothing to measure")
        self._subject = subject
        self._model: Model = subject.model
        self._found: dict[tuple[str, str], tuple[str, Array, float] | None] = {}

    def best(self, first: str, second: str) -> tuple[str | None, float]:
        """The measuring check that tells two causes apart best, and how many times it moves their odds.

        That is for the reading which the first cause makes on average; the caller says how far to trust it.
        """
        i, j = self._model.place[first], self._model.place[second]
        clubs = self._subject.clubs_of_cause[first] & self._subject.clubs_of_cause[second]
        best: tuple[str | None, float] = (None, 0.0)
        for name, reads in self._reads.items():
            gap = max((abs(float(read[i] - read[j])) for club, read in reads if club in clubs), default=0.0)
            best = max(best, (name, gap), key=lambda found: found[1])
        return best[0], float(np.exp(min(0.5 * best[1] ** 2, 10.0)))

    def _reading(self, club: str, quantity: str) -> tuple[str, Array, float] | None:
        """What ``reading`` gives, found once: many checks read the same."""
        if (club, quantity) not in self._found:
            self._found[club, quantity] = reading(self._model, club, quantity)
        return self._found[club, quantity]

    @cached_property
    def _reads(self) -> dict[str, list[tuple[str, Array]]]:
        """Per measuring check, per club family: mean reading (causes,) in units of what blurs it."""
        result: dict[str, list[tuple[str, Array]]] = {}
        for name, check in self._subject.checks.items():
            measured = check.get("measurement", {})
            for club, condition in self._model.conditions.items() if measured else ():
                read = self._reading(club, measured["quantity"])
                if read is not None and condition.club.family in self._subject.clubs_of_check[name]:
                    _, change, own = read
                    sd = float(np.hypot(SEEN_SHARE * own, measured["error_sd"]))
                    result.setdefault(name, []).append((condition.club.family, change / sd))
        return result


def _normal_distance(mean: Any, variance: Array, means: Any, variances: Array) -> Array:
    """Bhattacharyya distance (rows,) between a normal and each of several, independent coordinates summed."""
    both = variance + variances
    apart = 0.25 * np.square(mean - means) / both + 0.5 * np.log(both / (2.0 * np.sqrt(variance * variances)))
    return np.asarray(apart.sum(axis=-1))


def confusable(subject: Subject, least: float = SAME_FLIGHT, among: frozenset[str] | None = None) -> list[Pair]:
    """The pairs of causes of common clubs whose flights are at least this alike, likest first.

    among: causes of which each pair must have one, all where None. Raises ValueError for a subject without a model.
    """
    flights, readings = Flights(subject), Readings(subject)
    cap = float(subject.library.settings["next_check"]["greatest_estimated_ratio"])
    alike: dict[tuple[int, int], float] = {}
    for i, name in enumerate(flights.names):
        if among is None or name in among:
            likeness = np.where(flights.comparable(i), flights.alike(i), 0.0)
            for j in map(int, np.flatnonzero(likeness >= least)):
                if j != i:
                    alike.setdefault((min(i, j), max(i, j)), float(likeness[j]))
    pairs = []
    for (i, j), flight in alike.items():
        first, second = flights.names[i], flights.names[j]
        measured, factor = readings.best(first, second)
        told = best_check(subject, first, second), (measured, min(factor, cap))
        check, factor = max(told, key=lambda found: found[1])
        pairs.append(Pair(first, second, flight, check, factor))
    return sorted(pairs, key=lambda pair: (-round(pair.flight, 9), pair.first, pair.second))


def inseparable(subject: Subject) -> Iterator[Problem]:
    """Causes with the same findings and the same flight that no check tells apart."""
    if subject.model is None:
        return
    flights, readings = Flights(subject), Readings(subject)  # both work at their first use
    for first, second in _same_but_for_flight(subject, subject.model):
        i, j = (subject.model.place[name] for name in (first, second))
        likeness = float(flights.alike(i)[j]) * _findings_alike(subject, first, second)
        if likeness >= SAME_IN_ALL and readings.best(first, second)[1] < TELLING:
            message = f"nothing tells it from {second!r}: same flight, same findings, no check"
            hint = "name one of the two in a check, or merge them"
            yield subject.problem("cause", first, ("id",), "inseparable", message, hint)


def _same_but_for_flight(subject: Subject, model: Model) -> Iterator[tuple[str, str]]:
    """Pairs of causes of a common club that lead to the same findings and that the same checks speak of."""
    alike: dict[tuple[frozenset[str], frozenset[str]], list[str]] = defaultdict(list)
    for name in model.ids:
        if subject.causes[name]["stage"] not in WITHOUT_DRILL:
            findings = frozenset(link["symptom"] for link in subject.causes[name].get("leads_to", ()))
            telling = frozenset(check for check in subject.checks_of[name] if _tells(subject.checks[check]))
            alike[findings, telling].append(name)
    for names in alike.values():
        for first, second in combinations(names, 2):
            if subject.clubs_of_cause[first] & subject.clubs_of_cause[second]:
                yield first, second


def _tells(check: Entry) -> bool:
    positive, negative = ratios(check)
    return max(positive, 1.0 / negative) >= TELLING


def _findings_alike(subject: Subject, first: str, second: str) -> float:
    """Likeness of what is found beside the flight where one or the other of two causes of equal findings acts alone."""
    stated = [
        {link["symptom"]: subject.words[link["how_often"]] for link in subject.causes[name].get("leads_to", ())}
        for name in (first, second)
    ]
    pairs = [(chance, stated[1][name]) for name, chance in stated[0].items()]
    return math.prod(math.sqrt(p * q) + math.sqrt((1.0 - p) * (1.0 - q)) for p, q in pairs)
