"""Sets of three causes: how much of the posterior the ranking, of two causes at most, leaves out.

The heaviest triples are played like pairs; the rest is estimated from a sample of them, drawn by how heavy they look.
A triple looks as heavy as its pairs make it: L(ij) L(ik) L(jk) L() / L(i) L(j) L(k), the superposition of Kirkwood 1935
(here a guess of where to look, never a result). In a large library the triples are those of the likeliest members.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property, partial
from itertools import product

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.beside import BESIDE, reading_of
from arclore.engine.diagnosis.blocks import BlockTable, block_table
from arclore.engine.diagnosis.condition import BLOCKS
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.posterior import Sets, all_sets, marginals, size_prior, symmetric_sum
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.quantities import Array

MOST_MEMBERS = 160  # whose triples are looked at: 670,000
PLAYED, DRAWN = 1200, 400  # the heaviest, and a sample of the rest
LEAST_ALONE = 1e-150  # so that a product of two is still above nothing
LEAST_GUESS = 0.02  # of the mean likelihood of the pairs, so that a triple that looks impossible is drawn too
SEED = 3


class Threes:
    """The posterior over sets of up to three causes. mass: P(three act), unplayed: the part of it that is estimated."""

    def __init__(self, ranking: Ranking) -> None:
        """Raises ValueError for a ranking whose sets are not those of up to two causes."""
        if ranking.model.largest != 2:
            raise ValueError("sets of three are laid beside sets of up to two")
        self.ranking = ranking
        self.model = ranking.model
        self.answers = frozenset(ranking.answers)

    @cached_property
    def _listed(self) -> Ints:
        """The members whose triples are looked at, in order."""
        likeliest = np.argsort(-self.ranking.marginal, kind="stable")[:MOST_MEMBERS]
        return np.sort(likeliest)

    @cached_property
    def sets(self) -> Sets:
        """The allowed triples of the listed members, by their places in the model."""
        n = self.model.unlisted + 1
        if len(self._listed) == n:
            return self.model.triples
        place = {int(member): at for at, member in enumerate(self._listed)}
        exclusive = [(place[i], place[j]) for i, j in self.model.exclusive if i in place and j in place]
        local = all_sets(len(self._listed), 3, exclusive)
        members = self._listed[local.members[local.sizes == 3]].astype(np.int32)
        return Sets(members, np.full(len(members), 3, dtype=np.int32), n)

    @cached_property
    def _acting(self) -> Array:
        return size_prior(self.model.settings["acting_causes"], 3)

    @cached_property
    def _other(self) -> Array:
        """Prior x findings x checks of every triple."""
        weights = self.model.weights
        mass = self.sets.product(weights)
        reached = symmetric_sum(weights[self._listed], 3) / symmetric_sum(weights, 3)
        mass *= self._acting[3] * reached / max(mass.sum(), 1e-300)
        for answer in self.ranking.answers:
            if answer.kind in ("finding", "check"):
                mass *= self.ranking.factor(answer, self.sets)
        return mass

    @cached_property
    def _guess(self) -> Array:
        """How heavy every triple looks beside the others, from the likelihoods of its pairs."""
        flight = self.ranking.flight(self.answers)
        flight = flight / flight.max()  # only what is heavier than what counts
        sets = self.model.sets
        first, second = sets.columns
        n = self.model.unlisted + 1
        pair = np.zeros((n + 1, n + 1))
        pair[first, second] = pair[second, first] = flight
        alone = np.maximum(pair[:, n], LEAST_ALONE)
        over = pair / np.sqrt(np.outer(alone, alone))
        i, j, k = self.sets.columns
        floor = LEAST_GUESS * float(self.model.prior @ flight)
        self.ranking.still()
        likely = np.minimum(over[i, j] * over[i, k] * over[j, k] * flight[0], 1.0)
        return np.asarray(self._other * np.maximum(likely, floor))

    @cached_property
    def _chosen(self) -> tuple[Ints, Array]:
        """The triples to play, the heaviest first, and how many triples each stands for."""
        guess = self._guess
        if len(guess) <= PLAYED + DRAWN:
            return np.arange(len(guess)), np.ones(len(guess))
        heaviest = np.argpartition(-guess, PLAYED)[:PLAYED]
        rest = guess.copy()
        rest[heaviest] = 0.0
        share = np.cumsum(rest / rest.sum())
        # evenly spaced draws from one random start: fewer accidents than DRAWN independent ones
        at = (np.arange(DRAWN) + np.random.default_rng(SEED).random()) / DRAWN
        drawn = np.minimum(np.searchsorted(share, at * share[-1]), len(share) - 1)
        stands_for = rest.sum() / (DRAWN * rest[drawn])
        return np.concatenate([heaviest, drawn]), np.concatenate([np.ones(PLAYED), stands_for])

    @cached_property
    def _masses(self) -> tuple[Array, float]:
        """Unnormalised mass of each chosen triple, and the whole mass of sets of up to two causes."""
        chosen, stands_for = self._chosen
        mass = self._other[chosen] * self.flight(self.sets.members[chosen]) * stands_for
        fewer = self.ranking.other(self.answers) * self.ranking.flight(self.answers)
        return mass, float(fewer @ self._of_two)

    @cached_property
    def _of_two(self) -> Array:
        """What the prior of each set of up to two comes to once three may act."""
        two = self._acting[2] / size_prior(self.model.settings["acting_causes"], 2)[2]
        return np.where(self.model.sets.sizes == 2, two, 1.0)

    @cached_property
    def mass(self) -> float:
        """P(three causes act), from 0 to 1, where up to three may."""
        triples, fewer = self._masses
        return float(triples.sum() / (triples.sum() + fewer))

    @cached_property
    def unplayed(self) -> float:
        """The part of ``mass`` that stands for triples that were not played themselves."""
        triples, fewer = self._masses
        drawn = self._chosen[1] != 1.0
        return float(triples[drawn].sum() / (triples.sum() + fewer))

    @cached_property
    def marginal(self) -> Array:
        """P(member acts), (members,), where up to three may act."""
        triples, fewer = self._masses
        chosen, _ = self._chosen
        total = np.zeros(self.model.unlisted + 1)
        for column in self.sets.columns:
            total += np.bincount(column[chosen], weights=triples, minlength=len(total))
        sets, two = self.model.sets, self._of_two
        total += marginals(sets, self.ranking.probability * two) * fewer / float(self.ranking.probability @ two)
        return np.asarray(total / (triples.sum() + fewer))

    def flight(self, members: npt.NDArray[np.int32]) -> Array:
        """P(flight | these three act), (rows,), for members (rows, 3), their sizes summed out."""
        model = self.model
        sizes = list(product((0, 1), repeat=3))
        result = np.array([[model.size_weights[members[:, k], s] for k, s in enumerate(size)] for size in sizes])
        by_size: Array = result.prod(axis=1)
        laid = {}
        for block in BLOCKS:
            if clubs := self.ranking.clubs_of(block):
                self.ranking.still()
                table, place = laid[block] = self._laid(block, clubs, members, sizes)
                self.ranking.still()
                by_size *= table.evaluate(partial(self._smoothed, block, clubs))[place]
        for answer in sorted(self.ranking.beside, key=lambda answer: answer.name):
            self.ranking.still()
            table, place = laid[BESIDE[answer.variable][1]]
            reading = reading_of(self.ranking, answer, self.answers, table)
            by_size *= [reading.factor(tuple(members.T), size, row) for size, row in zip(sizes, place, strict=True)]
        total: Array = by_size.sum(axis=0)
        return total

    def _smoothed(self, block: str, clubs: tuple[str, ...], c: int, scatter: int, bend: int) -> Array:
        return self.ranking.smoothed(block, clubs[c], self.answers, scatter, bend)

    def _laid(
        self, block: str, clubs: tuple[str, ...], members: npt.NDArray[np.int32], sizes: Sequence[tuple[int, ...]]
    ) -> tuple[BlockTable, Ints]:
        """The block's table for these triples, and the place in it of each at these sizes, (sizes, rows)."""
        nodes = self.model.nodes(block, clubs)
        acting = np.array([[nodes.of_member[members[:, k], s] for k, s in enumerate(size)] for size in sizes])
        rows = np.sort(np.moveaxis(acting, 1, -1).reshape(-1, 3), axis=1)
        count = nodes.unlisted + 1
        _, kept, place = np.unique(
            (rows[:, 0] * count + rows[:, 1]) * count + rows[:, 2], return_index=True, return_inverse=True
        )
        table, at = block_table(nodes, tuple(rows[kept].T))
        return table, at[place].reshape(len(sizes), -1)
