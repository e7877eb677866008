"""Simulated students taught by a library: how often a true cause leads, and how honest the probabilities are.

A lesson is what the ball did with a driver and a mid iron, six questions that the engine chooses, and 20 minutes of
checks and further questions that it chooses by bits a minute, with readings right 80 times in 100 where one of the
check's causes acts and 85 where none does. The simulation compares rules on the model's own terms; it does not say how
well real lessons are diagnosed. Checks that change the set-up are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from arclore.engine.diagnosis.delivery import Delivery
from arclore.engine.diagnosis.posterior import marginals, normalised
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Array

from tests.students.drawn import CLUBS, Change, Drawn, Ints, draw
from tests.students.lesson import STAGES, Desk, Played, Truth, begun, play
from tests.students.report import acts, by_family, calibration, hits, log_loss

LOT = 500  # students taught side by side
REFUTED, REFUTED_STUDENTS = 5, 100
LINK_LOGIT, SHIFT_RANGE, LEFT_OUT = 0.5, (0.6, 1.5), 10
TRULY_OFF_DEG = 2.0
FLIGHT_SPEAKS_BITS = 0.5
COUNTED = {"bits": "counting", "random": "counting alone"}  # by the rule whose answers are counted


@dataclass(frozen=True)
class Results:
    """Students taught: truth (students, causes); marginals by rule and stage; counting's scores after each stage."""

    members: Ints
    truth: Array
    by_rule: dict[str, list[Array]]
    unlisted: list[Array]  # what the engine says of "something not listed", after each stage
    gone: Array  # students with an acting cause that the library does not list

    def chance(self, rule: str, stage: int) -> Array:
        return self.by_rule[rule][stage]


@dataclass(frozen=True)
class World:
    """What is true: a desk of the whole library, and how links and shifts differ from what it says."""

    full: Desk
    change: Change
    links: dict[str, Array]

    @classmethod
    def of(cls, full: Desk, random: np.random.Generator, disturb: frozenset[str] = frozenset()) -> World:
        """disturb: "links" by half a logit, "shifts" by factors from 0.6 to 1.5; nothing where empty."""
        links = {name: full.blank.links(name)[0] for name in full.findings}
        shifts = np.ones(full.model.unlisted)
        if "links" in disturb:
            links = {name: _disturbed(link, random) for name, link in links.items()}
        if "shifts" in disturb:
            shifts = random.uniform(*SHIFT_RANGE, full.model.unlisted)
        return cls(full, Change(shifts), links)


def _disturbed(links: Array, random: np.random.Generator) -> Array:
    with np.errstate(divide="ignore"):
        logit = np.log(links / (1.0 - links)) + LINK_LOGIT * random.normal(size=len(links))
    return np.asarray(1.0 / (1.0 + np.exp(-logit)))


def teach(world: World, taught: Desk, count: int, random: np.random.Generator, rules: tuple[str, ...]) -> Results:
    """Teach students of the world at a desk that may list fewer causes. rules: "bits", "random"."""
    lots = [_lot(world, taught, min(LOT, count - first), random, rules) for first in range(0, count, LOT)]
    joined = {
        rule: [np.concatenate([lot.by_rule[rule][s] for lot in lots]) for s in range(len(STAGES))]
        for rule in lots[0].by_rule
    }
    return Results(
        np.concatenate([lot.members for lot in lots]),
        np.concatenate([lot.truth for lot in lots]),
        joined,
        [np.concatenate([lot.unlisted[s] for lot in lots]) for s in range(len(STAGES))],
        np.concatenate([lot.gone for lot in lots]),
    )


def _lot(world: World, taught: Desk, count: int, random: np.random.Generator, rules: tuple[str, ...]) -> Results:
    drawn = draw(world.full.model, count, random, world.change)
    start = begun(taught, drawn)
    truth = Truth(world.full, drawn, world.links)
    members = as_listed(drawn.members, world.full, taught)
    by_rule, unlisted = {}, []
    causes = taught.model.unlisted
    for rule in rules:
        played = play(taught, drawn, truth, rule, random, start)
        by_rule[rule] = [rows[:, :causes] for rows in played.marginals]
        by_rule[COUNTED[rule]] = counted(taught, played, start)
        if rule == "bits":
            unlisted = [rows[:, causes] for rows in played.marginals]
            by_rule["single"] = [rows[:, :causes] for rows in played.singles]
    gone = (members == causes).any(axis=1) & (drawn.members != world.full.model.unlisted).all(axis=1)
    return Results(members, acts(members, causes), by_rule, unlisted, gone)


def as_listed(members: Ints, full: Desk, taught: Desk) -> Ints:
    """Members by their index at the taught desk; a cause that it does not list is its unlisted one."""
    causes = taught.model.unlisted
    place = np.array([*(taught.model.place.get(name, causes) for name in full.model.ids), causes, -1])
    return np.asarray(place[members])


def counted(desk: Desk, played: Played, start: Array) -> list[Array]:
    """Symptom counting with the same answers (students, causes) at each stage; ties go to the commoner cause.

    One for each finding that the cause makes, each check that speaks for it, and a flight that it makes likelier.
    """
    causes = desk.model.unlisted
    singles = np.flatnonzero((desk.model.sets.sizes == 1) & (desk.model.sets.members[:, 0] < causes))
    with np.errstate(divide="ignore"):
        flight = np.log2(start[:, singles] / desk.model.prior[singles]) - np.log2(start[:, :1] / desk.model.prior[0])
    speaks = np.array([item.rate[singles] > item.rate[0] + 1e-9 for item in desk.items])
    scores = []
    for stage in STAGES:
        score = (flight > FLIGHT_SPEAKS_BITS) + 1e-6 * desk.model.weights[:causes]
        for k, track in enumerate(played.tracks):
            for at, j, yes in track.answers:
                if yes and at + (not desk.items[j].question) * desk.items[j].minutes <= stage + 1e-9:
                    score[k] += speaks[j]
        scores.append(score)
    return scores


def without(library: Library, random: np.random.Generator) -> Library:
    """The library with one cause in ten left out."""
    left_out = set(random.choice(sorted(library.causes), len(library.causes) // LEFT_OUT, replace=False))
    return replace(library, causes={name: entry for name, entry in library.causes.items() if name not in left_out})


def sides(desk: Desk, drawn: Drawn) -> dict[str, tuple[int, float]]:
    """Path and face truly off by more than 2 deg with a club: how often, and how often the side is told right."""
    found: dict[str, list[bool]] = {"path": [], "face": []}
    for k in range(len(drawn)):
        if not any((np.abs(drawn.true[c][f"{n}_deg"][k]) > TRULY_OFF_DEG) for c in CLUBS for n in found):
            continue
        delivery = Delivery(desk.ranking(drawn.case(k, desk.level), {}))
        for club in CLUBS:
            said = delivery.intervals(club)
            for name, right in found.items():
                true = drawn.true[club][f"{name}_deg"][k]
                if abs(true) > TRULY_OFF_DEG:
                    right.append(bool(np.sign(said[f"{name}_deg"]["mid"]) == np.sign(true)))
    return {name: (len(right), float(np.mean(right))) for name, right in found.items() if right}


# --- in words -----------------------------------------------------------------------------------------------------


def main_rows(results: Results, families: list[str], random: np.random.Generator) -> list[str]:
    """The figures of the undisturbed run."""
    rows = []
    for s, stage in enumerate(STAGES):
        chance = results.chance("bits", s)
        error, noise = calibration(chance, results.truth, random)
        rows.append(
            f"after {stage:2.0f} minutes: first {hits(chance, results.truth, 1):.3f}, in the first three "
            f"{hits(chance, results.truth, 3):.3f}; calibration {error:.3f} (a perfect engine {noise:.3f}), "
            f"log loss {log_loss(chance, results.truth).mean():.3f}"
        )
    last = len(STAGES) - 1
    names = {
        "random": "random checks",
        "counting alone": "symptom counting, random checks",
        "counting": "symptom counting, same answers",
        "single": "naive Bayes, same answers",
    }
    for rule, name in names.items():
        if rule in results.by_rule:
            chance = results.chance(rule, last)
            rows.append(
                f"  {name}: first {hits(chance, results.truth, 1):.3f}, three {hits(chance, results.truth, 3):.3f}"
            )
    rows += _against_single(results, last, random)
    shown = by_family(results.chance("bits", last), results.truth, families, 3)
    rows.append(
        "family among the first three after 20 minutes: " + ", ".join(f"{f} {s:.2f} of {n}" for f, n, s in shown)
    )
    return rows


def _against_single(results: Results, stage: int, random: np.random.Generator) -> list[str]:
    ours, single = results.chance("bits", stage), results.chance("single", stage)
    two = (results.members >= 0).sum(axis=1) >= 2
    error = calibration(single, results.truth, random)[0]
    mine, theirs = log_loss(ours, results.truth), log_loss(single, results.truth)
    many = results.truth[two]
    return [
        f"  naive Bayes: calibration {error:.3f}, log loss {theirs.mean():.3f} against {mine.mean():.3f}",
        f"  two or more acting: log loss {theirs[two].mean():.3f} against {mine[two].mean():.3f}, first "
        f"{hits(single[two], many, 1):.3f} against {hits(ours[two], many, 1):.3f}",
    ]


def disturbed_row(name: str, results: Results, random: np.random.Generator) -> str:
    last = len(STAGES) - 1
    chance = results.chance("bits", last)
    error, noise = calibration(chance, results.truth, random)
    return (
        f"{name}: first {hits(chance, results.truth, 1):.3f}, three {hits(chance, results.truth, 3):.3f}, "
        f"calibration {error:.3f} ({noise:.3f}), log loss {log_loss(chance, results.truth).mean():.3f}"
    )


def unlisted_row(results: Results) -> str:
    """How "none of these" moves where an acting cause is not listed, and where all are."""
    gone = results.gone
    said = [f"{rows[gone].mean():.3f} against {rows[~gone].mean():.3f}" for rows in results.unlisted]
    return f"none of these, with a cause left out against without, after 0, 10, 20 minutes: {', '.join(said)}"


def refuted(desk: Desk, posterior: Array) -> tuple[Array, Array]:
    """What is said of "something not listed" (students,), and after "no" in every check of the five leading causes."""
    causes, sets = desk.model.unlisted, desk.model.sets
    checks = [j for j, item in enumerate(desk.items) if not item.question]
    single = np.flatnonzero((sets.sizes == 1) & (sets.members[:, 0] < causes))
    speaks = np.array([desk.items[j].rate[single] > 0.5 for j in checks])
    before, after = [], []
    for row in posterior.astype(float):
        leading = np.argsort(-marginals(sets, row)[:causes])[:REFUTED]
        no = [1.0 - desk.items[j].rate for j, of in zip(checks, speaks, strict=True) if of[leading].any()]
        before.append(marginals(sets, row)[causes])
        after.append(marginals(sets, normalised(row * np.prod(no, axis=0)))[causes])
    return np.array(before), np.array(after)


def simulate(
    library: Library, count: int, level: str = "intermediate", seed: int = 11, disturbed: int = 0
) -> Iterator[str]:
    """The lines of a run, as they are known. disturbed: students in each of the disturbed worlds; none where 0."""
    random = np.random.default_rng(seed)
    full = Desk(Bench(library), level)
    families = [candidate.entry["family"] for candidate in full.model.candidates]
    asked = len(full.items) + len(full.measuring)
    yield f"{count} students of {level} level, {full.model.unlisted} causes, {asked} questions and checks"
    yield from main_rows(teach(World.of(full, random), full, count, random, ("bits", "random")), families, random)
    for name, (off, right) in sides(full, draw(full.model, max(count // 20, 20), random)).items():
        yield f"side of the {name} right where truly off by more than 2 deg: {right:.3f} of {off}"
    if disturbed:
        yield from _disturbed_rows(library, full, disturbed, random)


def _disturbed_rows(library: Library, full: Desk, count: int, random: np.random.Generator) -> Iterator[str]:
    links = teach(World.of(full, random, frozenset({"links"})), full, count, random, ("bits",))
    yield disturbed_row("links disturbed by 0.5 logit", links, random)
    shifts = teach(World.of(full, random, frozenset({"shifts"})), full, count, random, ("bits",))
    yield disturbed_row("shifts times 0.6 to 1.5", shifts, random)
    fewer = Desk(Bench(without(library, random)), full.level)
    left = teach(World.of(full, random), fewer, count, random, ("bits",))
    yield disturbed_row("one cause in ten left out of the library", left, random)
    yield unlisted_row(left)
    some = begun(fewer, draw(full.model, REFUTED_STUDENTS, random))
    before, after = (float(chance.mean()) for chance in refuted(fewer, some))
    yield f"none of these, before and after every check of the five leaders says no: {before:.3f}, {after:.3f}"
