"""What was seen, as likelihood fields over a condition's blocks.

Words and balls are one kind of evidence. A tally of balls counts ball by ball. A statement ("it starts left") stands
for a few balls of which the stated share was of that kind; several kinds named for one club share those balls. Where a
shot says nothing of a block, its balls say nothing there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from arclore.engine.diagnosis.condition import BLOCK_OF, GRIDS, Condition
from arclore.engine.quantities import Array

SCATTER_CLASSES = (1.0, 1.5, 2.2)
"""The ball-to-ball spreads a field is made for; a set of causes uses the nearest to its own."""
CLASS_BORDERS = (1.22, 1.82)


@dataclass(frozen=True)
class Kind:
    """One kind of ball named for a block: the value of each variable, and how many balls it stands for."""

    values: Mapping[str, str]
    balls: float


@dataclass(frozen=True)
class BlockEvidence:
    """All that was said of one block of one condition: kinds of ball, and balls that were of another kind."""

    kinds: tuple[Kind, ...]
    others: float


@dataclass(frozen=True)
class ShotSeen:
    """One line of a complaint for one club, in the right-hander's frame.

    values: variable -> the values named (several are alternatives). count: balls counted, 0 for a statement.
    """

    club: str
    values: Mapping[str, tuple[str, ...]]
    count: int = 0
    chance: float | None = None
    unsure: frozenset[str] = frozenset()

    def alternatives(self, block: str, variables: Iterable[str]) -> list[dict[str, str]]:
        """The kinds of ball this line names for a block, using only the given variables."""
        named = [(v, self.values[v]) for v in variables if BLOCK_OF[v] == block and v in self.values]
        return [dict(zip((v for v, _ in named), choice, strict=True)) for choice in product(*(x for _, x in named))] if named else []


def block_evidence(
    shots: Sequence[ShotSeen], block: str, statement: Mapping[str, float], allowed: frozenset[str] | None = None
) -> BlockEvidence | None:
    """The evidence of a club's lines on one block; None where they say nothing of it.

    allowed: the variables that may be used (all where None), so that one answer can be taken back.
    """
    usable = frozenset(BLOCK_OF) if allowed is None else allowed
    spoken = [(line, kinds) for line in shots if (kinds := line.alternatives(block, sorted(usable)))]
    if not spoken:
        return None
    counted = [line.count for line, _ in spoken if line.count]
    if counted:
        kinds = [Kind(kind, line.count / len(named)) for line, named in spoken if line.count for kind in named]
        return BlockEvidence(tuple(kinds), 0.0)
    lines = {id(line) for line in shots}
    chances = [line.chance if line.chance is not None else statement["chance"] for line, _ in spoken]
    balls = statement["balls"] * len(spoken) / max(len(lines), 1)
    if any(line.unsure & usable and any(BLOCK_OF[v] == block for v in line.unsure) for line, _ in spoken):
        balls *= 1.0 - statement["unsure"]
    share = balls / len(spoken)
    kinds = [
        Kind(kind, share * chance / len(named))
        for (_, named), chance in zip(spoken, chances, strict=True)
        for kind in named
    ]
    return BlockEvidence(tuple(_merged(kinds)), balls - sum(kind.balls for kind in kinds))


def _merged(kinds: Sequence[Kind]) -> list[Kind]:
    """Kinds named twice as one kind of so many more balls."""
    merged: dict[tuple[tuple[str, str], ...], float] = {}
    for kind in kinds:
        key = tuple(sorted(kind.values.items()))
        merged[key] = merged.get(key, 0.0) + kind.balls
    return [Kind(dict(key), balls) for key, balls in merged.items()]


def likelihood_field(
    condition: Condition, block: str, seen: BlockEvidence, scatter: float, label_error: float
) -> Array:
    """Likelihood of the evidence over a block's grid of *typical* deliveries, for one ball-to-ball spread.

    Multinomial over the kinds of ball named and "another kind"; the label error mixes in a coach or student whose words
    are chance, so that nothing is impossible.
    """
    grid = GRIDS[block]
    sd = condition.spread("scatter")[block] * scatter
    log = np.zeros(grid.shape)
    claimed = np.zeros(grid.shape)
    chance_log = 0.0
    share = 1.0 / (len(seen.kinds) + 1.0 + (len(seen.kinds) == 1))
    for kind in seen.kinds:
        region = np.ones(grid.shape)
        for variable, value in kind.values.items():
            region = region * condition.region(variable, value)
        one_ball = np.clip(grid.blurred(region, sd), 1e-9, 1.0)
        claimed = np.maximum(claimed, region)
        log += kind.balls * np.log(one_ball)
        chance_log += kind.balls * np.log(share)
    if seen.others > 0:
        log += seen.others * np.log(np.clip(1.0 - grid.blurred(claimed, sd), 1e-9, 1.0))
        chance_log += seen.others * np.log(1.0 - share * len(seen.kinds))
    result: Array = (1.0 - label_error) * np.exp(log) + label_error * np.exp(chance_log)
    return result
