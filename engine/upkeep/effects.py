"""What the difference between two libraries does to the answers of their cases.

Only the cases that something which differs can reach are asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, advised
from arclore.engine.library.problems import shortened
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.reach import UNFIT, Reach
from arclore.engine.upkeep.sharing import shared_out
from arclore.engine.upkeep.weighed import weighed

LEAST_SHIFT = 0.01  # of a probability that is worth a line
Entry = Mapping[str, Any]
Sides = tuple[Library, Library]
Side = tuple[str, int]  # a case by its id, and 0 or 1: which of the two libraries answers it


def effects(a: Library, b: Library, cache: Cache = NO_CACHE, processes: int | None = None) -> dict[str, Any]:
    """How many cases of the two libraries can be reached, and those whose answers differ, most changed first.

    ``processes``: how many share the work, as many as there are processors where None.
    """
    cases = {name: entry["case"] for name, entry in sorted({**a.cases, **b.cases}.items()) if "retired" not in entry}
    libraries = weighed(a), weighed(b)
    reaches = [Reach(Bench(library)) for library in libraries]
    keys = {(name, side): reaches[side].key(case) for name, case in cases.items() for side in (0, 1)}
    reached = {name for name in cases if keys[name, 0] is None or keys[name, 0] != keys[name, 1]}
    answers = _answers(libraries, {side: cases[side[0]] for side in keys if side[0] in reached}, keys, cache, processes)
    rows = (_effect(name, answers[name, 0], answers[name, 1]) for name in sorted(reached))
    changed = [row for row in rows if row is not None]
    changed.sort(key=lambda row: (not (row["leading_changed"] or row["unanswered"]), -row["largest_shift"], row["id"]))
    return {"cases": len(cases), "asked": len(reached), "changed": changed}


def _answers(
    libraries: Sides, wanted: Mapping[Side, Entry], keys: Mapping[Side, str | None], cache: Cache, processes: int | None
) -> dict[Side, dict[str, Any]]:
    """The answers wanted, those that are not kept worked out and kept."""
    readable = {side: key for side in wanted if (key := keys[side]) is not None}
    kept = {side: answer for side, key in readable.items() if (answer := cache.found("advised", key)) is not None}
    missing = {side: case for side, case in wanted.items() if side not in kept}
    asking = partial(_asked, libraries, missing)
    made = shared_out({name: case for (name, _), case in missing.items()}, asking, processes)
    for side, answer in made.items():
        if side in readable and "unanswered" not in answer:
            cache.keep("advised", readable[side], answer)
    return {**kept, **made}


def _asked(libraries: Sides, missing: Mapping[Side, Entry], names: Sequence[str]) -> dict[Side, dict[str, Any]]:
    """The answers that are missing to these cases."""
    first = Bench(libraries[0])
    benches = first, Bench(libraries[1], like=first)
    wanted = [(name, side) for name in names for side in (0, 1) if (name, side) in missing]
    return {one: _answer(missing[one], benches[one[1]]) for one in wanted}


def _answer(case: Entry, bench: Bench) -> dict[str, Any]:
    """The answer as ``advised`` gives it, or ``unanswered`` with the reason."""
    try:
        return advised(case, bench)
    except UNFIT as error:
        said = error if isinstance(error, CaseError) else f"lacks what is needed to answer ({error!r})"
        return {"leading": None, "chances": {}, "checks": [], "drills": [], "unanswered": shortened(said, 160)}


def _effect(name: str, was: Entry, now: Entry) -> dict[str, Any] | None:
    """The row of a case; None where its answers hardly differ."""
    unanswered = [f"{side}: {one['unanswered']}" for side, one in (("a", was), ("b", now)) if "unanswered" in one]
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


def _lead(answer: Entry) -> dict[str, Any] | None:
    leading = answer["leading"]
    return None if leading is None else {"id": leading, "probability": answer["chances"][leading]}
