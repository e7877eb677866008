"""Other ways to the same posterior: two exact algorithms of the literature, and two outside programs.

A two-layer net is described by `Net`; every oracle answers with P(evidence) and the marginals of its causes.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from itertools import chain, combinations
from typing import Any

import numpy as np
from arclore.engine.diagnosis.posterior import Finding, Sets, all_sets, marginals, normalised, prior_of_sets
from arclore.engine.quantities import Array

from tests.diagnosis.formulas import independent_sizes


@dataclass(frozen=True)
class Net:
    """Independent causes (n,) and leaky noisy-OR findings: links (n, m), leak (m,)."""

    chance: Array
    links: Array
    leak: Array

    @property
    def odds(self) -> Array:
        return self.chance / (1.0 - self.chance)

    @classmethod
    def drawn(cls, seed: int, causes: int = 12, findings: int = 8, density: float = 0.4) -> Net:
        """A random net whose links are there with this density, so that some findings have one cause and some many."""
        rng = np.random.default_rng(seed)
        there = rng.random((causes, findings)) < density
        links = rng.uniform(0.05, 0.97, (causes, findings)) * there
        return cls(rng.uniform(0.02, 0.3, causes), links, rng.uniform(0.005, 0.3, findings))


@dataclass(frozen=True)
class Answered:
    """What was seen of each finding; a finding in neither was not asked."""

    present: tuple[int, ...]
    absent: tuple[int, ...]

    @classmethod
    def drawn(cls, seed: int, net: Net) -> Answered:
        """Four findings present, three absent, the rest not asked, whatever the net makes likely."""
        order = np.random.default_rng(seed + 10_000).permutation(len(net.leak))
        return cls(tuple(int(j) for j in order[:4]), tuple(int(j) for j in order[4:7]))

    def states(self) -> dict[int, int]:
        return {**dict.fromkeys(self.present, 1), **dict.fromkeys(self.absent, 0)}


def ours(net: Net, answered: Answered, sets: Sets | None = None) -> tuple[float, Array, Array]:
    """P(evidence), marginals and the posterior of every set, by the engine; all subsets where no sets are given."""
    sets = sets or all_sets(len(net.chance), len(net.chance))
    mass = prior_of_sets(sets, net.odds, independent_sizes(net.odds))
    for j, seen in answered.states().items():
        make = Finding.present if seen else Finding.absent
        mass = mass * make(net.links[:, j], float(net.leak[j])).factor(sets)
    posterior = normalised(mass)
    return float(mass.sum()), marginals(sets, posterior), posterior


def quickscore_terms(net: Net, answered: Answered) -> dict[tuple[int, ...], float]:
    """The signed terms whose sum, times (1 - leak) of the absent findings, is P(evidence). Heckerman 1989."""
    kept = (1.0 - net.links[:, list(answered.absent)]).prod(axis=1)
    terms = {}
    present = answered.present
    for chosen in chain.from_iterable(combinations(present, size) for size in range(len(present) + 1)):
        silent = (1.0 - net.links[:, list(chosen)]).prod(axis=1)
        leak = (1.0 - net.leak[list(chosen)]).prod()
        terms[chosen] = float((-1) ** len(chosen) * leak * (1 - net.chance + net.chance * kept * silent).prod())
    return terms


def or_pass(weights: Array, sizes: Array, links: Array, leak: Array, answered: Answered) -> tuple[float, Array]:
    """P(evidence) and marginals where a set S has the prior sizes[|S|] prod w, by a pass over the causes.

    The state is how many causes act and which of the present findings are made so far. Every step adds and multiplies
    numbers >= 0 (no inclusion and exclusion), and no set is ever listed, so it shares nothing with the engine.
    """
    bits, largest = len(answered.present), len(sizes) - 1
    kept = weights * (1.0 - links[:, list(answered.absent)]).prod(axis=1)
    wanted = links[:, list(answered.present)]

    def made(state: Array, chances: Array) -> Array:
        """Let each missing finding be made with its chance."""
        for bit, chance in enumerate(chances):
            rows = state.reshape(len(state), -1, 2, 1 << bit)
            rows = np.stack([rows[:, :, 0] * (1 - chance), rows[:, :, 1] + rows[:, :, 0] * chance], axis=2)
            state = rows.reshape(len(state), -1)
        return state

    def unmade(value: Array, chances: Array) -> Array:
        """The transpose of `made`."""
        for bit, chance in enumerate(chances):
            rows = value.reshape(len(value), -1, 2, 1 << bit)
            rows = np.stack([rows[:, :, 0] * (1 - chance) + rows[:, :, 1] * chance, rows[:, :, 1]], axis=2)
            value = rows.reshape(len(value), -1)
        return value

    start = np.zeros((largest + 1, 1 << bits))
    start[0, 0] = (1.0 - leak[list(answered.absent)]).prod()
    forward = [made(start, leak[list(answered.present)])]
    for i in range(len(weights)):
        acting = np.zeros_like(start)
        acting[1:] = kept[i] * made(forward[-1][:-1], wanted[i])
        forward.append(forward[-1] + acting)
    after = np.zeros_like(start)
    after[:, -1] = sizes
    total = float((forward[-1] * after).sum())
    marginal = np.zeros(len(weights))
    for i in reversed(range(len(weights))):
        acting = np.zeros_like(start)
        acting[:-1] = kept[i] * unmade(after[1:], wanted[i])
        marginal[i] = float((forward[i] * acting).sum()) / total
        after = after + acting
    return total, marginal


def independent_weights(net: Net) -> Array:
    """The factor (n + 1,) of a set's product of odds that makes causes independent: prod (1 - p) for every size."""
    return np.full(len(net.chance) + 1, (1.0 - net.chance).prod())


# --- outside programs ------------------------------------------------------------------------------------------------


def quiet_import(module: str) -> Any:
    """Import an outside program without the warnings it gives about its own parts."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", FutureWarning)
        warnings.simplefilter("ignore", DeprecationWarning)
        return import_module(module)


def pgmpy_model(tables: Mapping[str, tuple[Sequence[str], Any]]) -> Any:
    """A pgmpy net. tables: node -> (parents, P(node = 1 | parents) with one axis a parent)."""
    table_of = quiet_import("pgmpy.factors.discrete").TabularCPD
    net = quiet_import("pgmpy.models").DiscreteBayesianNetwork()
    net.add_nodes_from(list(tables))
    for node, (parents, table) in tables.items():
        net.add_edges_from([(parent, node) for parent in parents])
        yes = np.asarray(table, dtype=float).ravel()
        net.add_cpds(table_of(node, 2, [1 - yes, yes], list(parents), [2] * len(parents)))
    assert net.check_model()
    return net


def pgmpy_chance(net: Any, node: str, evidence: Mapping[str, int]) -> float:
    """P(node = 1 | evidence) by variable elimination."""
    query = quiet_import("pgmpy.inference").VariableElimination(net).query
    return float(query([node], dict(evidence), show_progress=False).values[1])


def pyagrum_model(tables: Mapping[str, tuple[Sequence[str], Any]]) -> Any:
    """The same net for pyAgrum."""
    pyagrum = quiet_import("pyagrum")
    net = pyagrum.BayesNet()
    for node in tables:
        net.add(pyagrum.LabelizedVariable(node, node, 2))
    for node, (parents, table) in tables.items():
        for parent in parents:
            net.addArc(parent, node)
        yes = np.asarray(table, dtype=float)
        for state in np.ndindex(*[2] * len(parents)):
            net.cpt(node)[dict(zip(parents, map(int, state), strict=True))] = [1 - yes[state], yes[state]]
    return net


def noisy_or_tables(net: Net) -> dict[str, tuple[list[str], Any]]:
    """A two-layer net as full tables, written out state by state, for the outside programs."""
    tables: dict[str, tuple[list[str], Any]] = {f"c{i}": ([], p) for i, p in enumerate(net.chance)}
    for j, leak in enumerate(net.leak):
        linked = [int(i) for i in np.flatnonzero(net.links[:, j])]
        table = np.empty([2] * len(linked))
        for state in np.ndindex(*table.shape):
            missing = 1.0 - leak
            for i, acting in zip(linked, state, strict=True):
                missing *= 1.0 - net.links[i, j] if acting else 1.0
            table[state] = 1.0 - missing
        tables[f"f{j}"] = ([f"c{i}" for i in linked], table)
    return tables


def pyagrum_noisy_or(net: Net) -> Any:
    """The two-layer net by pyAgrum's own noisy-OR nodes, so that the table is the program's and not ours."""
    pyagrum = quiet_import("pyagrum")
    built = pyagrum.BayesNet()
    for i, p in enumerate(net.chance):
        built.cpt(built.add(pyagrum.LabelizedVariable(f"c{i}", "", 2))).fillWith([1 - float(p), float(p)])
    for j, leak in enumerate(net.leak):
        built.addNoisyORNet(pyagrum.LabelizedVariable(f"f{j}", "", 2), float(leak))
        for i in np.flatnonzero(net.links[:, j]):
            built.addWeightedArc(f"c{i}", f"f{j}", float(net.links[i, j]))
    return built
