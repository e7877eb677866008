"""Ranking as the library grows: the built-in one, then copies of its causes with sizes of their own.

Each line is one complaint of eight answers with two clubs: driver and short iron. Nothing is named as a reference here:
the figures are seconds of this machine, to be read beside each other.
"""

from __future__ import annotations

import random
import resource
import time
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from arclore.engine.diagnosis.left_out import of_two
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.triage import Bench, triage, unfolding
from arclore.engine.library.stack import load_library

CASE: dict[str, Any] = {
    "handed": "right",
    "level": "novice",
    "shots": [
        {"club": "driver", "start": "left", "curve": "right", "bend": "strong", "height": "low", "contact": ["thin"]},
        {"club": "short-iron", "start": "left", "curve": "none", "contact": ["fat"], "turf": ["behind"]},
    ],
}
SIZES = (160, 300, 600, 1000)
MANY = 10_000


def run() -> list[str]:
    bench = Bench(load_library())
    triage(CASE, bench)  # imports and tables
    case = bench.case(CASE)

    def answered() -> None:
        bench.model(case).kept.clear()  # nothing is left from the time before
        triage(CASE, bench)

    rows = [f"built-in library, answer with shares of all answers: {_timed(answered):.2f} s"]
    conditions = bench.model(case).conditions
    library = bench.library
    for count in SIZES:
        causes = grown(library.causes, count)
        start = time.perf_counter()
        model = Model(causes, library.settings, case.families, conditions, case.level)

        def ranked(model: Model = model) -> None:
            model.kept.clear()
            assert Ranking(model, case, library.symptoms, library.checks).marginal.sum() > 0

        ranked()
        built = time.perf_counter() - start
        rows.append(
            f"{len(model.ids)} causes, {len(model.sets.sizes)} sets: ranked in {_timed(ranked):.3f} s,"
            f" tables {built:.1f} s, peak memory so far {_peak_mb():.0f} MB"
        )
    return rows + _many(bench)


def _many(bench: Bench) -> list[str]:
    """A library so large that one cause at a time is ranked, and pairs of its classes once that is told."""
    library = bench.library
    large = Bench(replace(library, causes=grown(library.causes, MANY)))
    large._plain = bench._plain  # the same clubs: their tables are laid already
    case = large.case(CASE)

    def ranked() -> None:
        large.model(case).kept.clear()
        assert large.ranking(case).marginal.sum() > 0

    def paired() -> None:
        large.model(case, paired=True).kept.clear()
        found.append(of_two(large.pairs(case))["sets_of_two"])

    found: list[dict[str, Any]] = []
    built = {work: _timed(work, 1) for work in (ranked, paired)}
    return [
        f"{MANY} causes, one at a time: ranked in {_timed(ranked):.3f} s, tables {built[ranked]:.1f} s",
        f"{MANY} causes, pairs of {found[0]['classes']} classes: {_timed(paired):.1f} s, with tables"
        f" {built[paired]:.1f} s, peak memory so far {_peak_mb():.0f} MB",
        f"{MANY} causes, whole answer without what is doubtful: {_timed(lambda: [*unfolding(CASE, large)], 1):.1f} s",
    ]


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _timed(work: Any, times: int = 3) -> float:
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def grown(causes: Mapping[str, Mapping[str, Any]], count: int) -> dict[str, dict[str, Any]]:
    """That many full-swing causes: the library's own, then copies whose sizes differ by up to a half."""
    chance = random.Random(5)
    own = {name: dict(entry) for name, entry in causes.items() if "full-swing" in entry["clubs"]}
    result = dict(list(own.items())[:count])
    while len(result) < count:
        name = chance.choice(sorted(own))
        entry = dict(own[name])
        entry["moves"] = [{**m, "size": m["size"] * chance.uniform(0.5, 1.5)} for m in entry.get("moves", ())]
        entry["exclusive_with"] = []
        result[f"{name}-{len(result)}"] = entry
    return result
