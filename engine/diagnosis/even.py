"""Points that fill a few dimensions evenly: fewer do than drawn ones, and they are the same every time."""

from __future__ import annotations

import numpy as np
from arclore.engine.quantities import Array


def even_normals(count: int, dimensions: int) -> Array:
    """Standard normal values (count, dimensions) from an additive recurrence; each dimension has variance 1.

    Its ratios are powers of the root of x^(d + 1) = x + 1, d dimensions: the golden ratio and what follows it.
    """
    from scipy.special import ndtri

    root = max(np.roots([1.0, *[0.0] * (dimensions - 1), -1.0, -1.0]).real)
    places = (0.5 + np.outer(np.arange(1, count + 1), root ** -np.arange(1.0, dimensions + 1))) % 1.0
    normals = ndtri(places)
    return np.asarray(normals / np.sqrt(np.square(normals).mean(axis=0)))
