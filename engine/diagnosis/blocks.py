"""Probability of the flight for every pair of causes, block by block.

A block's typical point with one club is: fault-free point + the shifts of the acting causes + the player's own
deviation, shared by all clubs + that club's own. Given the shared part the clubs are independent, so with several clubs
it is integrated by Gauss-Hermite quadrature; with one club all spreads are one Gaussian and the field is blurred once.
Many nodes look a finer field up at the nearest place, and their errors even out; one club's field is interpolated.

Each cause has two size nodes with weights (see ``model.size_nodes``), so that one size moves all blocks. Where a point
lands on a grid does not depend on the evidence: places are tabulated once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.condition import GRIDS, Condition
from arclore.engine.diagnosis.evidence import CLASS_BORDERS, SCATTER_CLASSES
from arclore.engine.quantities import Array

Ints = npt.NDArray[np.intp]
BROAD = len(SCATTER_CLASSES)  # the class of a set that holds "something not listed"
NODES_PER_AXIS = 5
CLOSE_END, CLOSE_STEP = 2.75, 0.5  # standard deviations
SAME_PLACE = 1 / 64  # of a step of the grid: pairs of one club that lie nearer count as one
LEAST_WEIGHT = 1e-3  # of a node: the four corners of a square hold 5 in 10,000 and cost a sixth of the time
SHARED_AXES = {"direction": 2, "strike": 2, "toe": 1, "pace": 1, "body": 1, "line": 1}  # loft's own stays per club


@dataclass(frozen=True)
class Quadrature:
    """Gauss-Hermite nodes (q, dimensions) and weights (q,) of a standard normal."""

    nodes: Array
    weights: Array

    @classmethod
    def of(cls, block: str, clubs: int, close: bool = False) -> Quadrature:
        """close: for fields that are hardly blurred, evenly spaced nodes instead of the few of Gauss."""
        dimensions = len(GRIDS[block].axes)
        if clubs < 2:
            return cls(np.zeros((1, dimensions)), np.ones(1))
        x, w = np.polynomial.hermite_e.hermegauss(NODES_PER_AXIS)
        if close:
            x = np.arange(-CLOSE_END, CLOSE_END + CLOSE_STEP / 2, CLOSE_STEP)
            w = np.exp(-0.5 * x**2)
        w = w / w.sum()
        shared = SHARED_AXES[block]
        nodes = np.stack([axis.ravel() for axis in np.meshgrid(*[x] * shared, indexing="ij")], axis=1)
        weights = np.prod(np.meshgrid(*[w] * shared, indexing="ij"), axis=0).ravel()
        kept = weights > LEAST_WEIGHT
        nodes, weights = nodes[kept], weights[kept] / weights[kept].sum()
        return cls(np.pad(nodes, ((0, 0), (0, dimensions - shared))), weights)


@dataclass(frozen=True)
class Kind:
    """A class of pairs: an index into SCATTER_CLASSES or BROAD, and the class of bend with each club."""

    scatter: int
    bends: tuple[int, ...]


@dataclass(frozen=True)
class BlockTable:
    """Where every pair of nodes lands on the grid of every club that has something to say of this block.

    Pairs that land on the same places in all clubs and have the same scatter class are one pair here.
    """

    block: str
    conditions: tuple[Condition, ...]
    points: tuple[Array, ...]  # per condition (pairs, dimensions): the typical point without the player's own deviation
    own: tuple[Array, ...]  # per condition (pairs or none, dimensions): shared spread, used by the quadrature
    rest: tuple[Array, ...]  # per condition (dimensions,): spread left to this club
    broad: tuple[Array, ...]  # per condition (dimensions,): what "something not listed" adds, where it is not in own
    scatter: Ints  # (pairs,), index into SCATTER_CLASSES or BROAD; pairs of one class lie together
    bends: Ints  # (pairs, conditions): class of bend with each club; pairs of one class lie together
    quadrature: Quadrature
    places: tuple[npt.NDArray[np.int32], ...]  # per condition (q, pairs); with one club (corners, pairs)
    shares: Array | None  # (corners, pairs) of the places of one club; None with several

    def smoothed(self, c: int, field: Array, scatter: int) -> Array:
        """A likelihood field of club c with the club's own spread (and the unlisted one's) worked in."""
        spread = self.rest[c] if scatter != BROAD else np.hypot(self.rest[c], self.broad[c])
        return self.conditions[c].grids[self.block].blurred(field, spread)

    def fine(self, c: int, field: Array, scatter: int) -> Array:
        """A smoothed field of club c, flat, on the grid in which places are counted."""
        smoothed = self.smoothed(c, field, scatter)
        return smoothed.ravel() if self.shares is not None else self.conditions[c].grids[self.block].fine(smoothed)

    def evaluate(self, fine: Callable[[int, Kind], Array]) -> Array:
        """P(evidence of this block | pair of nodes), (pairs,). fine: condition, class of pairs -> ``fine`` field."""
        result = np.empty(len(self.scatter))
        for kind, where in self.classes:
            if self.shares is not None:
                result[where] = (fine(0, kind)[self.places[0][:, where]] * self.shares[:, where]).sum(axis=0)
                continue
            density = fine(0, kind)[self.places[0][:, where]]
            for c, places in enumerate(self.places[1:], start=1):
                density *= fine(c, kind)[places[:, where]]
            result[where] = self.quadrature.weights @ density
        return result

    @cached_property
    def classes(self) -> list[tuple[Kind, slice]]:
        """Each class of pairs that occurs, and where its pairs lie."""
        rows = np.column_stack([self.scatter, self.bends])
        starts = np.flatnonzero(np.append(True, (rows[1:] != rows[:-1]).any(axis=1)))
        ends = np.append(starts[1:], len(rows))
        return [
            (Kind(int(rows[start, 0]), tuple(map(int, rows[start, 1:]))), slice(int(start), int(end)))
            for start, end in zip(starts, ends, strict=True)
        ]


@dataclass(frozen=True)
class BlockNodes:
    """What the members of sets add in a block with each condition; node 0 is "no cause".

    shifts: (nodes, dimensions). variances: (nodes, dimensions) of ball-to-ball scatter. bend_logs: (nodes,), how much
    more a face to path bends the ball. broad: (dimensions,), the spread that "something not listed", the last node,
    adds. of_member: (members + 1, 2) the nodes of each member at its two sizes, the last row "no cause".
    """

    block: str
    conditions: tuple[Condition, ...]
    shifts: tuple[Array, ...]
    variances: tuple[Array, ...]
    bend_logs: tuple[Array, ...]
    broad: tuple[Array, ...]
    of_member: Ints

    @property
    def unlisted(self) -> int:
        return len(self.shifts[0]) - 1


def block_table(nodes: BlockNodes, together: Sequence[Ints]) -> tuple[BlockTable, Ints]:
    """Tabulate a block; the second result is the place in the table of each of the given sums of nodes.

    together: as many arrays (sums,) of nodes as may act together, node by node.
    """
    block, conditions = nodes.block, nodes.conditions
    points, own, rest, bends = [], [], [], []
    ratio = np.ones(len(together[0]))
    shared = np.arange(len(GRIDS[block].axes)) < SHARED_AXES[block]
    one_club = len({condition.named for condition in conditions}) == 1  # under several set-ups: its own part is shared
    quadrature = Quadrature.of(block, len(conditions), close=one_club and len(conditions) > 1)
    for condition, shift, variance, bend in zip(
        conditions, nodes.shifts, nodes.variances, nodes.bend_logs, strict=True
    ):
        point = condition.fault_free_point[block] + sum(shift[node] for node in together)
        own_sd = condition.spread("own")[block]
        of_club = condition.spread("club")[block]
        left = np.hypot(of_club, condition.blur[block])
        if one_club and len(conditions) > 1:
            own_sd, left = np.hypot(own_sd, left), np.zeros_like(left)  # one person's words before and after
        if len(conditions) < 2:
            left, own_sd = np.hypot(left, own_sd), np.zeros_like(own_sd)
        else:
            common = shared & (condition.shares_the_swing or one_club)
            left, own_sd = np.hypot(left, np.where(common, 0.0, own_sd)), np.where(common, own_sd, 0.0)
        base = condition.spread("scatter")[block] ** 2
        more = 1.0 + sum(variance[node] for node in together) / np.maximum(base, 1e-9)
        ratio = np.maximum(ratio, np.sqrt(more.max(axis=1)))
        points.append(point)
        own.append(own_sd)
        rest.append(left)
        bends.append(condition.bend_class(np.asarray(sum(bend[node] for node in together))))
    scatter = np.searchsorted(CLASS_BORDERS, ratio).astype(np.intp)
    scatter[np.any([node == nodes.unlisted for node in together], axis=0)] = BROAD
    grids = [condition.grids[block] for condition in conditions]
    one = len(conditions) == 1
    # under several set-ups something not listed is the same thing: what it adds is shared, as the own part is
    of_all = [np.where(shared & (one_club and not one), broad, 0.0) for broad in nodes.broad]
    if one:
        step = np.array([axis.step for axis in grids[0].axes]) * SAME_PLACE
        landed_on = [np.rint(points[0] / step).astype(np.intp)]
    else:
        landed_on = [grid.index(point) for grid, point in zip(grids, points, strict=True)]
    landed = np.column_stack([scatter, *bends, *landed_on])
    _, kept, place = np.unique(landed, axis=0, return_index=True, return_inverse=True)
    points = [point[kept] for point in points]
    broadly = scatter[kept, None] == BROAD
    own = [
        np.where(broadly, np.hypot(sd, more), sd) if more.any() else sd for sd, more in zip(own, of_all, strict=True)
    ]
    shares = None
    if one:
        corners, shares = grids[0].corners(points[0])
        places = [corners.astype(np.int32)]
    else:
        places = [
            grid.index(point + quadrature.nodes[:, None, :] * sd).astype(np.int32)
            for grid, point, sd in zip(grids, points, own, strict=True)
        ]
    table = BlockTable(
        block,
        conditions,
        tuple(points),
        tuple(own),
        tuple(rest),
        tuple(np.where(more > 0.0, 0.0, broad) for more, broad in zip(of_all, nodes.broad, strict=True)),
        scatter[kept],
        np.stack(bends, axis=1)[kept],
        quadrature,
        tuple(places),
        shares,
    )
    return table, place.ravel()
