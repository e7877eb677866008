"""Cases shared out among the processors by their clubs: what a club does is worked out once for all its cases."""

from __future__ import annotations

import os
import signal
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any, TypeVar

FEW = 6  # cases that are answered sooner than another process is started
MOST_PROCESSES = 4  # each takes some 300 MB
CLUB_COST = 6  # of laying what a club does, in cases answered

Key = TypeVar("Key")
Result = TypeVar("Result")
ClubAtLevel = tuple[str, str]


def shared_out(
    cases: Mapping[str, Mapping[str, Any]],
    work: Callable[[Sequence[str]], dict[Key, Result]],
    processes: int = 1,
) -> dict[Key, Result]:
    """What ``work`` makes of the cases, given some of their ids at a time; it must be picklable.

    ``processes``: how many share the work. With more than one, the main module is imported by each, so it must not do
    its work unless it is run.
    """
    wanted = min(processes, MOST_PROCESSES)
    if wanted < 2 or len(cases) <= FEW:
        return work(list(cases))
    with ProcessPoolExecutor(wanted, get_context("spawn"), _quietly_stopped) as pool:
        try:
            return {key: made for part in pool.map(work, _shares(cases, wanted)) for key, made in part.items()}
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def processors() -> int:
    """How many processors this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def clubs_and_level(case: Mapping[str, Any]) -> tuple[ClubAtLevel, ...]:
    """What a case is played with, each club with the player's level: cases of the same share their tables."""
    level = case.get("level", "unknown")
    return tuple(sorted({(shot["club"], level) for shot in case.get("shots", ())}))


def _quietly_stopped() -> None:
    """So that an interrupted run ends without a trace of each process."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _shares(cases: Mapping[str, Mapping[str, Any]], count: int) -> list[list[str]]:
    """The ids of the cases in so many parts of about equal work, those of the same clubs and level together."""
    groups: dict[tuple[ClubAtLevel, ...], list[str]] = defaultdict(list)
    for name, case in cases.items():
        groups[clubs_and_level(case)].append(name)
    shares: list[list[str]] = [[] for _ in range(count)]
    known: list[set[ClubAtLevel]] = [set() for _ in range(count)]
    work = [0] * count
    for clubs, names in sorted(groups.items(), key=lambda group: (-len(group[0]), -len(group[1]), group[0])):
        costs = [work[i] + CLUB_COST * len(set(clubs) - known[i]) + len(names) for i in range(count)]
        best = costs.index(min(costs))
        work[best] = costs[best]
        known[best] |= set(clubs)
        shares[best] += names
    return shares
