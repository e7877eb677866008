"""The ranking against exact inference: students drawn until many say the same, weighed by the answers of the lesson.

For one student, causes are proposed by a mixture of the world's own draw and what the ranking holds likely after the
lesson, a third cause added to some; each proposal is played through the full geometry as every student is, and counts
where it says the same: by how much likelier its causes are in the world than in the mixture, times what its causes and
delivery make of the lesson's answers (importance sampling, Hammersley and Handscomb 1964). With enough of them the
shares are the exact posterior whatever the ranking proposed: nothing of its tables, grids or pairs is in them, and
three causes act where three act.

``python -m tests.students.exact [STUDENTS] [PLAYED]`` prints both; by default 200 students, each of at most 1,000,000
played.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.posterior import size_prior
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array

from tests.students.drawn import CHUNK, CLUBS, Change, Drawn, Ints, acting, chosen, draw, forbidden, with_causes
from tests.students.lesson import SENSITIVITY, SPECIFICITY, STAGES, Desk, Track, Truth, play
from tests.students.report import acts, hits, log_loss
from tests.students.simulate import World

ENOUGH = 200.0  # that count (Kish 1965: the square of the sum of the weights over the sum of their squares)
LEAST = 50.0  # with fewer the draw tells nothing of the student
FROM_WORLD, FROM_RANKING, ONE_MORE = 0.3, 0.45, 0.25  # what the mixture is made of


@dataclass(frozen=True)
class Proposal:
    """Sets of causes for one student: from the world, from the ranking (sets,), and from its pairs with one more."""

    desk: Desk
    probability: Array

    @cached_property
    def _allowed(self) -> Array:
        """(members + 1, members + 1): 1 where two may act together; the last is "none"."""
        return 1.0 - forbidden(self.desk.model).astype(float)

    @cached_property
    def _weights(self) -> Array:
        return np.append(self.desk.model.weights, 0.0)

    @cached_property
    def _room(self) -> Array:
        """How much weight may be added to each pair, (members + 1, members + 1)."""
        return np.asarray((self._allowed * self._weights) @ self._allowed.T)

    @cached_property
    def _of_sets(self) -> Array:
        """The ranking's probability of each set of up to two, by its members, the last being none; symmetric."""
        n = self.desk.model.unlisted + 1
        table = np.zeros((n + 1, n + 1))
        first, second = self.desk.model.sets.columns
        table[first, second] = table[second, first] = self.probability
        return table

    @cached_property
    def _of_pairs(self) -> Array:
        """The same where two act, and one more can be added: it sums to 2."""
        table = np.where(self._room > 0.0, self._of_sets, 0.0)
        table[-1] = table[:, -1] = 0.0
        return table / max(table.sum() / 2.0, 1e-300)

    def draw(self, count: int, random: np.random.Generator) -> tuple[Ints, Array]:
        """Members (count, 3), -1 where none, and how much likelier each set is in the world than here (count,)."""
        world, ranking, _ = random.multinomial(count, (FROM_WORLD, FROM_RANKING, ONE_MORE))
        members = np.concatenate(
            [
                acting(self.desk.model, world, random),
                self._ranked(ranking, self.probability, random),
                self._with_one_more(count - world - ranking, random),
            ]
        )
        return members, self._ratio(np.where(members < 0, self.desk.model.unlisted + 1, members))

    def _ranked(self, count: int, probability: Array, random: np.random.Generator) -> Ints:
        sets = self.desk.model.sets
        members = sets.members[random.choice(len(probability), count, p=probability)]
        members = np.where(members > self.desk.model.unlisted, -1, members)
        return np.column_stack([members, np.full(count, -1)]).astype(np.intp)

    def _with_one_more(self, count: int, random: np.random.Generator) -> Ints:
        sets = self.desk.model.sets
        pairs = np.where(sets.sizes == 2, self._of_pairs[tuple(sets.columns)], 0.0)
        members = self._ranked(count, pairs / pairs.sum(), random)
        waiting = np.arange(count)
        while len(waiting):
            members[waiting, 2] = random.choice(len(self._weights), len(waiting), p=self._weights)
            first, second, third = members[waiting].T
            clash = (self._allowed[first, third] == 0.0) | (self._allowed[second, third] == 0.0)
            waiting = waiting[clash]
        return members

    def _ratio(self, members: Ints) -> Array:
        """The world's chance of each set over the mixture's. members: (count, 3), the model's count for none."""
        sizes = (members <= self.desk.model.unlisted).sum(axis=1)
        world = self._of_world[sizes] * np.append(self.desk.model.weights, 1.0)[members].prod(axis=1)
        first, second, third = members.T
        ranking = np.where(sizes < 3, self._of_sets[first, second], 0.0)
        more = np.zeros(len(members))
        for one, two, other in ((first, second, third), (first, third, second), (second, third, first)):
            with np.errstate(divide="ignore", invalid="ignore"):
                added = self._of_pairs[one, two] * self._weights[other] / self._room[one, two]
            more += np.where(sizes == 3, np.nan_to_num(added), 0.0)
        return np.asarray(world / (FROM_WORLD * world + FROM_RANKING * ranking + ONE_MORE * more))

    @cached_property
    def _of_world(self) -> Array:
        """By size: how many act, over the sum of the allowed sets' products of weights."""
        model = self.desk.model
        sums = [
            1.0,
            1.0,
            *(float(s.product(model.weights)[s.sizes == k].sum()) for k, s in ((2, model.sets), (3, model.triples))),
        ]
        return size_prior(model.settings["acting_causes"], 3) / np.array(sums)


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


def exact(
    desk: Desk, key: int, track: Track, proposal: Proposal, others: Drawn, most: int, random: np.random.Generator
) -> tuple[Array, float]:
    """P(cause acts) (causes,) of a student who says this and answers so, and how many drawn students count for it."""
    right = Change(np.ones(desk.model.unlisted))
    total, mass, squares = np.zeros(desk.model.unlisted), 0.0, 0.0
    for _ in range(0, most, CHUNK):
        members, ratio = proposal.draw(CHUNK, random)
        played = with_causes(desk.model, members, random, right, others)
        same = np.flatnonzero(played.keys() == key)
        if len(same):
            kept = chosen(played, same)
            weight = ratio[same] * weights(desk, kept, track)
            total += weight @ acts(kept.members, desk.model.unlisted)
            mass, squares = mass + weight.sum(), squares + (weight**2).sum()
        if mass**2 >= ENOUGH * squares > 0.0:
            break
    return total / max(mass, 1e-300), mass**2 / max(squares, 1e-300)


def compare(desk: Desk, students: int, most: int, random: np.random.Generator) -> Iterator[str]:
    """Hits and log loss after all 20 minutes, by the engine and exactly."""
    world = World.of(desk, random)
    drawn = draw(desk.model, students, random)
    others = draw(desk.model, CHUNK, random)
    played = play(desk, drawn, Truth(desk, drawn, world.links), "bits", random)
    keys, causes = drawn.keys(), desk.model.unlisted
    rows, found, number = [], [], []
    for k, track in enumerate(played.tracks):
        after = played.posterior[k].astype(float)
        proposal = Proposal(desk, after / after.sum())
        chance, count = exact(desk, int(keys[k]), track, proposal, others, most, random)
        if count >= LEAST:
            rows.append(k)
            found.append(chance)
            number.append(count)
    ours, theirs, true = played.marginals[-1][rows, :causes], np.array(found), acts(drawn.members, causes)[rows]
    yield f"{len(rows)} of {students} students, each with {np.median(number):.0f} who count (median)"
    for name, chance in (("engine", ours), ("exact", theirs)):
        first, three = hits(chance, true, 1), hits(chance, true, 3)
        yield f"{name}: first {first:.3f}, three {three:.3f} after {STAGES[-1]:.0f} minutes, log loss " + (
            f"{log_loss(np.clip(chance, 1e-3, 1.0 - 1e-3), true).mean():.3f}"
        )
    yield (
        f"the exact chance of the engine's leader {_of_leaders(theirs, ours):.3f}, "
        f"of the exact leader {_of_leaders(theirs, theirs):.3f}"
    )
    yield f"same leader in {(ours.argmax(axis=1) == theirs.argmax(axis=1)).mean():.3f}"
    yield f"the leader's chance differs by {np.abs(ours.max(axis=1) - theirs.max(axis=1)).mean():.3f} in the mean"


def _of_leaders(chance: Array, leaders: Array) -> float:
    """The mean chance (students, causes) of the causes that lead by another table."""
    return float(np.take_along_axis(chance, leaders.argmax(axis=1)[:, None], axis=1).mean())


def main() -> None:
    students, most = (int(x) for x in (*sys.argv[1:3], *("200", "1000000")[len(sys.argv) - 1 :]))
    desk = Desk(Bench(load_library()), "intermediate")
    for row in compare(desk, students, most, np.random.default_rng(21)):
        print(row, flush=True)


if __name__ == "__main__":
    main()
