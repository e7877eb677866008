"""Exact posterior over sets of acting causes.

A hypothesis is a set of at most K listed causes. Its prior is "how many causes act" times the relative weights of
its members; a finding enters as a leaky noisy-OR factor, a check as a likelihood for the sets that hold one of its
causes. Every number here is a plain probability: no subtraction of near-equal terms, no sampling.

Sources: Pearl 1988 and Henrion 1989 for the (leaky) noisy-OR; Chen and Liu 1997 for sets of fixed size.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Protocol

import numpy as np
import numpy.typing as npt
from arclore.engine.quantities import Array

Mask = npt.NDArray[np.bool_]


class Acting(Protocol):
    """Sets of causes, as far as the likelihood of a finding or a check hangs on them."""

    def product(self, values: Array) -> Array:
        """The product of the members' values (n,) for every set."""

    def holding(self, mask: Mask) -> Mask:
        """Which sets hold at least one of the causes of the mask (n,)."""


@dataclass(frozen=True)
class Sets:
    """All allowed sets of at most K of n causes.

    members: int array (sets, K); a place that is not filled holds n, the index of "no cause".
    sizes: int array (sets,). Row 0 is the empty set.
    """

    members: npt.NDArray[np.int32]
    sizes: npt.NDArray[np.int32]
    n: int

    @cached_property
    def columns(self) -> npt.NDArray[np.intp]:
        """The members place by place, (K, sets): looked up column by column, several times faster than row by row."""
        return np.ascontiguousarray(self.members.T, dtype=np.intp)

    def product(self, values: Array) -> Array:
        """The product (sets,) of the members' values (n,); 1 for the empty set."""
        padded = np.append(values, 1.0)
        result: Array = padded[self.columns[0]]
        for column in self.columns[1:]:
            result *= padded[column]
        return result

    def holding(self, mask: Mask) -> Mask:
        """Which sets hold at least one of the causes of the mask (n,)."""
        padded = np.append(mask, False)
        result: Mask = padded[self.columns[0]]
        for column in self.columns[1:]:
            result |= padded[column]
        return result


def all_sets(n: int, largest: int, exclusive: Iterable[tuple[int, int]] = ()) -> Sets:
    """Enumerate the sets of 0..largest causes out of n that hold no mutually exclusive pair."""
    forbidden = np.zeros((n + 1, n + 1), dtype=bool)
    for first, second in exclusive:
        forbidden[first, second] = forbidden[second, first] = True
    width = max(largest, 1)
    blocks = [np.full((1, width), n, dtype=np.int32)]
    for size in range(1, min(largest, n) + 1):
        rows = _of_size(n, size)
        for first, second in combinations(range(size), 2):
            rows = rows[~forbidden[rows[:, first], rows[:, second]]]
        blocks.append(np.pad(rows, ((0, 0), (0, width - size)), constant_values=n))
    members = np.concatenate(blocks)
    return Sets(members, (members < n).sum(axis=1).astype(np.int32), n)


def _of_size(n: int, size: int) -> npt.NDArray[np.int32]:
    """All sets of one size, in order: those one smaller, each with every later cause."""
    rows = np.arange(n, dtype=np.int32)[:, None]
    for _ in range(size - 1):
        later = n - 1 - rows[:, -1]
        first = np.repeat(np.cumsum(later) - later, later)
        added = np.repeat(rows[:, -1], later) + 1 + np.arange(later.sum()) - first
        rows = np.column_stack([np.repeat(rows, later, axis=0), added]).astype(np.int32)
    return rows


def size_prior(acting: Sequence[float], largest: int) -> Array:
    """The prior of "how many causes act", cut at `largest`: the mass beyond it goes to the largest size."""
    prior = np.asarray(acting, dtype=float)
    if len(prior) <= largest:
        prior = np.pad(prior, (0, largest + 1 - len(prior)))
    cut = prior[: largest + 1].copy()
    cut[-1] += prior[largest + 1 :].sum()
    total: Array = cut / cut.sum()
    return total


def symmetric_sum(weights: Array, size: int) -> float:
    """The sum over all sets of this size of the product of their weights, by Newton's identities."""
    powers = [float((weights**k).sum()) for k in range(1, size + 1)]
    sums = [1.0]
    for k in range(1, size + 1):
        sums.append(sum((-1) ** (j - 1) * sums[k - j] * powers[j - 1] for j in range(1, k + 1)) / k)
    return sums[size]


def prior_of_sets(sets: Sets, weights: Array, acting: Sequence[float]) -> Array:
    """P(S) = pi_|S| prod w_i / E_|S|, with E_k summed over the allowed sets only, so that P(|S| = k) = pi_k."""
    product = sets.product(weights)
    largest = sets.members.shape[1]
    sizes = size_prior(acting, largest)
    totals = np.bincount(sets.sizes, weights=product, minlength=largest + 1)
    reachable = totals > 0
    sizes = np.where(reachable, sizes, 0.0)
    sizes /= sizes.sum()
    result: Array = sizes[sets.sizes] * product / np.where(reachable, totals, 1.0)[sets.sizes]
    return result


@dataclass(frozen=True)
class Finding:
    """One finding under a leaky noisy-OR: the factor of a set is a - b (1 - leak) prod (1 - c_i).

    links: float array (n,), the chance that the cause alone makes the finding (0 where it is not linked).
    plainly present: a, b = 1, 1; plainly absent: 0, -1; "present, not sure" with likelihood r of the report under
    absence to presence: 1, 1 - r; "absent, not sure": r, r - 1.
    """

    links: Array
    leak: float
    a: float = 1.0
    b: float = 1.0

    @classmethod
    def present(cls, links: Array, leak: float, unsure: float = 0.0) -> Finding:
        """A finding that was seen; `unsure` in [0, 1): how likely the report is where it is in truth absent."""
        return cls(links, leak, 1.0, 1.0 - unsure)

    @classmethod
    def absent(cls, links: Array, leak: float, unsure: float = 0.0) -> Finding:
        """A finding that was looked for and not seen."""
        return cls(links, leak, unsure, unsure - 1.0)

    def factor(self, sets: Acting) -> Array:
        """The likelihood of the report for every set."""
        result: Array = self.a - self.b * (1.0 - self.leak) * sets.product(1.0 - self.links)
        return result


def compound_to_net(stated: float, leak: float) -> float:
    """A stated frequency that already holds the leak (Henrion's reading) as the cause's own chance."""
    return max(0.0, 1.0 - (1.0 - stated) / (1.0 - leak))


def check_factor(sets: Acting, causes: Mask, sensitivity: float, specificity: float, positive: bool) -> Array:
    """The likelihood of a check's result: "one of its causes acts" against "none of them acts"."""
    hit, miss = (sensitivity, 1 - specificity) if positive else (1 - sensitivity, specificity)
    return np.where(sets.holding(causes), hit, miss)


def normalised(mass: Array) -> Array:
    """The masses as probabilities; raises ValueError where the evidence is impossible for every set."""
    total = mass.sum()
    if not total > 0:
        raise ValueError("no set of causes can make this evidence")
    result: Array = mass / total
    return result


def marginals(sets: Sets, probability: Array) -> Array:
    """P(cause i acts) for every cause, (n,)."""
    total = np.zeros(sets.n + 1)
    for column in sets.columns:
        total += np.bincount(column, weights=probability, minlength=sets.n + 1)
    return total[: sets.n]
