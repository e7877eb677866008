"""What the difference between two libraries does to the answers of their cases.

Only cases that something which differs can reach are asked. They are shared out among the processors by their clubs,
since what a club does is worked out once for all its cases.
"""

from __future__ import annotations

import os
import signal
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, advised
from arclore.engine.library.problems import shortened
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.reach import UNFIT, Reach
from arclore.engine.upkeep.weighed import weighed

LEAST_SHIFT = 0.01  # of a probability that is worth a line
FEW = 6  # cases that are asked sooner than another process is started
MOST_PROCESSES = 4  # each takes some 300 MB
CLUB_COST = 6  # of laying what a club does, in cases asked

Asked = tuple[str, Mapping[str, Any], tuple[str | None, str | None]]  # id, case, keys of its answers


def effects(a: Library, b: Library, cache: Cache = NO_CACHE, processes: int | None = None) -> dict[str, Any]:
    """How many cases of the two libraries can be reached, and those whose answers differ, most changed first.

    ``processes``: how many share the work, as many as there are processors where None.
    """
    inputs = {name: entry["case"] for name, entry in {**a.cases, **b.cases}.items() if "retired" not in entry}
    sides = weighed(a), weighed(b)
    reaches = [Reach(Bench(side)) for side in sides]
    asked: list[Asked] = []
    for name, case in sorted(inputs.items()):
        keys = (reaches[0].key(case), reaches[1].key(case))
        if keys[0] is None or keys[0] != keys[1]:
            asked.append((name, case, keys))
    changed = [row for row in _rows(sides, asked, cache, processes) if row is not None]
    changed.sort(key=lambda row: (not (row["leading_changed"] or row["unanswered"]), -row["largest_shift"], row["id"]))
    return {"cases": len(inputs), "asked": len(asked), "changed": changed}


def _rows(
    sides: tuple[Library, Library], asked: Sequence[Asked], cache: Cache, processes: int | None
) -> list[dict[str, Any] | None]:
    wanted = min(_processors() if processes is None else processes, MOST_PROCESSES)
    answering = partial(_answer_share, *sides, cache)
    if wanted < 2 or len(asked) <= FEW:
        return answering(asked)
    with ProcessPoolExecutor(wanted, get_context("spawn"), _quietly_stopped) as pool:
        try:
            return [row for rows in pool.map(answering, _shares(asked, wanted)) for row in rows]
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _processors() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _quietly_stopped() -> None:
    """So that an interrupted run ends without a trace of each process."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def _shares(asked: Iterable[Asked], count: int) -> list[list[Asked]]:
    """The cases in so many parts of about equal work, those of the same clubs and level together."""
    groups: dict[tuple[tuple[str, str], ...], list[Asked]] = defaultdict(list)
    for one in asked:
        level = one[1].get("level", "unknown")
        groups[tuple(sorted({(shot["club"], level) for shot in one[1].get("shots", ())}))].append(one)
    shares: list[list[Asked]] = [[] for _ in range(count)]
    known: list[set[tuple[str, str]]] = [set() for _ in range(count)]
    work = [0] * count
    for clubs, cases in sorted(groups.items(), key=lambda group: (-len(group[0]), -len(group[1]), group[0])):
        costs = [work[i] + CLUB_COST * len(set(clubs) - known[i]) + len(cases) for i in range(count)]
        best = costs.index(min(costs))
        work[best] = costs[best]
        known[best] |= set(clubs)
        shares[best] += cases
    return shares


def _answer_share(a: Library, b: Library, cache: Cache, asked: Sequence[Asked]) -> list[dict[str, Any] | None]:
    bench = Bench(a)
    benches = bench, Bench(b, like=bench)
    return [
        _effect(name, [_answer(case, *side, cache) for side in zip(benches, keys, strict=True)])
        for name, case, keys in asked
    ]


def _answer(case: Mapping[str, Any], bench: Bench, key: str | None, cache: Cache) -> dict[str, Any]:
    """The answer as ``advised`` gives it, or ``unanswered`` with the reason."""
    try:
        if key is None:
            return advised(case, bench)
        return dict(cache.kept("advised", key, lambda: advised(case, bench)))
    except UNFIT as error:
        said = error if isinstance(error, CaseError) else f"lacks what is needed to answer ({error!r})"
        return {"leading": None, "chances": {}, "checks": [], "drills": [], "unanswered": shortened(said, 160)}


def _effect(name: str, answers: Sequence[Mapping[str, Any]]) -> dict[str, Any] | None:
    """The row of a case; None where its answers hardly differ."""
    was, now = answers
    unanswered = [
        f"{side}: {one['unanswered']}" for side, one in zip("ab", answers, strict=True) if "unanswered" in one
    ]
    causes = () if unanswered else {**was["chances"], **now["chances"]}
    shifts = [abs(was["chances"].get(cause, 0.0) - now["chances"].get(cause, 0.0)) for cause in causes]
    row: dict[str, Any] = {
        "id": name,
        "leading_changed": not unanswered and was["leading"] != now["leading"],
        "was": _lead(was),
        "is": _lead(now),
        "largest_shift": round(max(shifts, default=0.0), 6),
        "unanswered": unanswered[-1] if unanswered else "",
    }
    for said in ("checks", "drills"):
        row[f"{said}_added"] = sorted(set(now[said]) - set(was[said]))
        row[f"{said}_gone"] = sorted(set(was[said]) - set(now[said]))
    lists = any(row[f"{said}_{way}"] for said in ("checks", "drills") for way in ("added", "gone"))
    worth_a_line = unanswered or row["leading_changed"] or lists or row["largest_shift"] >= LEAST_SHIFT
    return row if worth_a_line else None


def _lead(answer: Mapping[str, Any]) -> dict[str, Any] | None:
    leading = answer["leading"]
    return None if leading is None else {"id": leading, "probability": answer["chances"][leading]}
