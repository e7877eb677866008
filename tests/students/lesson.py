"""Lessons with simulated students, many side by side: six questions, then checks until the time is up.

Every student has a posterior over the sets of the model, begun by the engine's own ranking of what the student says. A
question or check that answers yes or no has a rate of "yes" in every set, the engine's own factor; so one matrix
product tells what each of them would say of all students. A measured number is read off the student's true delivery and
ranked by the engine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.measuring_check import Reading, reading_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.next_check import LOOKED_AT, binary_entropy, lead_rise
from arclore.engine.diagnosis.played import Deliveries
from arclore.engine.diagnosis.posterior import Finding, check_factor, marginals
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.diagnosis.yes_no import test_of
from arclore.engine.quantities import Array
from scipy.sparse import csr_array

from tests.students.drawn import CLUBS, Drawn, Ints

ASKED = 6  # questions before the first check
QUESTION_MINUTES = 0.5  # a question and its answer (estimate)
STAGES = (0.0, 10.0, 20.0)  # minutes of checks after which the posterior is looked at
SENSITIVITY, SPECIFICITY = 0.80, 0.85
MAY_RISE = 1.3  # a measuring check is weighed again only where so many times what it last promised would win
KEPT_BYTES = 500_000_000
Singles = npt.NDArray[np.float32]


@dataclass(frozen=True)
class YesNo:
    """A question or a check that answers yes or no: its minutes, and P(yes | set) (sets,)."""

    id: str
    question: bool
    minutes: float
    rate: Array


@dataclass
class Track:
    """What happened in one student's lesson: (stage, item, answer), and the readings of measured numbers."""

    answers: list[tuple[float, int, bool]] = field(default_factory=list)
    readings: list[tuple[float, str, float]] = field(default_factory=list)


class Desk:
    """A library's model for the two clubs at one level, with all that may be asked or checked."""

    def __init__(self, bench: Bench, level: str) -> None:
        self.bench = bench
        self.level = level
        start = {"handed": "right", "level": level, "shots": [{"club": club} for club in CLUBS]}
        self.model: Model = bench.model(bench.case(start))
        self.model.kept.most_bytes = KEPT_BYTES
        self.blank = bench.ranking(bench.case(start))

    @cached_property
    def items(self) -> list[YesNo]:
        """Questions first, then the checks that answer yes or no, each in order of id."""
        sets, found = self.model.sets, []
        for name in self.findings:
            links, leak = self.blank.links(name)
            found.append(YesNo(name, True, QUESTION_MINUTES, Finding.present(links, leak).factor(sets)))
        for name in self.checks:
            check = self.bench.library.checks[name]
            members = test_of(self.model, check).members
            if members.any():
                rate = check_factor(sets, members, SENSITIVITY, SPECIFICITY, True)
                found.append(YesNo(name, False, float(check["minutes"]), rate))
        return found

    @cached_property
    def findings(self) -> list[str]:
        """The symptoms that candidates name and a coach can ask about."""
        named = {link["symptom"] for c in self.model.candidates for link in c.entry.get("leads_to", ())}
        symptoms = self.bench.library.symptoms
        return sorted(name for name in named if "leak" in symptoms[name] and not symptoms[name].get("safety"))

    @cached_property
    def checks(self) -> list[str]:
        return self._of_type("likelihood")

    @cached_property
    def measuring(self) -> list[str]:
        return self._of_type("measurement")

    def _of_type(self, kind: str) -> list[str]:
        checks = self.bench.library.checks
        return sorted(
            name
            for name, check in checks.items()
            if check["type"] == kind and "retired" not in check and any(covers(check["clubs"], c) for c in CLUBS)
        )

    @cached_property
    def rates(self) -> Singles:
        """P(yes | set) of every item (sets, items)."""
        return np.array([item.rate for item in self.items], dtype=np.float32).T.copy()

    @cached_property
    def akin(self) -> dict[int, list[int]]:
        """The questions that ask much the same as one, which need not be asked after it."""
        symptoms = self.bench.library.symptoms
        mine = [set(symptoms[i.id].get("akin_to", ())) if i.question else set() for i in self.items]
        return {
            j: [k for k, other in enumerate(self.items) if other.id in mine[j] or item.id in mine[k]]
            for j, item in enumerate(self.items)
        }

    @cached_property
    def doubts(self) -> Singles:
        """Entropy of every item's answer in every set, bits (sets, items)."""
        return np.asarray(binary_entropy(self.rates), dtype=np.float32)

    @cached_property
    def minutes(self) -> Array:
        """Of every item, the measuring checks after them."""
        checks = self.bench.library.checks
        return np.array(
            [*(i.minutes for i in self.items), *(float(checks[name]["minutes"]) for name in self.measuring)]
        )

    def ranking(self, given: Mapping[str, Any], readings: Mapping[str, float]) -> Ranking:
        return self.bench.ranking(self.bench.case({**given, "checks": dict(readings)}))

    @cached_property
    def holds(self) -> csr_array:
        """Which sets hold each listed cause: 1 or 0, (causes, sets)."""
        sets, rows = self.model.sets, np.arange(len(self.model.prior))
        members, places = np.concatenate(sets.columns), np.tile(rows, len(sets.columns))
        listed = members < self.model.unlisted
        of = np.ones(listed.sum(), dtype=np.float32), (members[listed], places[listed])
        return csr_array(of, shape=(self.model.unlisted, len(rows)))

    def rises(self, posterior: Singles, which: Ints) -> Array:
        """How much the leader rises, on average, by the answer of each of some yes/no items: `lead_rise` of all."""
        now, yes = self.holds @ posterior, self.holds @ (self.rates[:, which] * posterior[:, None])
        return np.asarray(yes.max(axis=0) + (now[:, None] - yes).max(axis=0) - now.max())

    def bits(self, posterior: Singles) -> Array:
        """Expected bits (students, items) of every yes/no item."""
        return np.asarray(binary_entropy(posterior @ self.rates) - posterior @ self.doubts)


class Truth:
    """What the world answers: the students' own causes with the links that hold in truth, and true deliveries."""

    def __init__(self, full: Desk, drawn: Drawn, links: Mapping[str, Array]) -> None:
        """full: the desk of the library that the students were drawn from. links: finding -> (members,) in truth."""
        self.full = full
        self.drawn = drawn
        self.links = links
        self._tests: dict[str, Array] = {}

    def chance(self, item: YesNo, k: int) -> float:
        """The chance that an item is answered yes for student k."""
        members = [i for i in self.drawn.members[k] if i >= 0]
        if item.question:
            leak = self.full.blank.links(item.id)[1]
            return 1.0 - (1.0 - leak) * float(np.prod(1.0 - self.links[item.id][members]))
        if item.id not in self._tests:
            self._tests[item.id] = test_of(self.full.model, self.full.bench.library.checks[item.id]).members
        return SENSITIVITY if self._tests[item.id][members].any() else 1.0 - SPECIFICITY

    def reading(self, check: Mapping[str, Any], k: int, random: np.random.Generator) -> float:
        """A measured number of student k, with the check's own error."""
        club = next(c for c in CLUBS if covers(check["clubs"], c))
        said = check["measurement"]
        return float(self.drawn.true[club][said["quantity"]][k] + said["error_sd"] * random.normal())


@dataclass
class Played:
    """Posterior marginals (students, members) at each of the STAGES, and what was asked of each student."""

    marginals: list[Array]
    singles: list[Array]  # the same where at most one cause acts: naive Bayes with the same geometry
    tracks: list[Track]
    posterior: Singles  # (students, sets) after the last stage


def begun(desk: Desk, drawn: Drawn) -> Singles:
    """The posterior (students, sets) of what each student says of the ball."""
    keys, first, same = np.unique(drawn.keys(), return_index=True, return_inverse=True)
    rows = np.empty((len(keys), len(desk.model.prior)), dtype=np.float32)
    for row, k in enumerate(first):
        rows[row] = desk.ranking(drawn.case(int(k), desk.level), {}).probability
    return np.asarray(rows[same.ravel()])


def play(
    desk: Desk, drawn: Drawn, truth: Truth, rule: str, random: np.random.Generator, start: Singles | None = None
) -> Played:
    """The lessons of a lot of students. rule: "bits", what the engine suggests, or "random" checks."""
    posterior = begun(desk, drawn) if start is None else start.copy()
    lesson = _Lesson(desk, drawn, truth, posterior, random)
    for _ in range(ASKED):
        lesson.step(np.where(lesson.is_question, np.inf, 0.0) * np.ones(len(drawn))[:, None], "bits", free=True)
    result = Played([], [], lesson.tracks, lesson.posterior)
    for stage in STAGES:
        while lesson.step(lesson.time_to(stage), rule):
            pass
        result.marginals.append(lesson.marginals())
        result.singles.append(lesson.marginals(at_most=1))
    return result


class _Lesson:
    def __init__(self, desk: Desk, drawn: Drawn, truth: Truth, posterior: Singles, random: np.random.Generator) -> None:
        self.desk, self.drawn, self.truth, self.posterior, self.random = desk, drawn, truth, posterior, random
        count = len(drawn)
        self.tracks = [Track() for _ in range(count)]
        self.rankings: dict[int, Ranking] = {}
        self.spent = np.zeros(count)
        self.open = np.ones((count, len(desk.minutes)), dtype=bool)
        yes_no = np.array([item.question for item in desk.items])
        self.is_question = np.append(yes_no, np.zeros(len(desk.measuring), dtype=bool))
        self.promised = np.full((count, len(desk.measuring)), np.inf)  # worth of measuring checks when last worked out
        self.rule = desk.model.settings["next_check"]

    def time_to(self, stage: float) -> Array:
        """How long what is done next may take, (students, 1)."""
        return np.asarray(stage - self.spent)[:, None]

    def step(self, allowed: Array, rule: str, free: bool = False) -> bool:
        """One more question or check for every student whom one fits; False where none does for anybody."""
        fits = self.open & (self.desk.minutes <= allowed + 1e-9)
        able = np.flatnonzero(fits.any(axis=1))
        if not len(able):
            return False
        wanted = self._wanted(able, fits[able], rule, free)
        best = np.argmax(np.where(fits[able], wanted, -np.inf), axis=1)
        for k, j in zip(able, best, strict=True):
            self._do(int(k), int(j), free)
        return True

    def _wanted(self, able: Ints, fits: npt.NDArray[np.bool_], rule: str, free: bool) -> Array:
        if rule == "random":
            return self.random.random(fits.shape) - self.is_question
        worth = np.concatenate([self.desk.bits(self.posterior[able]), self.promised[able]], axis=1)
        if free:
            return worth
        cost, first = self.desk.minutes + self.rule["overhead_minutes"], len(self.desk.items)
        for row, k in enumerate(able):
            looked = np.argsort(-np.where(fits[row, :first], worth[row, :first] / cost[:first], -1.0))[:LOOKED_AT]
            worth[row, looked] += self.rule["lead_bits"] * self.desk.rises(self.posterior[k], looked)
        best = np.where(fits[:, :first], worth[:, :first] / cost[:first], 0.0).max(axis=1)
        near = fits[:, first:] & (MAY_RISE * worth[:, first:] / cost[first:] > best[:, None])
        for row in np.flatnonzero(near.any(axis=1)):
            for m, again in self._measured_worth(int(able[row]), np.flatnonzero(near[row])):
                worth[row, first + m] = self.promised[able[row], m] = again
        return np.asarray(worth / cost)

    def _measured_worth(self, k: int, which: Ints) -> Iterator[tuple[int, float]]:
        """What some measuring checks promise student k, from deliveries that fit what was told."""
        if k not in self.rankings:
            self.rankings[k] = self.desk.ranking(self.drawn.case(k, self.desk.level), {})
        ranking = self.rankings[k]
        ranking.__dict__["probability"] = self.posterior[k]
        deliveries = Deliveries(ranking)
        for m in which:
            read = reading_of(deliveries, self.desk.bench.library.checks[self.desk.measuring[m]])
            yield int(m), 0.0 if read is None else self._worth(read)

    def _worth(self, read: Reading) -> float:
        rise = lead_rise(self.desk.model.sets, read.probability, read.shows().values())
        return read.bits() + float(self.rule["lead_bits"]) * rise

    def _do(self, k: int, j: int, free: bool) -> None:
        self.open[k, j] = False
        first = len(self.desk.items)
        if j >= first:
            self._measure(k, self.desk.measuring[j - first])
        else:
            yes = self.random.random() < self.truth.chance(self.desk.items[j], k)
            rate = self.desk.rates[:, j]
            self.posterior[k] *= rate if yes else 1.0 - rate
            self.tracks[k].answers.append((float(self.spent[k]), j, bool(yes)))
            self.open[k, self.desk.akin[j]] = False
        self.posterior[k] /= self.posterior[k].sum()
        if not free:
            self.spent[k] += self.desk.minutes[j]

    def _measure(self, k: int, name: str) -> None:
        desk, track = self.desk, self.tracks[k]
        value = self.truth.reading(desk.bench.library.checks[name], k, self.random)
        given = self.drawn.case(k, desk.level)
        before = {n: v for _, n, v in track.readings}
        track.readings.append((self.spent[k], name, value))
        rankings = desk.ranking(given, before), desk.ranking(given, before | {name: value})
        old, new = (ranking.flight(frozenset(ranking.answers)) for ranking in rankings)
        self.posterior[k] *= new / old

    def marginals(self, at_most: int = 3) -> Array:
        """P(member acts), (students, members); at_most: how many may act at once."""
        sets = self.desk.model.sets
        kept = np.where(sets.sizes <= at_most, self.posterior, 0.0).astype(float)
        kept /= kept.sum(axis=1, keepdims=True)
        return np.array([marginals(sets, row) for row in kept])
