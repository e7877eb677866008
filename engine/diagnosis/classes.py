"""Sets of up to two of very many causes, without laying out every pair of them.

Causes that move, show and are checked alike for what was answered are one class. Every two classes are scored once, a
few rows of them at a time, and what they hold is shared out among their causes by weight: the sums are those over all
pairs, in another order. Shifts are those of the model's nodes, of which it brings the nearest together.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from arclore.engine.diagnosis.beside import Reading, reading_of
from arclore.engine.diagnosis.condition import BLOCKS
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.model import SIZE_NODES
from arclore.engine.diagnosis.posterior import Acting, Mask, size_prior
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array

ROWS = 32  # classes that are scored at once with all the others


@dataclass(frozen=True)
class Together:
    """The sets of each of the first members (rows, 1) with each of the second ones (columns,), as ``Sets`` tells them.

    The index n is "no cause".
    """

    first: Ints
    second: Ints

    def product(self, values: Array) -> Array:
        """The product (rows, columns) of the members' values (n,)."""
        padded = np.append(values, 1.0)
        return np.asarray(padded[self.first] * padded[self.second])

    def holding(self, mask: Mask) -> Mask:
        """Which sets hold at least one of the causes of the mask (n,)."""
        padded = np.append(mask, False)
        return np.asarray(padded[self.first] | padded[self.second])


class Against:
    """The flight of pairs whose second member is one of these, laid out so that each first one only looks up a row."""

    def __init__(
        self, ranking: Ranking, blocks: Mapping[str, tuple[Ints, Ints]], readings: Sequence[Reading], second: Ints
    ) -> None:
        """blocks: per block the pair of every two nodes, and the nodes (members + 1, 2). second: members (columns,)."""
        self.second = second
        self.readings = readings
        self.blocks = blocks
        self.size_weights = ranking.model.size_weights
        self.weights = [self.size_weights[second, t] for t in (0, 1)]
        self.values = []  # per block: the nodes, and P(its answers | node, second member) at the second one's sizes
        for block, (pair, nodes) in blocks.items():
            of_pairs = ranking.block_values(block, frozenset(ranking.answers))
            if of_pairs is not None:
                of_two = of_pairs[pair]
                self.values.append((nodes, [np.take(of_two, nodes[second, t], axis=1) for t in (0, 1)]))

    def flight(self, first: int, start: int) -> Array:
        """P(flight | this one and each of the second ones from `start` on), (columns,), their sizes summed out."""
        total = np.zeros(len(self.second) - start)
        for s, t in SIZE_NODES:
            part = self.size_weights[first, s] * self.weights[t][start:]
            for nodes, of_second in self.values:
                part *= of_second[t][nodes[first, s], start:]
            for reading in self.readings:
                pair, nodes = self.blocks[reading.near]
                others = self.second[start:]
                part *= reading.factor((np.array(first), others), (s, t), pair[nodes[first, s], nodes[others, t]])
            total += part
        return total


class ClassedPairs:
    """The posterior over sets of up to two members of a ranking's model, whose own sets are never laid out."""

    def __init__(self, ranking: Ranking, group_of: Ints) -> None:
        """group_of: the group (members,) of each member, whose chance is wanted beside the members' own.

        Raises ValueError for a ranking whose model is not one of pairs.
        """
        if ranking.model.largest != 2:
            raise ValueError("classes of causes are paired where two may act")
        self.ranking = ranking
        self.model = ranking.model
        self.answers = frozenset(ranking.answers)
        self.none = self.model.unlisted + 1
        self.group_of = group_of

    # --- classes -----------------------------------------------------------------------------------------------------

    @cached_property
    def _classes(self) -> tuple[Ints, Ints]:
        """The class (members,) of each member, and a member (classes,) that stands for each; in order of group."""
        _, first, alike = np.unique(self._signatures.round(12), axis=0, return_index=True, return_inverse=True)
        return alike.ravel(), first

    @cached_property
    def _signatures(self) -> Array:
        """A member's group, and all that its part in the likelihood hangs on, (members, columns)."""
        model, count = self.model, self.none
        nodes = np.concatenate([nodes[:count] for _, nodes in self._blocks.values()], axis=1)
        moved = (nodes[:, ::2] != nodes[:, 1::2]).any(axis=1, keepdims=True)
        columns = [self.group_of[:, None], nodes, np.where(moved, model.size_weights[:count], 0.5)]
        for answer in self.ranking.answers:
            if answer.kind == "finding":
                columns.append(self.ranking.links(answer.name)[0][:, None])
            elif answer.kind == "check":
                columns.append(test_of(model, self.ranking.checks[answer.name]).members[:, None])
        columns += [moves[:count] for reading in self._readings for moves in (reading.own, reading.of_near)]
        return np.concatenate(columns, axis=1, dtype=float)

    @property
    def count(self) -> int:
        """How many classes there are."""
        return len(self._classes[1])

    # --- likelihoods -------------------------------------------------------------------------------------------------

    @cached_property
    def _blocks(self) -> dict[str, tuple[Ints, Ints]]:
        """The blocks that something was said of: the pair of every two nodes, and the nodes (members + 1, 2)."""
        found = {}
        for block in BLOCKS:
            if clubs := self.ranking.clubs_of(block):
                self.ranking.still()
                found[block] = self.model.table(block, clubs)[1:]
        return found

    @cached_property
    def _readings(self) -> list[Reading]:
        beside = sorted(self.ranking.beside, key=lambda answer: answer.name)
        return [reading_of(self.ranking, answer, self.answers) for answer in beside]

    @cached_property
    def _reports(self) -> list[Callable[[Acting], Array]]:
        told = [answer for answer in self.ranking.answers if answer.kind in ("finding", "check")]
        return [self.ranking.report(answer) for answer in told]

    def _against(self, second: Ints) -> Against:
        return Against(self.ranking, self._blocks, self._readings, second)

    def _likelihood(self, first: Ints, against: Against, start: int = 0) -> Array:
        """P(answers | these two act), (rows, columns), for members (rows,) and the second ones from `start` on."""
        self.ranking.still()
        total = np.stack([against.flight(int(member), start) for member in first])
        for report in self._reports:
            total *= report(Together(first[:, None], against.second[start:]))
        return total

    # --- sums over all pairs -----------------------------------------------------------------------------------------

    @cached_property
    def _scanned(self) -> tuple[Array, Array, Array]:
        """Sums over the pairs of classes.

        Per class, of its likelihood with every class times the weight of each group there (classes, groups); its
        likelihood with itself (classes,); and the likelihood of every pair that never acts together.
        """
        class_of, members = self._classes
        count, group = self.count, self.group_of[members]
        held = np.bincount(class_of, self.model.weights)
        begins = np.flatnonzero(np.diff(group, prepend=-1))
        against = self._against(members)
        toward, alone = np.zeros((count, group[-1] + 1)), np.zeros(count)
        apart = class_of[self._apart].reshape(-1, 2)
        apart.sort(axis=1)
        of_apart = np.zeros(len(apart))
        for start in range(0, count, ROWS):
            end = min(start + ROWS, count)
            rows = self._likelihood(members[start:end], against, start)
            parts = np.append(start, begins[begins > start])
            toward[start:end, group[parts]] += np.add.reduceat(rows * held[start:], parts - start, axis=1)
            for first, last in pairwise([*parts[parts < end], end]):
                toward[end:, group[first]] += held[first:last] @ rows[first - start : last - start, end - start :]
            alone[start:end] = rows.diagonal()
            here = np.flatnonzero((apart[:, 0] >= start) & (apart[:, 0] < end))
            of_apart[here] = rows[apart[here, 0] - start, apart[here, 1] - start]
        return toward, alone, of_apart

    @cached_property
    def _apart(self) -> Ints:
        """The pairs of members that never act together, each once, (pairs, 2)."""
        pairs = {(min(pair), max(pair)) for pair in self.model.exclusive if pair[0] != pair[1]}
        return np.array(sorted(pairs), dtype=np.intp).reshape(-1, 2)

    @cached_property
    def _masses(self) -> tuple[float, Array, Array, Array]:
        """Unnormalised: of no cause, of each member alone and in pairs (members,), of pairs inside each group."""
        class_of, members = self._classes
        weights = self.model.weights
        acting = size_prior(self.model.settings["acting_causes"], 2)
        toward, alone, of_apart = self._scanned
        one = self._likelihood(np.append(members, self.none), self._against(np.array([self.none])))[:, 0]
        i, j = self._apart.T
        together = 0.5 * (weights.sum() ** 2 - (weights**2).sum()) - (weights[i] * weights[j]).sum()
        if not together > 0:
            acting = np.array([acting[0], acting[1], 0.0]) / acting[:2].sum()
            together = 1.0
        others = toward.sum(axis=1)[class_of] - weights * alone[class_of]
        of_group = toward[class_of, self.group_of] - weights * alone[class_of]
        same = self.group_of[i] == self.group_of[j]
        for first, second in ((i, j), (j, i)):
            np.subtract.at(others, first, weights[second] * of_apart)
            np.subtract.at(of_group, first, weights[second] * of_apart * same)
        in_pairs = acting[2] / together * weights
        inside = 0.5 * np.bincount(self.group_of, in_pairs * of_group)
        single = acting[1] * weights / weights.sum() * one[class_of]
        return float(acting[0] * one[-1]), np.asarray(single), np.asarray(in_pairs * others), np.asarray(inside)

    @cached_property
    def _whole(self) -> float:
        nothing, single, in_pairs, _ = self._masses
        return float(nothing + single.sum() + 0.5 * in_pairs.sum())

    @cached_property
    def marginal(self) -> Array:
        """P(member acts), (members,), the unlisted one last."""
        _, single, in_pairs, _ = self._masses
        return np.asarray((single + in_pairs) / self._whole)

    @cached_property
    def grouped(self) -> Array:
        """P(at least one member of the group acts), (groups,)."""
        inside = self._masses[3]
        return np.asarray(np.bincount(self.group_of, self.marginal) - inside / self._whole)

    @property
    def nothing_to_fix(self) -> float:
        return self._masses[0] / self._whole

    @property
    def mass(self) -> float:
        """P(two causes act)."""
        return float(0.5 * self._masses[2].sum() / self._whole)
