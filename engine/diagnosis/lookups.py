"""Where the pairs of a block read the fields of one club: thousands of pairs come to far fewer places.

Each class of scatter and bend has a field of its own. A place is interpolated once in the field of its class; after
that a pair only looks its place up by number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from arclore.engine.diagnosis.grid import Grid, Ints, interpolated
from arclore.engine.quantities import Array

FieldOf = Callable[[int, int], Array]
"""The smoothed field of a club for a class of scatter and a class of bend."""


@dataclass(frozen=True)
class Lookups:
    """The places of one club, class by class, and the place of every pair at every node of the quadrature.

    classes: class of scatter, class of bend, and which of the places they have. corners, shares: (corners, places) to
    interpolate by. numbers: (nodes, pairs), each the number of a place.
    """

    classes: tuple[tuple[int, int, slice], ...]
    corners: Ints
    shares: Array
    numbers: Ints

    @classmethod
    def exact(cls, grid: Grid, points: Array, scatter: Ints, bend: Ints) -> Lookups:
        """Every pair has a place of its own, at its very point; pairs of one class lie together."""
        starts = np.flatnonzero(np.append(True, (np.diff(scatter) != 0) | (np.diff(bend) != 0)))
        ends = np.append(starts[1:], len(scatter))
        classes = tuple(
            (int(scatter[start]), int(bend[start]), slice(int(start), int(end)))
            for start, end in zip(starts, ends, strict=True)
        )
        return cls(classes, *grid.corners(points), np.arange(len(points))[None, :])

    @classmethod
    def nearest(cls, grid: Grid, places: Ints, scatter: Ints, bend: Ints, still: Callable[[], None]) -> Lookups:
        """places: (nodes, pairs) on the finer grid. still: called before each long step."""
        classes, found = [], []
        numbers = np.empty(places.shape, dtype=np.intp)
        number_of = np.empty(grid.places, dtype=np.intp)
        start = 0
        for of_scatter, of_bend, where in _classes(scatter, bend):
            still()
            own = places[:, where]
            used = np.zeros(grid.places, dtype=bool)
            used[own] = True
            found.append(np.flatnonzero(used))
            end = start + len(found[-1])
            number_of[found[-1]] = np.arange(start, end)
            numbers[:, where] = number_of[own]
            classes.append((of_scatter, of_bend, slice(start, end)))
            start = end
        return cls(tuple(classes), *grid.around(np.concatenate(found)), numbers)

    def read(self, field_of: FieldOf) -> Array:
        """What the fields say at every place, (places,)."""
        result = np.empty(self.corners.shape[1])
        for scatter, bend, where in self.classes:
            result[where] = interpolated(field_of(scatter, bend), self.corners[:, where], self.shares[:, where])
        return result


def _classes(scatter: Ints, bend: Ints) -> Iterator[tuple[int, int, Ints]]:
    """Each class that occurs, and its pairs."""
    bends = int(bend.max()) + 1
    of_pair = scatter * bends + bend
    for one in np.unique(of_pair):
        yield *divmod(int(one), bends), np.flatnonzero(of_pair == one)
