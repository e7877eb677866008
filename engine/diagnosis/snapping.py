"""Rows brought together: those that nearly agree as one, and so many groups at most that a large library stays quick.

The group whose rows differ most, by their weight, is cut in two across the coordinate in which they differ most, until
there are enough groups. Source: Wan, Wong and Prusinkiewicz 1988, "An algorithm for multidimensional data clustering"
(there for the colours of a picture).
"""

from __future__ import annotations

import heapq

import numpy as np
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.quantities import Array


def groups(rows: Array, weights: Array, most: int | None, same: float) -> Ints:
    """The group (rows,) of each row, from 0 and none left out. rows: (rows, coordinates); weights: (rows,) > 0.

    Rows that agree to about `same` in every coordinate are one; where more than `most` groups are left, the nearest are
    brought together (None: never).
    """
    _, first, alike = np.unique(np.rint(rows / same).astype(np.int64), axis=0, return_index=True, return_inverse=True)
    alike = alike.ravel()
    if most is None or len(first) <= most:
        return alike
    whole = np.bincount(alike, weights).astype(float)
    return _cut(rows[first], whole, most)[alike]


def means(rows: Array, weights: Array, group: Ints) -> Array:
    """The weighted mean row of every group, (groups, coordinates)."""
    whole = np.bincount(group, weights)
    return np.stack([np.bincount(group, weights * column) / whole for column in rows.T], axis=1)


def _cut(rows: Array, weights: Array, most: int) -> Ints:
    waiting = [_apart(rows, weights, np.arange(len(rows)))]
    while len(waiting) < most:
        _, _, members, column, middle = heapq.heappop(waiting)
        low = rows[members, column] <= middle
        for part in (members[low], members[~low]):
            heapq.heappush(waiting, _apart(rows, weights, part))
    group = np.empty(len(rows), dtype=np.intp)
    for number, (_, _, members, _, _) in enumerate(waiting):
        group[members] = number
    return group


def _apart(rows: Array, weights: Array, members: Ints) -> tuple[float, int, Ints, int, float]:
    """Rows as an entry of the heap: how little they differ, the first of them, all, and where they are to be cut."""
    share = weights[members] / weights[members].sum()
    middle = share @ rows[members]
    squares = weights[members] @ (rows[members] - middle) ** 2
    column = int(squares.argmax())
    return -float(squares.sum()), int(members[0]), members, column, float(middle[column])
