"""Checks that can be expected to tell next to nothing, whoever is asked to do them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.next_check import binary_bits
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.audit_prior import LEVELS, prior
from arclore.engine.upkeep.bearing import shares
from arclore.engine.upkeep.subject import Subject

LEAST_BITS = 0.01  # of 1 bit, which is a plain yes or no


def silent_checks(subject: Subject) -> Iterator[Problem]:
    """Yes-or-no checks of which even the best expected information is too small, over all their clubs and all levels.

    That is what it is expected to tell of the acting causes (bits) before anything else is known. Checks that measure
    are left out: many causes move what they read.
    """
    if subject.model is None:
        return
    for name, told in _best_bits(subject, subject.model).items():
        if told < LEAST_BITS:
            message = f"before anything is known it tells {told:.3f} bits at best, at least {LEAST_BITS:g} are worth it"
            hint = "name further causes that it speaks for, better figures where they can be had, or retire it"
            yield subject.problem("check", name, ("type",), "silent-check", message, hint)


def _best_bits(subject: Subject, model: Model) -> dict[str, float]:
    """What each yes-or-no check for a club of the model tells with the club and level where it tells most (bits)."""
    checks = {
        name: check
        for name, check in subject.checks.items()
        if check["type"] != "measurement" and subject.bearings.touched(check)
    }
    causes = {name: subject.bearings.causes(check) for name, check in checks.items()}
    place = {named: row for row, named in enumerate(dict.fromkeys(causes.values()))}  # many speak of the same causes
    holds = np.zeros((len(place), model.unlisted + 1))
    for named, row in place.items():
        holds[row, [model.place[cause] for cause in named if cause in model.place]] = 1.0
    best: dict[str, float] = {}
    for condition in model.conditions.values():
        family = condition.club.family
        own = [name for name in checks if family in subject.clubs_of_check[name]]
        rows = [place[causes[name]] for name in own]
        sure = [shares(checks[name]) for name in own]
        for level in LEVELS if own else ():
            chances = _chances(model, prior(model, family, level), holds)[rows]
            told = binary_bits(chances, *np.transpose(sure))
            best |= {name: max(best.get(name, 0.0), bits) for name, bits in zip(own, told.tolist(), strict=True)}
    return best


def _chances(model: Model, prior_of_sets: Array, holds: Array) -> Array:
    """How likely it is that any cause of each row acts; holds: 1 for those it names, else 0 (rows, members).

    A set holds two members at most: the chance of each pair stands in a square, and each row takes what is left out.
    """
    count = holds.shape[1] + 1  # with the place of no cause
    first, second = model.sets.columns[0], model.sets.columns[-1]
    pairs = np.bincount(first * count + second, prior_of_sets, count * count).reshape(count, count)
    others = np.append(1.0 - holds, np.ones((len(holds), 1)), axis=1)
    return np.asarray(prior_of_sets.sum() - ((others @ pairs) * others).sum(axis=1))
