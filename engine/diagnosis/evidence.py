"""What was seen, as likelihood fields over a condition's blocks.

A plain statement ("it starts left") is about the player's typical ball. A tally counts ball by ball. Where several
kinds of ball are named for one club, or a word of frequency is given, the statement stands for a few balls of which the
stated share was of those kinds. Where a shot says nothing of a block, its balls say nothing there.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from arclore.engine.diagnosis.condition import BLOCK_OF, Condition
from arclore.engine.diagnosis.turned import USUAL_BEND
from arclore.engine.quantities import Array

SCATTER_CLASSES = (1.0, 1.5, 2.2)
"""The ball-to-ball spreads a field is made for; a set of causes uses the nearest to its own."""
CLASS_BORDERS = (1.22, 1.82)
VALUES = 3.0  # a variable has about so many: a word said at random names each as often
LOG_VALUES = math.log(VALUES)
LEAST_REGION = 0.25  # of a cell: two words that exclude each other have at most so much of one their border crosses
MOST_BALLS = 60.0
"""As many counted balls tell all that balls of one club can: the model's own error and a long session's drift are then
larger than what chance leaves open (a choice of design)."""
SILENT_LINE_DOUBT = 0.5
"""How far a line that says nothing of a block leaves it open whether its balls were of the kind another line names."""


@dataclass(frozen=True)
class Kind:
    """One kind of ball named for a block: the value of each variable, and how many balls it stands for."""

    values: Mapping[str, str]
    balls: float


@dataclass(frozen=True)
class BlockEvidence:
    """All that was said of one block of one condition: kinds of ball, and balls that were of another kind.

    typical: the one kind named is what the player's typical ball does; then no balls are counted.
    unsure: how likely the words are chance, besides the library's own label error.
    """

    kinds: tuple[Kind, ...]
    others: float = 0.0
    typical: bool = False
    unsure: float = 0.0


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
        return (
            [dict(zip((v for v, _ in named), choice, strict=True)) for choice in product(*(x for _, x in named))]
            if named
            else []
        )


def block_evidence(
    shots: Sequence[ShotSeen], block: str, statement: Mapping[str, float], allowed: frozenset[str] | None = None
) -> BlockEvidence | None:
    """The evidence of a club's lines on one block; None where they say nothing of it.

    What is counted is counted; beside it a statement about another variable stands for its few balls.

    allowed: the variables that may be used (all where None), so that one answer can be taken back.
    """
    usable = frozenset(BLOCK_OF) if allowed is None else allowed
    balls = _spoken(shots, block, usable, True)
    count = sum(line.count for line, _ in balls)
    told = min(1.0, MOST_BALLS / count) if count else 0.0  # of each ball
    counted = [Kind(kind, told * line.count / len(named)) for line, named in balls for kind in named]
    usable -= {variable for kind in counted for variable in kind.values}  # what is counted is not told of once more
    shots = [line for line in shots if not line.count]
    spoken = _spoken(shots, block, usable, False)
    if not spoken:
        return BlockEvidence(tuple(_merged(counted))) if counted else None
    doubted = any(BLOCK_OF[v] == block for line, _ in spoken for v in line.unsure & usable)
    silent = SILENT_LINE_DOUBT * (1.0 - len(spoken) / len(shots))
    unsure = max(statement["unsure"] if doubted else 0.0, silent)
    stands_for = statement["balls"] * len(spoken) / len(shots)
    share = stands_for / len(spoken)
    kinds = _merged(
        Kind(kind, share * (statement["chance"] if line.chance is None else line.chance) / len(named))
        for line, named in spoken
        for kind in named
    )
    if counted:
        return BlockEvidence(tuple(_merged([*counted, *kinds])), unsure=unsure)
    typical = len(kinds) == 1 and all(line.chance is None for line, _ in spoken)
    return BlockEvidence(tuple(kinds), stands_for - sum(kind.balls for kind in kinds), typical, unsure)


def _spoken(
    shots: Sequence[ShotSeen], block: str, usable: frozenset[str], counted: bool
) -> list[tuple[ShotSeen, list[dict[str, str]]]]:
    """The lines, counted ball by ball or not, that say something of a block, with the kinds of ball each names."""
    found = [(line, line.alternatives(block, sorted(usable))) for line in shots if bool(line.count) == counted]
    return [(line, named) for line, named in found if named]


def _merged(kinds: Iterable[Kind]) -> list[Kind]:
    """Kinds named twice as one kind of so many more balls."""
    merged: dict[tuple[tuple[str, str], ...], float] = {}
    for kind in kinds:
        key = tuple(sorted(kind.values.items()))
        merged[key] = merged.get(key, 0.0) + kind.balls
    return [Kind(dict(key), balls) for key, balls in sorted(merged.items())]


def claimed(condition: Condition, block: str, seen: BlockEvidence, bend_class: int = USUAL_BEND) -> Array:
    """Where on the block's grid a ball is of any of the kinds named, or of the commonest ones counted: from 0 to 1."""
    counted = not seen.typical and not seen.others
    regions = [_region(condition, kind, bend_class) for kind in (_commonest(seen.kinds) if counted else seen.kinds)]
    field: Array = np.prod(regions, axis=0) if counted else np.max(regions, axis=0)
    return field


def _commonest(kinds: Sequence[Kind]) -> list[Kind]:
    """Of the kinds that tell of the same variables, the one with the most balls."""
    best: dict[tuple[str, ...], Kind] = {}
    for kind in kinds:
        named = tuple(sorted(kind.values))
        if named not in best or kind.balls > best[named].balls:
            best[named] = kind
    return list(best.values())


def _region(condition: Condition, kind: Kind, bend_class: int) -> Array:
    field: Array = np.prod([condition.region(v, value, bend_class) for v, value in kind.values.items()], axis=0)
    return field


def likelihood_field(
    condition: Condition,
    block: str,
    seen: BlockEvidence,
    scatter: float,
    label_error: float,
    bend_class: int = USUAL_BEND,
) -> Array:
    """Likelihood of the evidence over a block's grid of *typical* deliveries, for one ball-to-ball spread and bend.

    Multinomial over the kinds of ball named and "another kind"; the label error mixes in a coach or student whose words
    are chance, so that nothing is impossible.
    """
    grid = condition.grids[block]
    error = max(label_error, seen.unsure)
    if seen.typical:
        kind = seen.kinds[0]
        typical: Array = (1.0 - error) * _region(condition, kind, bend_class) + error / VALUES ** len(kind.values)
        return typical
    sd = condition.spread("scatter")[block] * scatter
    log = np.zeros(grid.shape)
    chance = 0.0  # log of the chance of these balls where words are drawn at random
    for kind, region in _possible(condition, seen.kinds, bend_class):
        log += kind.balls * np.log(np.clip(grid.blurred(region, sd), 1e-9, 1.0))
        chance -= kind.balls * len(kind.values) * LOG_VALUES
    if seen.others > 0:
        other = 1.0 - grid.blurred(claimed(condition, block, seen, bend_class), sd)
        log += seen.others * np.log(np.clip(other, 1e-9, 1.0))
        named = sum(VALUES ** -len(kind.values) for kind in seen.kinds)
        chance += seen.others * math.log(max(1.0 - named, 1.0 / VALUES))
    result: Array = (1.0 - error) * np.exp(log) + error * math.exp(chance)
    return result


def _possible(condition: Condition, kinds: Sequence[Kind], bend_class: int) -> list[tuple[Kind, Array]]:
    """The kinds with their regions; what is said of all kinds alike is dropped for one that it cannot hold for.

    "Fat or thin, with a mark behind the ball" names thin with a mark, which no ball is: the mark goes with fat ones.
    """
    alike = {item for item in kinds[0].values.items() if all(item in kind.values.items() for kind in kinds)}
    found = []
    for kind in kinds:
        region = _region(condition, kind, bend_class)
        apart = {variable: value for variable, value in kind.values.items() if (variable, value) not in alike}
        if apart and region.max() <= LEAST_REGION:
            kind = replace(kind, values=apart)
            region = _region(condition, kind, bend_class)
        found.append((kind, region))
    return found
