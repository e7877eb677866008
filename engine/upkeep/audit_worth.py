"""Checks that can be expected to tell next to nothing, whoever is asked to do them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.next_check import binary_bits
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.audit_prior import LEVELS, prior
from arclore.engine.upkeep.bearing import Entry, shares
from arclore.engine.upkeep.subject import Subject

LEAST_BITS = 0.01  # of 1 bit, which is a plain yes or no


def silent_checks(subject: Subject) -> Iterator[Problem]:
    """Yes-or-no checks of which even the best expected information is too small, over all their clubs and all levels.

    That is what it is expected to tell of the acting causes (bits) before anything else is known. Checks that measure
    are left out: many causes move what they read.
    """
    model = subject.model
    if model is None:
        return
    family_of = {club: condition.club.family for club, condition in model.conditions.items()}
    priors = {club: np.stack([prior(model, family, level) for level in LEVELS]) for club, family in family_of.items()}
    for name, check in subject.checks.items():
        own = [chances for club, chances in priors.items() if family_of[club] in subject.clubs_of_check[name]]
        if not own or check["type"] == "measurement" or not subject.bearings.touched(check):
            continue
        told = _best_bits(subject, model, check, own)
        if told < LEAST_BITS:
            message = f"before anything is known it tells {told:.3f} bits at best, at least {LEAST_BITS:g} are worth it"
            hint = "name further causes that it speaks for, better figures where they can be had, or retire it"
            yield subject.problem("check", name, ("type",), "silent-check", message, hint)


def _best_bits(subject: Subject, model: Model, check: Entry, priors: Sequence[Array]) -> float:
    named = np.zeros(model.unlisted + 1, dtype=bool)
    named[[model.place[cause] for cause in subject.bearings.causes(check)]] = True
    holding = np.flatnonzero(model.sets.holding(named))
    chances = np.concatenate([own[:, holding].sum(axis=1) for own in priors])
    return float(binary_bits(chances, *shares(check)).max())
