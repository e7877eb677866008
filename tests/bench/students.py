"""Simulated students: how good and how honest the ranking is on complaints made by the library's own prior.

A student is a set of acting causes drawn from the prior, sizes, the player's own and each club's deviations. The full
geometry says what the typical ball does with a driver and a mid iron; the student says start, bend, height and contact
of it, and a coach asks six findings. Then 20 minutes of checks with readings right 80 times in 100 where the cause acts
and 85 where it does not, chosen by the engine, at random, or after counting matching symptoms. The simulation compares
rules and measures calibration on the model's own terms; it does not say how well real lessons are diagnosed.

``python -m tests.bench students`` runs STUDENTS of them; ``python -m tests.bench.students 10000`` as many as asked.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import amounts, covers, moved
from arclore.engine.diagnosis.posterior import check_factor, marginals, normalised
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.geometry.shot import CONTACTS, deliver, shot
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array
from scipy.special import gammaincinv, ndtr

STUDENTS = 400
CLUBS = ("driver", "mid-iron")
INPUTS = ("swing_direction_deg", "face_deg", "low_point_cm", "arc_height_mm", "loft_deg", "strike_toe_mm")
ASKED = 6
MINUTES = 20.0
OVERHEAD = 2.0
SENSITIVITY, SPECIFICITY = 0.80, 0.85


@dataclass
class Tally:
    """What was seen over many students."""

    leaders: list[tuple[float, bool]] = field(default_factory=list)
    hits: Counter[str] = field(default_factory=Counter)
    log_loss: list[float] = field(default_factory=list)
    families: Counter[str] = field(default_factory=Counter)
    of_families: Counter[str] = field(default_factory=Counter)
    sides: Counter[str] = field(default_factory=Counter)


def student(model: Model, random: np.random.Generator) -> tuple[list[int], dict[str, Any]]:
    """The acting causes (indices of candidates) and the case that the student brings."""
    while True:
        row = random.choice(len(model.prior), p=model.prior)
        members = [int(i) for i in model.sets.members[row] if i <= model.unlisted]
        if model.unlisted not in members:
            break
    sizes = [_size(model.candidates[i].size_spread, random) for i in members]
    own = random.normal(size=len(INPUTS))
    shots = []
    for name in CLUBS:
        condition = model.conditions[name]
        shots.append({"club": name, **_told(condition, model, members, sizes, own, random)})
    return members, {"handed": "right", "level": model.level, "shots": shots}


def _size(spread: float, random: np.random.Generator) -> float:
    if spread <= 0:
        return 1.0
    shape = 1.0 / spread**2
    return float(gammaincinv(shape, ndtr(random.normal())) / shape)


def _told(
    condition: Condition,
    model: Model,
    members: Sequence[int],
    sizes: Sequence[float],
    own: Array,
    random: np.random.Generator,
) -> dict[str, Any]:
    """What the student says of the typical ball with this club."""
    spreads = model.settings["spreads"]
    change: dict[str, Any] = {}
    for j, name in enumerate(INPUTS):
        sd = spreads["club"][condition.level][name]
        change[name] = spreads["own"][condition.level][name] * own[j] + sd * random.normal()
    for i, size in zip(members, sizes, strict=True):
        for name, amount in amounts(model.candidates[i].entry, condition.club.family).items():
            change[name] = change.get(name, 0.0) + amount * size
    change = {name: np.clip(np.array([value]), -40.0, 40.0) for name, value in change.items()}
    swing, set_up = moved(condition.swing, condition.set_up, condition.club, change)
    points = condition.points(change)
    words: dict[str, Any] = {}
    blur = condition.blur
    for block, variables in (("direction", ("start", "curve")), ("strike", ("height",))):
        place = points[block][0] + blur[block] * random.normal(size=len(blur[block]))
        for variable in variables:
            words[variable] = _word(condition, block, variable, place)
    played = shot(swing, set_up, condition.club, flight=False)
    delivered = deliver(swing, set_up, condition.club)
    words["contact"] = [CONTACTS[int(np.ravel(played.contact)[0])]]
    words["_path"] = float(np.ravel(delivered.path_deg)[0])
    words["_face"] = float(np.ravel(delivered.face_deg)[0])
    return words


def _word(condition: Condition, block: str, variable: str, place: Array) -> str:
    options = {
        "start": ("left", "on-line", "right"),
        "curve": ("left", "none", "right"),
        "height": ("low", "normal", "high"),
    }[variable]
    grid = condition.grids[block] if hasattr(condition, "grids") else None
    assert grid is not None
    index = grid.index(place[None])[0]
    shares = [grid.fine(condition.region(variable, option))[index] for option in options]
    return options[int(np.argmax(shares))]


def findings(
    model: Model, ranking: Ranking, members: Sequence[int], random: np.random.Generator
) -> dict[str, list[str]]:
    """Six findings a coach asks: drawn among those that the candidates name, answered by the library's own links."""
    names = sorted({link["symptom"] for c in model.candidates for link in c.entry.get("leads_to", ())})
    names = [n for n in names if "leak" in ranking.symptoms[n] and not ranking.symptoms[n].get("safety")]
    answers: dict[str, list[str]] = {"present": [], "absent": []}
    for name in random.choice(names, size=ASKED, replace=False):
        links, leak = ranking.links(str(name))
        chance = 1.0 - (1.0 - leak) * np.prod(1.0 - links[list(members)])
        answers["present" if random.random() < chance else "absent"].append(str(name))
    return answers


def lesson(ranking: Ranking, members: Sequence[int], rule: str, random: np.random.Generator) -> Array:
    """Marginals after 20 minutes of checks chosen by a rule: bits, random."""
    model = ranking.model
    mass = ranking.probability.copy()
    tests = _tests(ranking)
    left = MINUTES
    order = random.permutation(len(tests))
    while tests and left > 0:
        if rule == "random":
            pick = int(order[0])
            order = order[1:]
            if not len(order):
                break
        else:
            from arclore.engine.diagnosis.next_check import binary_bits

            held = [float(mass[hit].sum()) for _, hit, _, _ in tests]
            gain = [
                binary_bits(p, SENSITIVITY, SPECIFICITY) / (m + OVERHEAD)
                for p, (_, _, m, _) in zip(held, tests, strict=True)
            ]
            pick = int(np.argmax(gain))
        mask, _, minutes, _ = tests[pick]
        if minutes > left:
            break
        left -= minutes
        acts = bool(mask[list(members)].any())
        positive = random.random() < (SENSITIVITY if acts else 1 - SPECIFICITY)
        mass = normalised(mass * check_factor(model.sets, mask, SENSITIVITY, SPECIFICITY, positive))
        if rule != "random":
            tests.pop(pick)
    return marginals(model.sets, mass)


def _tests(ranking: Ranking) -> list[tuple[Any, Any, float, str]]:
    from arclore.engine.diagnosis.yes_no import test_of

    found = []
    for name, check in sorted(ranking.checks.items()):
        if check["type"] == "likelihood" and any(covers(check["clubs"], c) for c in CLUBS):
            mask = test_of(ranking.model, check).members
            if mask.any():
                found.append((mask, ranking.model.sets.holding(mask), float(check["minutes"]), name))
    return found


def counted(ranking: Ranking, case: dict[str, Any]) -> Array:
    """Symptom counting: each cause's number of present findings that it names, and flight words it makes likelier."""
    score = np.zeros(ranking.model.unlisted + 1)
    for name in case.get("present", ()):
        score += ranking.links(name)[0] > 0
    return score + (ranking.flight_bits > 0.5)


def simulate(count: int, level: str = "intermediate", seed: int = 11) -> list[str]:
    random = np.random.default_rng(seed)
    bench = Bench(load_library())
    start = {"handed": "right", "level": level, "shots": [{"club": club} for club in CLUBS]}
    model = bench.model(bench.case(start))
    tally = Tally()
    for _ in range(count):
        members, given = student(model, random)
        truth = {s["club"]: (s.pop("_path"), s.pop("_face")) for s in given["shots"]}
        empty = Ranking(model, bench.case(start), bench.library.symptoms, bench.library.checks)
        given |= findings(model, empty, members, random)
        ranking = Ranking(model, bench.case(given), bench.library.symptoms, bench.library.checks)
        _count(tally, ranking, members, given, truth, random)
    return _report(tally, count)


def _count(
    tally: Tally,
    ranking: Ranking,
    members: Sequence[int],
    given: dict[str, Any],
    truth: dict[str, tuple[float, float]],
    random: np.random.Generator,
) -> None:
    model = ranking.model
    listed = ranking.marginal[: model.unlisted]
    order = np.argsort(-listed)
    for stage, chances in (
        ("answers", listed),
        *((rule, lesson(ranking, members, rule, random)[: model.unlisted]) for rule in ("bits", "random")),
    ):
        best = np.argsort(-chances)
        tally.hits[f"{stage} first"] += int(best[0]) in members
        tally.hits[f"{stage} third"] += bool(set(map(int, best[:3])) & set(members))
        tally.leaders.append((float(chances[best[0]]), int(best[0]) in members)) if stage == "answers" else None
    by_count = np.argsort(-counted(ranking, given)[: model.unlisted] - 1e-6 * model.weights[: model.unlisted])
    tally.hits["counting first"] += int(by_count[0]) in members
    tally.hits["counting third"] += bool(set(map(int, by_count[:3])) & set(members))
    acts = np.isin(np.arange(model.unlisted), members)
    p = np.clip(listed, 1e-9, 1 - 1e-9)
    tally.log_loss.append(float(-np.where(acts, np.log(p), np.log(1 - p)).sum()))
    for i in members:
        family = model.candidates[i].entry["family"]
        tally.of_families[family] += 1
        tally.families[family] += int(order[0]) == i or family in {
            model.candidates[j].entry["family"] for j in order[:3]
        }
    from arclore.engine.diagnosis.delivery import Delivery

    if random.random() < 0.25:
        delivery = Delivery(ranking)
        for club, (path, face) in truth.items():
            said = delivery.intervals(club)
            for name, value in (("path", path), ("face", face)):
                if abs(value) > 2.0:
                    tally.sides[f"{name} asked"] += 1
                    tally.sides[f"{name} right"] += np.sign(said[f"{name}_deg"]["mid"]) == np.sign(value)


def _report(tally: Tally, count: int) -> list[str]:
    leaders = sorted(tally.leaders)
    bins = np.array_split(np.array(leaders), 10)
    error = float(np.mean([abs(b[:, 0].mean() - b[:, 1].mean()) for b in bins]))
    rows = [f"{count} students, driver and mid iron, all words told, {ASKED} findings asked"]
    rows += [f"{name}: {hits / count:.3f}" for name, hits in sorted(tally.hits.items())]
    rows.append(f"calibration of the leader's probability, 10 equal-count bins: mean difference {error:.3f}")
    rows.append(f"log loss a student: {np.mean(tally.log_loss):.3f}")
    for name in ("path", "face"):
        asked = tally.sides[f"{name} asked"]
        if asked:
            right = tally.sides[f"{name} right"] / asked
            rows.append(f"side of the {name} right where truly off by more than 2 deg: {right:.3f} of {asked}")
    best = sorted(tally.of_families, key=lambda f: -tally.of_families[f])[:12]
    rows.append(
        "in the first three by family: "
        + ", ".join(f"{f} {tally.families[f] / tally.of_families[f]:.2f}" for f in best)
    )
    return rows


def run() -> list[str]:
    return simulate(STUDENTS)


if __name__ == "__main__":
    print("\n".join(simulate(int(sys.argv[1]) if len(sys.argv) > 1 else STUDENTS)))
