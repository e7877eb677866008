"""Whether a library expects, before anything is seen, the deliveries that golfers of a level have."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from arclore.engine.diagnosis.model import Model, candidates
from arclore.engine.diagnosis.moves import amounts, moved
from arclore.engine.diagnosis.posterior import prior_of_sets
from arclore.engine.geometry.arc import low_point_from_attack
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.shot import deliver, fault_free
from arclore.engine.library.problems import Problem
from arclore.engine.quantities import Array
from arclore.engine.upkeep.subject import Subject

# Usual ranges of the trade, by club family and level: common practice, no source.
ATTACK_DEG: dict[str, dict[str, tuple[float, float]]] = {
    "driver": {"skilled": (-3, 5), "intermediate": (-4, 4), "novice": (-7, 5)},
    "fairway-wood": {"skilled": (-4, -1), "intermediate": (-4, 0), "novice": (-6, 2)},
    "hybrid": {"skilled": (-5, -2), "intermediate": (-4, -1), "novice": (-6, 2)},
    "long-iron": {"skilled": (-4, -2), "intermediate": (-4, 0), "novice": (-6, 2)},
    "mid-iron": {"skilled": (-5, -2), "intermediate": (-4, -1), "novice": (-7, 2)},
    "short-iron": {"skilled": (-6, -3), "intermediate": (-5, -1), "novice": (-8, 2)},
    "wedge": {"skilled": (-7, -3), "intermediate": (-5, -1), "novice": (-8, 2)},
}
LOW_POINT_CM: dict[str, dict[str, tuple[float, float]]] = {
    "driver": {"skilled": (-20, 12), "novice": (-20, 28)},
    "fairway-wood": {"skilled": (4, 14), "novice": (-7, 21)},
    "hybrid": {"skilled": (7, 17), "novice": (-7, 20)},
    "long-iron": {"skilled": (6, 13), "novice": (-7, 20)},
    "mid-iron": {"skilled": (6, 15), "novice": (-6, 21)},
    "short-iron": {"skilled": (9, 17), "novice": (-6, 23)},
    "wedge": {"skilled": (8, 19), "novice": (-5, 22)},
}
ERROR_DEG, ERROR_CM = 1.5, 3.0  # of the arc model, allowed beside the ranges
OUTSIDE = 0.10  # of golfers, the most that may lie beyond either end
LEVELS = ("novice", "intermediate", "skilled")


def odd_priors(subject: Subject) -> Iterator[Problem]:
    """Clubs with which too many golfers of a level are expected to bottom out beyond the ranges of the trade.

    Low point against the ball (cm, + ahead) and attack angle (deg), each through the arc of the club. Causes act as
    often as the library says; fault-free players and clubs differ by its spreads.
    """
    if subject.model is None:
        return
    for family in sorted(ATTACK_DEG.keys() & subject.model.conditions.keys()):
        for level in LEVELS:
            below, above = _shares(subject, subject.model, family, level)
            if max(below, above) > OUTSIDE:
                way, share = ("behind", below) if below > above else ("ahead of", above)
                message = f"{share:.0%} of {level} golfers bottom out {way} what is usual, at most {OUTSIDE:.0%} may"
                hint = "the sizes or the commonness of causes that move the low point, or the spreads, are too large"
                yield subject.problem("club", family, ("id",), "odd-prior", message, hint)


def _shares(subject: Subject, model: Model, family: str, level: str) -> tuple[float, float]:
    """The shares of golfers whose low point lies behind and ahead of what both ranges allow."""
    club = model.conditions[family].club
    low_points = _low_points(model, club, family, level)
    spreads = subject.library.settings["spreads"]
    sd = float(np.hypot(spreads["own"][level]["low_point_cm"], spreads["club"][level]["low_point_cm"]))
    shift = np.append(low_points[:-1] - low_points[-1], [0.0, 0.0])
    means = low_points[-1] + shift[model.sets.members].sum(axis=1)
    least, most = _bounds(ATTACK_DEG[family][level], club.arc_radius_m, club.plane_deg)
    if level in LOW_POINT_CM[family]:
        behind, ahead = LOW_POINT_CM[family][level]
        least, most = max(least, behind - ERROR_CM), min(most, ahead + ERROR_CM)
    weights, places = np.histogram(means, bins=400, weights=prior(model, family, level))
    middles = (places[:-1] + places[1:]) / 2.0
    return _below((least - middles) / sd, weights), _below((middles - most) / sd, weights)


def _below(score: Array, weights: Array) -> float:
    return sum(float(w) * 0.5 * math.erfc(-float(z) / math.sqrt(2.0)) for z, w in zip(score, weights, strict=True) if w)


def _low_points(model: Model, club: Club, family: str, level: str) -> Array:
    """Low point against the ball (causes + 1,), cm, with each cause acting alone and last with none."""
    sizes = [amounts(candidate.entry, family) for candidate in model.candidates]
    names = sorted({name for size in sizes for name in size} | {"low_point_cm"})
    change = {name: np.array([*(size.get(name, 0.0) for size in sizes), 0.0]) for name in names}
    swing, set_up = moved(fault_free(club, level), club.standard, club, change)
    low_point = deliver(swing, set_up, club).low_point_m * 100.0
    return np.asarray(np.broadcast_to(low_point, (len(sizes) + 1,)))


def _bounds(attack_deg: tuple[float, float], radius_m: float, plane_deg: float) -> tuple[float, float]:
    """The low points (cm) that a range of attack angles leaves, the model's error allowed on top."""
    down, up = attack_deg[0] - ERROR_DEG, attack_deg[1] + ERROR_DEG
    behind, ahead = (float(100.0 * low_point_from_attack(angle, radius_m, plane_deg)) for angle in (up, down))
    return behind, ahead


def prior(model: Model, family: str, level: str) -> Array:
    """The prior of the model's sets for golfers of one level who hit one club."""
    entries = {candidate.id: candidate.entry for candidate in model.candidates}
    stated = np.zeros(len(model.candidates))
    for candidate in candidates(entries, [family], level, model.settings["commonness"]):
        stated[model.place[candidate.id]] = candidate.weight
    share = model.settings["unlisted_weight"]
    weights = np.append(stated / max(stated.sum(), 1e-12) * (1.0 - share), share)
    return prior_of_sets(model.sets, weights, model.settings["acting_causes"])
