"""The hypotheses of one lesson: candidate causes for these clubs and this level, their sets, and their geometry.

Built once for a library, a choice of clubs and a level; every answer after that only looks numbers up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from arclore.engine.diagnosis.blocks import BlockNodes, BlockTable, block_table
from arclore.engine.diagnosis.condition import BLOCKS, Condition
from arclore.engine.diagnosis.confirmed import NOTHING, Learned
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.kept import Kept
from arclore.engine.diagnosis.landings import Change
from arclore.engine.diagnosis.moves import amounts, covers
from arclore.engine.diagnosis.posterior import Sets, all_sets, prior_of_sets
from arclore.engine.diagnosis.snapping import groups, means
from arclore.engine.quantities import Array

Made = TypeVar("Made")
LARGEST_SIZE_SPREAD = 0.8  # of a cause's size: more is another cause
LEAST_SHIFT = 0.02  # in steps of the grid: a cause that moves a block by less leaves it alone
MOST_NODES = 400  # of one block: of more, the nearest are brought together, so that a large library stays quick
LEAST_PUT_RIGHT = 1.0  # in steps of the grid: a set-up put right that moves a block by less says nothing of it
BEND_LOG_STEP = 0.1  # a change of bend log that counts as one step of the grid when nodes are brought together
FINEST_SNAP = 0.05  # in steps of the grid
SIZE_NODES = ((0, 0), (0, 1), (1, 0), (1, 1))  # which of its two sizes each of two causes has
MOST_KEPT = 96_000_000  # bytes of fields and blocks, which serve the next answers of a lesson


@dataclass(frozen=True)
class Candidate:
    """A cause as the inference sees it."""

    id: str
    entry: Mapping[str, Any]
    weight: float
    size_spread: float  # v: how much its size differs between people, as a share of the size

    @property
    def either_way(self) -> bool:
        """Whether it moves the delivery one way or the other, in the mean not at all: as broad as an unlisted one."""
        return any(move["size"] == 0 for move in self.entry.get("moves", ()))


def size_nodes(spread: float) -> tuple[Array, Array]:
    """Two sizes of a cause and their weights: the Gauss points of a gamma distribution with mean 1 and this spread.

    A cause's size varies between people but never changes its sign; the two points match mean, variance and skewness.
    """
    root = np.sqrt(1.0 + spread**2)
    sizes = 1.0 + spread * (spread + np.array([-root, root]))
    return sizes, 0.5 * (1.0 + np.array([1.0, -1.0]) * spread / root)


def size_spread(cause: Mapping[str, Any]) -> float:
    """One spread for all moves of a cause: the moves' own, weighted by how much each moves (root mean square)."""
    moves = cause.get("moves", ())
    strength = sum(move["size"] ** 2 for move in moves)
    if strength == 0:
        return 0.0
    ratios = sum(
        min(move["size_sd"] / abs(move["size"]), 2.0) ** 2 * move["size"] ** 2 for move in moves if move["size"]
    )
    return float(min(np.sqrt(ratios / strength), LARGEST_SIZE_SPREAD))


def candidates(
    causes: Mapping[str, Mapping[str, Any]], families: Sequence[str], level: str, commonness: Mapping[str, float]
) -> list[Candidate]:
    """The causes that bear on any of these club families, in order of id, retired ones left out."""
    chosen = []
    for name in sorted(causes):
        entry = causes[name]
        if "retired" in entry or not any(covers(entry["clubs"], family) for family in families):
            continue
        stated = entry["how_common"]
        levels = [level] if level in stated else list(stated)  # not known: the mean over all levels
        weight = sum(commonness[stated[one]] for one in levels) / len(levels)
        chosen.append(Candidate(name, entry, weight, size_spread(entry)))
    return chosen


class ByClub(dict[str, Made]):
    """What a club makes, by club, worked out when it is first asked for: a club not yet described costs nothing."""

    def __init__(self, make: Callable[[str], Made]) -> None:
        super().__init__()
        self._make = make

    def __missing__(self, club: str) -> Made:
        self[club] = self._make(club)
        return self[club]


class Model:
    """Candidates, sets, prior and block tables for some clubs at one level. `unlisted` is the last member's index."""

    def __init__(
        self,
        causes: Mapping[str, Mapping[str, Any]],
        settings: Mapping[str, Any],
        families: Sequence[str],
        conditions: Mapping[str, Condition],
        level: str,
        largest: int = 2,
        learned: Learned = NOTHING,
    ) -> None:
        """largest: how many causes may act at once."""
        self.learned = learned
        self.settings = settings
        self.conditions = dict(conditions)
        self.level = level
        self.candidates = candidates(causes, families, level, settings["commonness"])
        self.ids = [candidate.id for candidate in self.candidates]
        self.place = {name: i for i, name in enumerate(self.ids)}
        self.unlisted = len(self.candidates)
        self.largest = largest
        self.kept = Kept(MOST_KEPT)  # fields and blocks, which one answer leaves to the next
        self._put_right: dict[tuple[str, frozenset[str]], dict[str, Array]] = {}
        self._tables: dict[tuple[str, tuple[str, ...]], tuple[BlockTable, Ints, Ints]] = {}
        self._nodes: dict[tuple[str, tuple[str, ...]], BlockNodes] = {}

    @cached_property
    def weights(self) -> Array:
        """Relative weights of the members, the unlisted one last, summing to 1."""
        stated = np.array([candidate.weight for candidate in self.candidates])
        share = self.settings["unlisted_weight"]
        return np.append(stated / stated.sum() * (1.0 - share), share)

    @cached_property
    def exclusive(self) -> list[tuple[int, int]]:
        """Pairs of members that never act together."""
        return [
            (i, self.place[other])
            for i, candidate in enumerate(self.candidates)
            for other in candidate.entry.get("exclusive_with", ())
            if other in self.place
        ]

    @cached_property
    def sets(self) -> Sets:
        return all_sets(self.unlisted + 1, self.largest, self.exclusive)

    @cached_property
    def triples(self) -> Sets:
        """All allowed sets of three members; a large library has too many."""
        every = all_sets(self.unlisted + 1, 3, self.exclusive)
        three = every.sizes == 3
        return Sets(every.members[three], every.sizes[three], every.n)

    @cached_property
    def prior(self) -> Array:
        return prior_of_sets(self.sets, self.weights, self.settings["acting_causes"])

    @cached_property
    def size_weights(self) -> Array:
        """Weights (members + 1, 2) of each member's two sizes; the unlisted one and "no cause" have one size twice."""
        even = np.full((2, 2), 0.5)
        return np.concatenate([[size_nodes(c.size_spread)[1] for c in self.candidates], even])

    @cached_property
    def two(self) -> tuple[Ints, Ints]:
        """The first member of every set, and the second or "no cause"."""
        columns = self.sets.columns
        return columns[0], columns[1] if len(columns) > 1 else np.full_like(columns[0], self.unlisted + 1)

    @cached_property
    def sizes(self) -> list[Array]:
        """P(sizes) of every set for each of the SIZE_NODES, each (sets,)."""
        first, second = self.two
        return [self.size_weights[first, s] * self.size_weights[second, t] for s, t in SIZE_NODES]

    @cached_property
    def mean_shifts(self) -> dict[str, dict[str, Array]]:
        """Per club, per block: the mean shift (causes, dimensions) over a candidate's sizes."""
        weights = self.size_weights[: len(self.candidates), :, None]
        return ByClub(
            lambda club: {block: (rows * weights).sum(axis=1) for block, rows in self.shifts[club].items()}
        )

    # --- geometry ---------------------------------------------------------------------------------------------------

    def play(self, club: str) -> None:
        """Play every candidate with a club; where the swing then lands is kept with the club, for other models too."""
        _ = self.shifts[club], self.bend_logs[club], self.added_variance[club]

    @cached_property
    def shifts(self) -> dict[str, dict[str, Array]]:
        """Per club, per block: shifts (causes, 2 size nodes, dimensions) of every candidate by the real geometry."""
        return ByClub(lambda club: self.shifts_put_right(club, frozenset()))

    def shifts_put_right(self, club: str, inputs: frozenset[str]) -> dict[str, Array]:
        """The shifts with a club where the coach has placed these inputs of the set-up as they should be; kept."""
        key = (club, inputs)
        if key not in self._put_right:
            condition, count = self.conditions[club], len(self.candidates)
            gone = condition.put_right | inputs
            touched = [i for i, candidate in enumerate(self.candidates) if not inputs or _moves(candidate, inputs)]
            changes = [change for i in touched for change in _changes(self.candidates[i], condition.club.family, gone)]
            if inputs:  # those that it does not touch move what they move otherwise
                rows = {block: shifts.copy() for block, shifts in self.shifts[club].items()}
            else:
                rows = {block: np.zeros((count, 2, len(grid.axes))) for block, grid in condition.grids.items()}
            for block, points in condition.landings.of(changes).items():
                rows[block][touched] = points.reshape(len(touched), 2, -1) - condition.fault_free_point[block]
            self._put_right[key] = rows
        return self._put_right[key]

    def moved_by_set_up(self, club: str, inputs: frozenset[str]) -> frozenset[str]:
        """The blocks in which some cause moves the ball otherwise once these inputs of the set-up are put right."""
        moved = set()
        for block, rows in self.shifts_put_right(club, inputs).items():
            steps = np.array([axis.step for axis in self.conditions[club].grids[block].axes])
            if (np.abs(rows - self.shifts[club][block]) > LEAST_PUT_RIGHT * steps).any():
                moved.add(block)
        return frozenset(moved)

    @cached_property
    def bend_logs(self) -> dict[str, Array]:
        """Per club: how much more (log) a face to path bends the ball with every candidate (causes, 2 size nodes)."""
        return ByClub(lambda club: self.conditions[club].bend_log(self._change(self.conditions[club])))

    def _change(self, condition: Condition) -> dict[str, Array]:
        """What every candidate at each of its sizes changes with a club: input -> (causes, 2)."""
        family = condition.club.family
        change: dict[str, Array] = {"face_deg": np.zeros((len(self.candidates), 2))}
        for i, candidate in enumerate(self.candidates):
            for name, size in amounts(candidate.entry, family).items():
                if name in condition.put_right:
                    continue
                nodes = size_nodes(candidate.size_spread)[0]
                change.setdefault(name, np.zeros((len(self.candidates), 2)))[i] = size * nodes
        return change

    @cached_property
    def added_variance(self) -> dict[str, dict[str, Array]]:
        """Per club, per block: variance (causes, dimensions) that a candidate adds from ball to ball."""
        return ByClub(lambda club: self._added_variance(self.conditions[club]))

    def _added_variance(self, condition: Condition) -> dict[str, Array]:
        family = condition.club.family
        scatters = [amounts(candidate.entry, family, "sd") for candidate in self.candidates]
        names = sorted({name for scatter in scatters for name in scatter} - condition.put_right)
        if not names:
            return {block: np.zeros((len(scatters), len(grid.axes))) for block, grid in condition.grids.items()}
        variance = np.array([[scatter.get(name, 0.0) ** 2 for name in names] for scatter in scatters])
        rates = [condition.rate(name) for name in names]
        return {block: variance @ np.array([rate[block] ** 2 for rate in rates]) for block in condition.grids}

    def table(
        self, block: str, clubs: tuple[str, ...], still: Callable[[], None] = lambda: None
    ) -> tuple[BlockTable, Ints, Ints]:
        """The block's table for these clubs, the pair index (nodes, nodes), the nodes (members + 1, 2) of each member.

        The last row of the nodes is "no cause"; the unlisted member has one node of its own, used twice. Where one
        cause acts at most the pair index is (nodes, 1): each node with "no cause".
        """
        key = (block, clubs)
        if key not in self._tables:
            nodes = self.nodes(block, clubs)
            count = nodes.unlisted + 1
            if self.largest == 1:
                table, place = block_table(nodes, (np.arange(count), np.zeros(count, dtype=np.intp)), still)
                pair = place[:, None]
            else:
                first, second = np.triu_indices(count)
                table, place = block_table(nodes, (first, second), still)
                pair = np.empty((count, count), dtype=np.intp)
                pair[first, second] = pair[second, first] = place
            self._tables[key] = table, pair, nodes.of_member
        return self._tables[key]

    def pairs(self, block: str, clubs: tuple[str, ...], still: Callable[[], None] = lambda: None) -> Ints:
        """The pair in the block's table of every set at each of the SIZE_NODES, (size nodes, sets)."""

        def found() -> Ints:
            _, pair, nodes = self.table(block, clubs, still)
            first, second = self.two
            return np.stack([pair[nodes[first, s], nodes[second, t]] for s, t in SIZE_NODES])

        return self.kept.of(("pairs", block, clubs), found)

    def nodes(self, block: str, clubs: tuple[str, ...]) -> BlockNodes:
        """What every member at each of its sizes moves in a block with these clubs."""
        key = (block, clubs)
        if key not in self._nodes:
            self._nodes[key] = self._nodes_of(block, clubs)
        return self._nodes[key]

    def _nodes_of(self, block: str, clubs: tuple[str, ...]) -> BlockNodes:
        steps = [np.array([axis.step for axis in self.conditions[club].grids[block].axes]) for club in clubs]
        shifts = [self.shifts[club][block] for club in clubs]
        variances = [np.repeat(self.added_variance[club][block][:, None, :], 2, axis=1) for club in clubs]
        turns = block == "direction"
        bends = [self.bend_logs[club].reshape(-1, 1) * turns for club in clubs]
        scatters = [np.sqrt(v.reshape(-1, len(step))) / step for v, step in zip(variances, steps, strict=True)]
        rows = np.concatenate(
            [
                *(s.reshape(-1, len(step)) / step for s, step in zip(shifts, steps, strict=True)),
                *(bend / BEND_LOG_STEP for bend in bends),
                *scatters,
            ],
            axis=1,
        )
        moving = np.flatnonzero((np.abs(rows) > LEAST_SHIFT).any(axis=1))
        weights = (self.weights[:-1, None] * self.size_weights[: len(self.candidates)]).ravel()[moving]
        group = groups(rows[moving], weights, None if self.largest == 1 else MOST_NODES, FINEST_SNAP)
        unlisted = 1 + int(group.max(initial=-1) + 1)
        of_member = np.zeros((self.unlisted + 2, 2), dtype=np.intp)
        of_member.reshape(-1)[moving] = 1 + group
        of_member[: self.unlisted][[candidate.either_way for candidate in self.candidates]] = unlisted
        of_member[self.unlisted] = unlisted

        def of_nodes(values: Array) -> Array:
            """The mean of what the rows of each node add, nothing for "no cause" and "something not listed"."""
            flat = values.reshape(-1, values.shape[-1])[moving]
            return np.pad(means(flat, weights, group), ((1, 1), (0, 0)))

        sizes = self.size_weights[: len(self.candidates)]
        of_all = self.weights[:-1] / self.weights[:-1].sum()
        return BlockNodes(
            block,
            tuple(self.conditions[club] for club in clubs),
            tuple(of_nodes(s) for s in shifts),
            tuple(of_nodes(v) for v in variances),
            tuple(of_nodes(bend)[:, 0] for bend in bends),
            tuple(np.sqrt(np.einsum("i,ij,ijd->d", of_all, sizes, s**2)) for s in shifts),
            of_member,
        )


def _moves(candidate: Candidate, inputs: frozenset[str]) -> bool:
    return any(move["input"] in inputs for move in candidate.entry.get("moves", ()))


def _changes(candidate: Candidate, family: str, put_right: frozenset[str]) -> list[Change]:
    """What a candidate at each of its sizes changes with a club family, but for inputs that are put right."""
    moved = {name: size for name, size in amounts(candidate.entry, family).items() if name not in put_right}
    nodes = size_nodes(candidate.size_spread)[0]
    return [tuple(sorted((name, float(size * node)) for name, size in moved.items())) for node in nodes]


__all__ = ["BLOCKS", "Candidate", "Model", "candidates", "size_nodes", "size_spread"]
