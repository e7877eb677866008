"""The ranking against exact inference: millions of students drawn from the same world, those kept who say the same.

What the kept ones' causes are is the exact posterior of what a student says, but for the chance of the draw: nothing
of the ranking's tables, grids or pairs is in it, and three causes act where three act. The answers of the lesson, the
same for both, then weigh each of them by what its own causes and delivery make of them.

``python -m tests.students.exact [STUDENTS] [DRAWN]`` prints both; by default 200 students and 4 million drawn.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import numpy as np
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array

from tests.students.drawn import CHUNK, CLUBS, Drawn, Ints, chosen, draw, joined
from tests.students.lesson import SENSITIVITY, SPECIFICITY, STAGES, Desk, Track, Truth, play
from tests.students.report import acts, hits, log_loss
from tests.students.simulate import World

LEAST_ALIKE = 300  # students who say the same: with fewer the draw tells nothing
LEAST_EVEN = 30.0  # of them that count after the answers (Kish 1965: the square of the sum over the sum of squares)


def alike(desk: Desk, keys: Ints, count: int, random: np.random.Generator) -> Drawn:
    """Of so many students drawn, those who say what one of the keys says."""
    parts = []
    for _ in range(0, count, CHUNK):
        lot = draw(desk.model, CHUNK, random)
        parts.append(chosen(lot, np.isin(lot.keys(), keys)))
    return joined(parts)


def weights(desk: Desk, same: Drawn, track: Track) -> Array:
    """How likely the answers of a whole lesson are with each of the students who said the same, (students,)."""
    members = np.where(same.members < 0, desk.model.unlisted + 1, same.members)
    result = np.ones(len(same))
    for _, j, yes in track.answers:
        rate = _rate(desk, j, members)
        result *= rate if yes else 1.0 - rate
    for _, name, value in track.readings:
        check = desk.bench.library.checks[name]
        said = check["measurement"]
        true = same.true[next(c for c in CLUBS if covers(check["clubs"], c))][said["quantity"]]
        result *= np.exp(-0.5 * ((value - true) / said["error_sd"]) ** 2) + 1e-12
    return result


def _rate(desk: Desk, j: int, members: Ints) -> Array:
    """P(yes) of an item for each set of members (students, 3), the last index being none."""
    item = desk.items[j]
    if item.question:
        links, leak = desk.blank.links(item.id)
        return np.asarray(1.0 - (1.0 - leak) * np.append(1.0 - links, 1.0)[members].prod(axis=1))
    single = desk.model.sets.sizes == 1
    speaks = np.zeros(desk.model.unlisted + 2, dtype=bool)
    speaks[desk.model.sets.members[single, 0]] = item.rate[single] > 0.5
    return np.where(speaks[members].any(axis=1), SENSITIVITY, 1.0 - SPECIFICITY)


def compare(desk: Desk, students: int, count: int, random: np.random.Generator) -> Iterator[str]:
    """Hits and log loss after all 20 minutes, by the engine and by those who say the same."""
    world = World.of(desk, random)
    drawn = draw(desk.model, students, random)
    played = play(desk, drawn, Truth(desk, drawn, world.links), "bits", random)
    keys, pool = drawn.keys(), alike(desk, drawn.keys(), count, random)
    of_pool, causes = pool.keys(), desk.model.unlisted
    truth = acts(drawn.members, causes)
    rows, exact, number = [], [], []
    for k, track in enumerate(played.tracks):
        same = chosen(pool, of_pool == keys[k])
        weight = weights(desk, same, track)
        even = weight.sum() ** 2 / max(float((weight**2).sum()), 1e-300)
        if len(same) >= LEAST_ALIKE and even >= LEAST_EVEN:
            rows.append(k)
            exact.append(weight @ acts(same.members, causes) / weight.sum())
            number.append(even)
    ours, theirs, true = played.marginals[-1][rows, :causes], np.array(exact), truth[rows]
    yield f"{len(rows)} of {students} students, each with {np.median(number):.0f} who count (median) of {count} drawn"
    for name, chance in (("engine", ours), ("exact", theirs)):
        first, three = hits(chance, true, 1), hits(chance, true, 3)
        yield f"{name}: first {first:.3f}, three {three:.3f} after {STAGES[-1]:.0f} minutes, log loss " + (
            f"{log_loss(np.maximum(chance, 1e-4), true).mean():.3f}"
        )
    yield f"same leader in {(ours.argmax(axis=1) == theirs.argmax(axis=1)).mean():.3f}"
    yield f"the leader's chance differs by {np.abs(ours.max(axis=1) - theirs.max(axis=1)).mean():.3f} in the mean"


def main() -> None:
    students, count = (int(x) for x in (*sys.argv[1:3], *("200", "4000000")[len(sys.argv) - 1 :]))
    desk = Desk(Bench(load_library()), "intermediate")
    for row in compare(desk, students, count, np.random.default_rng(21)):
        print(row, flush=True)


if __name__ == "__main__":
    main()
