"""How firm the lead is: the number that would have to move least before another cause leads, and how far.

Looked at, one at a time and all others kept: how common the leader is, how often it shows each finding told, how often
each check told is right, and every measured figure.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from arclore.engine.diagnosis.measured import USUAL_ERROR
from arclore.engine.diagnosis.posterior import Finding, check_factor, marginals, normalised, prior_of_sets
from arclore.engine.diagnosis.ranking import Answer, Ranking
from arclore.engine.diagnosis.sensitivity import logit, response
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array

LEAST_COMMON = 2.0**-8  # times as common as stated: the lead of a cause that leads even then is firm
MOST_ERRORS = 3  # standard errors that a measured figure is moved by, each way
HALVINGS = 10


@dataclass(frozen=True)
class Turn:
    """A number that turns the lead. kind: how_common (times as common as stated), link, sensitivity, specificity or
    measured; now, until: what it is and where the lead changes; leader: who leads beyond it; distance: in bits of odds,
    for a measured figure in standard errors."""

    kind: str
    answer: Answer | None
    now: float
    until: float
    leader: int
    distance: float


def turns(ranking: Ranking) -> list[Turn]:
    """The numbers that could change the lead, the one that would have to move least first."""
    if not ranking.model.candidates:
        return []
    leader = int(ranking.marginal[:-1].argmax())
    found = [*_of_commonness(ranking, leader), *_of_stated(ranking, leader), *_of_measured(ranking, leader)]
    return sorted(found, key=lambda turn: turn.distance)


def _of_commonness(ranking: Ranking, leader: int) -> Iterator[Turn]:
    """Were the leader less common than stated."""
    model, seen = ranking.model, ranking.probability / ranking.model.prior

    def leads(log2_times: float) -> int:
        weights = model.weights.copy()
        weights[leader] *= 2.0**log2_times
        prior = prior_of_sets(model.sets, weights, model.settings["acting_causes"])
        return int(marginals(model.sets, prior * seen)[:-1].argmax())

    found = _border(leads, leader, 0.0, float(np.log2(LEAST_COMMON)))
    if found is not None:
        yield Turn("how_common", None, 1.0, 2.0 ** found[0], found[1], -found[0])


def _of_stated(ranking: Ranking, leader: int) -> Iterator[Turn]:
    """Were a stated frequency another one. Findings that share what they tell with others are left out."""
    model = ranking.model
    everything = frozenset(ranking.answers)
    for answer in ranking.answers:
        for kind, now, factor in _stated(ranking, leader, answer):
            rest = ranking.other(everything - {answer}) * ranking.flight(everything)
            at = np.array([0.02, 0.5, 0.98])
            chances = np.array([marginals(model.sets, normalised(rest * factor(value)))[:-1] for value in at])
            reply = response(at, chances)
            span = reply.leader_range(leader)
            for until, beyond in zip(span or (), (-1e-6, 1e-6), strict=False):
                if 0.0 < until < 1.0:
                    distance = float(abs(logit(until) - logit(now)) / np.log(2.0))
                    yield Turn(kind, answer, now, until, int(reply(until + beyond).argmax()), distance)


def _stated(
    ranking: Ranking, leader: int, answer: Answer
) -> Iterator[tuple[str, float, Callable[[float], Array]]]:
    """The stated numbers by which an answer bears on the leader: kind, value, and the answer's factor at any value."""
    sets = ranking.model.sets
    if answer.kind == "finding" and answer.value in ("present", "absent") and ranking.counted(answer) == 1.0:
        links, leak = ranking.links(answer.name)
        make = Finding.absent if answer.value == "absent" else Finding.present
        if links[leader] > 0:
            place = np.arange(len(links)) == leader
            yield "link", float(links[leader]), lambda value: make(np.where(place, value, links), leak).factor(sets)
    elif answer.kind == "check":
        test = test_of(ranking.model, ranking.checks[answer.name])
        positive = answer.value == test.positive
        if answer.value in (test.positive, test.negative):
            rates = {"sensitivity": test.sensitivity, "specificity": test.specificity}
            for kind, now in rates.items():

                def factor(value: float, kind: str = kind) -> Array:
                    at = {**rates, kind: value}
                    return check_factor(sets, test.members, at["sensitivity"], at["specificity"], positive)

                yield kind, now, factor


def _of_measured(ranking: Ranking, leader: int) -> Iterator[Turn]:
    """Had a measured figure been another one."""
    for answer in ranking.answers:
        if answer.kind == "measured" and answer.value[0] == answer.value[1]:
            yield from _of_figure(ranking, leader, answer)


def _of_figure(ranking: Ranking, leader: int, answer: Answer) -> Iterator[Turn]:
    now, _, error = answer.value
    step = USUAL_ERROR[answer.variable] if error is None else error
    others = frozenset(ranking.answers) - {answer}

    def leads(errors: float) -> int:
        value = now + errors * step
        moved = others | {replace(answer, value=(value, value, error))}
        return int(marginals(ranking.model.sets, ranking.posterior(moved))[:-1].argmax())

    for end in (-MOST_ERRORS, MOST_ERRORS):
        found = _border(leads, leader, 0.0, float(end))
        if found is not None:
            yield Turn("measured", answer, now, now + found[0] * step, found[1], abs(found[0]))


def _border(leads: Callable[[float], int], leader: int, near: float, far: float) -> tuple[float, int] | None:
    """Where between near, where the leader leads, and far another cause takes over, and which; None where none does."""
    beyond = leads(far)
    if beyond == leader:
        return None
    for _ in range(HALVINGS):
        middle = 0.5 * (near + far)
        other = leads(middle)
        near, far, beyond = (middle, far, beyond) if other == leader else (near, middle, other)
    return far, beyond
