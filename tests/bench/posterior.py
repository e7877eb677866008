"""Posterior of a net of 12 causes and 8 findings over all 4,096 sets, against pgmpy's variable elimination.

Both sides answer the same query, all 12 marginals, with what can be prepared once a library prepared: for the engine
the list of sets and their prior, for pgmpy the net and its inference object. pyAgrum is there for the record.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
from arclore.engine.diagnosis.posterior import Finding, Sets, all_sets, marginals, normalised, prior_of_sets
from arclore.engine.quantities import Array

from tests.diagnosis.formulas import independent_sizes
from tests.diagnosis.oracles import Answered, Net, noisy_or_tables, pgmpy_model, pyagrum_noisy_or, quiet_import

NETS = 10
REPEATS = 7


def best(*calls: Callable[[], Any]) -> tuple[list[float], list[Any]]:
    """The least time of each call, in seconds, and its result; the calls take turns, so that a busy spell hits all."""
    times: list[list[float]] = [[] for _ in calls]
    for _ in range(REPEATS):
        results = []
        for call, spent in zip(calls, times, strict=True):
            began = time.perf_counter()
            results.append(call())
            spent.append(time.perf_counter() - began)
    return [min(spent) for spent in times], results


def by_engine(net: Net, sets: Sets, prior: Array, answered: Answered) -> Array:
    mass = prior.copy()
    for j, seen in answered.states().items():
        make = Finding.present if seen else Finding.absent
        mass *= make(net.links[:, j], float(net.leak[j])).factor(sets)
    return marginals(sets, normalised(mass))


def by_pgmpy(inference: Any, causes: list[str], evidence: dict[str, int]) -> Array:
    return np.array([inference.query([c], evidence, show_progress=False).values[1] for c in causes])


def by_pyagrum(inference: Any, causes: list[str], evidence: dict[str, int]) -> Array:
    inference.eraseAllEvidence()
    inference.setEvidence(evidence)
    inference.makeInference()
    return np.array([inference.posterior(c)[1] for c in causes])


def run() -> list[str]:
    """The median net's times and ratios, and the greatest difference of any marginal."""
    elimination = quiet_import("pgmpy.inference").VariableElimination
    propagation = quiet_import("pyagrum").LazyPropagation
    sets = all_sets(12, 12)
    rows, apart = [], 0.0
    for seed in range(NETS):
        net = Net.drawn(seed)
        answered = Answered.drawn(seed, net)
        causes = [f"c{i}" for i in range(12)]
        evidence = {f"f{j}": state for j, state in answered.states().items()}
        prior = prior_of_sets(sets, net.odds, independent_sizes(net.odds))
        outside, other = elimination(pgmpy_model(noisy_or_tables(net))), propagation(pyagrum_noisy_or(net))
        spent, (marginal, *others) = best(
            partial(by_engine, net, sets, prior, answered),
            partial(by_pgmpy, outside, causes, evidence),
            partial(by_pyagrum, other, causes, evidence),
        )
        apart = max(apart, *(float(np.abs(marginal - theirs).max()) for theirs in others))
        rows.append(spent)
    times = np.array(rows)
    engine, pgmpy, pyagrum = np.median(times, axis=0) * 1e3
    to_pgmpy, to_pyagrum = times[:, 1] / times[:, 0], times[:, 2] / times[:, 0]
    return [
        f"{NETS} nets of 12 x 8, 4 present, 3 absent, all {len(sets.sizes)} sets, 12 marginals, best of {REPEATS}",
        f"engine {engine:.2f} ms, pgmpy variable elimination {pgmpy:.2f} ms, pyAgrum lazy propagation {pyagrum:.2f} ms",
        f"{np.median(to_pgmpy):.1f}x pgmpy (nets {to_pgmpy.min():.1f} to {to_pgmpy.max():.1f}), "
        f"{np.median(to_pyagrum):.1f}x pyAgrum, marginals apart by {apart:.1e} at most",
    ]
