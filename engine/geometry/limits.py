"""Checks of ranges, at the boundary of the geometry: one clear line for a number that makes no sense."""

from __future__ import annotations

import numpy as np
from arclore.engine.quantities import Array, Number


def within(name: str, value: Number, low: float, high: float, unit: str) -> Array:
    """The value as a float array, or ValueError naming the quantity, the bad value and the range."""
    array = np.asarray(value, dtype=float)
    good = (array >= low) & (array <= high)  # NaN fails both
    if not good.all():
        bad = float(array[~good].flat[0]) if array.ndim else float(array)
        raise ValueError(f"{name} is {bad:g}; give a number from {low:g} to {high:g} {unit}".rstrip())
    return array
