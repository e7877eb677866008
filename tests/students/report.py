"""What is read off simulated lessons: hits, calibration with its sampling noise, losses, families."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from arclore.engine.quantities import Array

from tests.diagnosis.formulas import calibration_error, equal_counts
from tests.students.drawn import Ints

BINS = 10
REPEATS = 200  # of a perfectly calibrated engine, to know what chance alone does to the calibration
LEAST = 1e-9


def acts(members: Ints, causes: int) -> Array:
    """Whether each listed cause acts (students, causes)."""
    result = np.zeros((len(members), causes + 2), dtype=bool)
    np.put_along_axis(result, np.where(members < 0, causes + 1, members), True, axis=1)
    return result[:, :causes]


def hits(chance: Array, truth: Array, first: int) -> float:
    """Share of students with an acting cause among the `first` most probable. chance, truth: (students, causes)."""
    best = np.argsort(-chance, axis=1, kind="stable")[:, :first]
    return float(np.take_along_axis(truth, best, axis=1).any(axis=1).mean())


def leaders(chance: Array, truth: Array) -> tuple[Array, Array]:
    """The leader's probability, and whether it acts."""
    best = np.argmax(chance, axis=1)[:, None]
    return np.take_along_axis(chance, best, axis=1)[:, 0], np.take_along_axis(truth, best, axis=1)[:, 0]


def calibration(chance: Array, truth: Array, random: np.random.Generator) -> tuple[float, float]:
    """Calibration error of the leader in 10 equal-count bins, and that of a perfect engine for so many students."""
    confidence, right = leaders(chance, truth)
    borders = equal_counts(confidence, BINS)
    perfect = [
        calibration_error(confidence, random.random(len(confidence)) < confidence, borders) for _ in range(REPEATS)
    ]
    return calibration_error(confidence, right, borders), float(np.mean(perfect))


def log_loss(chance: Array, truth: Array) -> Array:
    """-ln of what was said of every cause, summed: nats a student, (students,)."""
    p = np.clip(chance, LEAST, 1.0 - LEAST)
    return np.asarray(-np.where(truth, np.log(p), np.log1p(-p)).sum(axis=1))


def by_family(chance: Array, truth: Array, families: Sequence[str], first: int) -> list[tuple[str, int, float]]:
    """Family, how many acting causes, and the share of them whose family is among the first: commonest first."""
    names = np.array(families)
    best = names[np.argsort(-chance, axis=1, kind="stable")[:, :first]]
    students, causes = np.nonzero(truth)
    right = (best[students] == names[causes][:, None]).any(axis=1)
    rows = [
        (str(f), int((names[causes] == f).sum()), float(right[names[causes] == f].mean())) for f in set(names[causes])
    ]
    return sorted(rows, key=lambda row: (-row[1], row[0]))
