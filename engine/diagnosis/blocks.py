"""Probability of the flight for every pair of causes, block by block.

A block's typical point with one club is: fault-free point + the shifts of the acting causes + the player's own
deviation, shared by all clubs + that club's own. Given the shared part the clubs are independent, so with several clubs
it is integrated by Gauss-Hermite quadrature; with one club all spreads are one Gaussian and the field is blurred once.
Many nodes read a field at the nearest place of a finer grid, and their errors even out; one club's is interpolated.

Each cause has two size nodes with weights (see ``model.size_nodes``), so that one size moves all blocks. Where a point
lands on a grid does not depend on the evidence: places are tabulated once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from arclore.engine.diagnosis.condition import GRIDS, Condition
from arclore.engine.diagnosis.even import even_normals
from arclore.engine.diagnosis.evidence import CLASS_BORDERS, SCATTER_CLASSES
from arclore.engine.diagnosis.grid import Grid, Ints
from arclore.engine.diagnosis.lookups import Lookups
from arclore.engine.quantities import Array

BROAD = len(SCATTER_CLASSES)  # the class of a set that holds "something not listed"
NODES_PER_AXIS = 5
CLOSE_NODES = 144
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
        """close: for fields that are hardly blurred, whose edges a lattice along their axes would meet all at once."""
        dimensions = len(GRIDS[block].axes)
        if clubs < 2:
            return cls(np.zeros((1, dimensions)), np.ones(1))
        shared = SHARED_AXES[block]
        if close:
            nodes = even_normals(CLOSE_NODES, shared)
            return cls(np.pad(nodes, ((0, 0), (0, dimensions - shared))), np.full(CLOSE_NODES, 1.0 / CLOSE_NODES))
        x, w = np.polynomial.hermite_e.hermegauss(NODES_PER_AXIS)
        w = w / w.sum()
        nodes = np.stack([axis.ravel() for axis in np.meshgrid(*[x] * shared, indexing="ij")], axis=1)
        weights = np.prod(np.meshgrid(*[w] * shared, indexing="ij"), axis=0).ravel()
        kept = weights > LEAST_WEIGHT
        nodes, weights = nodes[kept], weights[kept] / weights[kept].sum()
        return cls(np.pad(nodes, ((0, 0), (0, dimensions - shared))), weights)


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
    lookups: tuple[Lookups, ...]  # per condition

    def smoothed(self, c: int, field: Array, scatter: int) -> Array:
        """A likelihood field of club c with the club's own spread (and the unlisted one's) worked in."""
        spread = self.rest[c] if scatter != BROAD else np.hypot(self.rest[c], self.broad[c])
        return self.conditions[c].grids[self.block].blurred(field, spread)

    def evaluate(self, smoothed: Callable[[int, int, int], Array]) -> Array:
        """P(evidence of this block | pair of nodes), (pairs,).

        smoothed: condition, class of scatter, class of bend -> field with the spread left to the club worked in.
        """
        read = [lookups.read(partial(smoothed, c)) for c, lookups in enumerate(self.lookups)]
        result = np.zeros(len(self.scatter))
        for node, weight in enumerate(self.quadrature.weights):  # node by node: what is at hand then stays small
            density = read[0][self.lookups[0].numbers[node]]
            for of_club, lookups in zip(read[1:], self.lookups[1:], strict=True):
                density *= of_club[lookups.numbers[node]]
            density *= weight
            result += density
        return result


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


def block_table(
    nodes: BlockNodes, together: Sequence[Ints], still: Callable[[], None] = lambda: None
) -> tuple[BlockTable, Ints]:
    """Tabulate a block; the second result is the place in the table of each of the given sums of nodes.

    together: as many arrays (sums,) of nodes as may act together, node by node. still: called before each long step.
    """
    block, conditions = nodes.block, nodes.conditions
    points, own, rest = [], [], []
    bends: list[Ints] = []
    ratio = np.ones(len(together[0]))
    shared = np.arange(len(GRIDS[block].axes)) < SHARED_AXES[block]
    again = _made_again(conditions)
    quadrature = Quadrature.of(block, len(conditions), close=again is not None)
    for condition, shift, variance, bend in zip(
        conditions, nodes.shifts, nodes.variances, nodes.bend_logs, strict=True
    ):
        point = condition.fault_free_point[block] + sum(shift[node] for node in together)
        own_sd = condition.spread("own")[block]
        of_club = condition.spread("club")[block]
        left = np.hypot(of_club, condition.blur[block])
        same_club = again is not None and condition.named == again.named
        if same_club:
            own_sd, left = np.hypot(own_sd, left), np.zeros_like(left)  # one person's words before and after
        if len(conditions) < 2:
            left, own_sd = np.hypot(left, own_sd), np.zeros_like(own_sd)
        else:
            common = shared & (condition.shares_the_swing or same_club)
            carried = np.where(common, own_sd if same_club or again is None else own_sd * _own_share(again, block), 0.0)
            left, own_sd = np.hypot(left, np.sqrt(own_sd**2 - carried**2)), carried
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
    of_all = [
        np.where(shared & (again is not None and condition.named == again.named), broad, 0.0)
        for condition, broad in zip(conditions, nodes.broad, strict=True)
    ]
    if one:
        step = np.array([axis.step for axis in grids[0].axes]) * SAME_PLACE
        landed_on = [np.rint(points[0] / step).astype(np.intp)]
    else:
        landed_on = [grid.index(point) for grid, point in zip(grids, points, strict=True)]
    kept, place = _distinct([scatter, *bends, *(column for on in landed_on for column in np.atleast_2d(on.T))])
    points = [point[kept] for point in points]
    broadly = scatter[kept, None] == BROAD
    own = [
        np.where(broadly, np.hypot(sd, more), sd) if more.any() else sd for sd, more in zip(own, of_all, strict=True)
    ]
    scatter, bent = scatter[kept], np.stack(bends, axis=1)[kept]
    if one:
        lookups = [Lookups.exact(grids[0], points[0], scatter, bent[:, 0])]
    else:
        lookups = [
            Lookups.nearest(grid, _places(grid, point, quadrature.nodes, sd, still), scatter, bent[:, c], still)
            for c, (grid, point, sd) in enumerate(zip(grids, points, own, strict=True))
        ]
    table = BlockTable(
        block,
        conditions,
        tuple(points),
        tuple(own),
        tuple(rest),
        tuple(np.where(more > 0.0, 0.0, broad) for more, broad in zip(of_all, nodes.broad, strict=True)),
        scatter,
        bent,
        quadrature,
        tuple(lookups),
    )
    return table, place


def _places(grid: Grid, points: Array, nodes: Array, sd: Array, still: Callable[[], None]) -> Ints:
    """The places (nodes, pairs) of the finer grid to which the nodes of the quadrature move the points."""
    places = np.empty((len(nodes), len(points)), dtype=np.intp)
    for row, node in zip(places, nodes, strict=True):
        still()
        row[:] = grid.index(points + node * sd)
    return places


def _distinct(columns: Sequence[Ints]) -> tuple[Ints, Ints]:
    """The first of all rows that are alike, in order of the columns, and for each row the place of its like there."""
    order = np.lexsort(columns[::-1])
    new = np.append(True, np.any([column[order[1:]] != column[order[:-1]] for column in columns], axis=0))
    place = np.empty(len(order), dtype=np.intp)
    place[order] = np.cumsum(new) - 1
    return order[new], place


def _made_again(conditions: Sequence[Condition]) -> Condition | None:
    """The first condition of the club whose swing is made again in another set-up; None where none is."""
    named = [condition.named for condition in conditions]
    return next((condition for condition in conditions if named.count(condition.named) > 1), None)


def _own_share(again: Condition, block: str) -> Array:
    """How far all of one club's deviations tell of the player's own, which the other clubs share: a correlation."""
    own = again.spread("own")[block]
    whole = np.sqrt(own**2 + again.spread("club")[block] ** 2 + again.blur[block] ** 2)
    return np.asarray(np.where(again.shares_the_swing, own, 0.0) / np.maximum(whole, 1e-12))
