"""Which check to do next: expected bits per minute.

The gain of a check is the mutual information between its result and "one of its causes acts" (Shannon 1948); a fixed
overhead is added to its minutes, so that a cheap question does not win by being cheap alone.
"""

from __future__ import annotations

import numpy as np

from arclore.engine.quantities import Array, Number


def binary_entropy(p: Number) -> Array:
    """Entropy of a yes/no with chance p, in bits; 0 at p = 0 and p = 1."""
    p = np.asarray(p, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        h = -p * np.log2(p) - (1 - p) * np.log2(1 - p)
    result: Array = np.where((p <= 0) | (p >= 1), 0.0, h)
    return result


def binary_bits(chance: Number, sensitivity: Number, specificity: Number) -> Array:
    """Expected bits of a check that is positive with `sensitivity` where one of its causes acts."""
    positive = chance * np.asarray(sensitivity) + (1 - np.asarray(chance)) * (1 - np.asarray(specificity))
    result: Array = (
        binary_entropy(positive)
        - chance * binary_entropy(sensitivity)
        - (1 - np.asarray(chance)) * binary_entropy(specificity)
    )
    return result


def bits_of_rates(probability: Array, positive_rate: Array) -> float:
    """Expected bits of a check that is positive at the given rate in each set of causes, both (sets,)."""
    overall = float(probability @ positive_rate)
    return float(binary_entropy(overall) - probability @ binary_entropy(positive_rate))
