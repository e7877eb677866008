"""A library's own cases: each holds a complaint and what this library should answer to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, unfolding
from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import BUILT_IN, Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.weighed import digest_of_library, weighed

WITHIN = 3  # how many of the first answers count where a case doesn't say


@dataclass(frozen=True)
class Miss:
    """One thing that a case expects and the answer lacks: the field of ``expect``, what was wanted, what came."""

    field: str
    wanted: str
    got: str


@dataclass(frozen=True)
class CaseRun:
    """One case as answered: its id, title, the families that led, and what was missed."""

    id: str
    title: str
    leading: tuple[str, ...]
    misses: tuple[Miss, ...]


def cases_in(library: Library, folder: Path) -> frozenset[str] | None:
    """The ids of the cases that stand in one layer of a library; None, for all, where it is the built-in one."""
    own = folder.resolve()
    if own == BUILT_IN.resolve():
        return None
    return frozenset(name for (kind, name), at in library.origin.items() if kind == "case" and at.resolve() == own)


def run_cases(library: Library, only: frozenset[str] | None = None, cache: Cache = NO_CACHE) -> Iterator[CaseRun]:
    """Each case in use, in order of id, as the library answers it now. ``only``: those ids, all where None.

    Answers are taken from the cache where neither the case nor anything that can weigh in its answer has changed.
    """
    bench = Bench(replace(weighed(library), drills={}))  # no case expects a drill
    content = digest_of_library(bench.library)
    for name, entry in library.cases.items():
        if "retired" in entry or (only is not None and name not in only):
            continue
        whole = "delivery_faults" in entry["expect"]
        key = [content, entry["case"], whole]
        answer = cache.kept("cases", key, partial(_answer, entry["case"], bench, whole))
        if "unknown" in answer:
            missed = (Miss("case", "a case the library knows", answer["unknown"]),)
            yield CaseRun(name, entry["title"], (), missed)
            continue
        yield CaseRun(name, entry["title"], _families(answer)[:WITHIN], tuple(misses(entry["expect"], answer)))


def _answer(case: Mapping[str, Any], bench: Bench, whole: bool) -> dict[str, Any]:
    """What ``misses`` looks at; whole: also what the club did, which takes longer."""
    answers = unfolding(case, bench, live=True)  # no case expects reasons
    try:
        answer = next(answers)
        if whole:
            answer = next(answers, answer)
    except CaseError as error:
        return {"unknown": str(error)}
    causes = [{"family": cause["family"], "probability": cause["probability"]} for cause in answer["causes"]]
    faults = [{"id": fault["id"]} for fault in answer["delivery_faults"]]
    plain = {name: answer[name] for name in ("stop", "need_balls", "nothing_to_fix")}
    return {**plain, "causes": causes, "delivery_faults": faults}


def misses(expect: Mapping[str, Any], answer: Mapping[str, Any]) -> Iterator[Miss]:
    """What an answer (schemas/triage.schema.json) lacks of what a case expects.

    One of ``families`` must be among those of the first ``within`` causes, one of ``delivery_faults`` among as many
    of the likeliest faults; the first cause must be of none of ``not_first`` and no likelier than ``leading_at_most``;
    the rest must be as stated.
    """
    within = expect.get("within", WITHIN)
    families = _families(answer)
    yield from _among("families", expect, families[:within])
    yield from _among("delivery_faults", expect, tuple(fault["id"] for fault in answer["delivery_faults"])[:within])
    if families[:1] and families[0] in expect.get("not_first", ()):
        yield Miss("not_first", f"another family than {families[0]} first", families[0])
    most = expect.get("leading_at_most")
    if most is not None and answer["causes"] and answer["causes"][0]["probability"] > most:
        yield Miss("leading_at_most", f"at most {most:g}", f"{answer['causes'][0]['probability']:.3f}")
    for field, came in (("stop", bool(answer["stop"])), ("need_balls", bool(answer["need_balls"]))):
        if field in expect and expect[field] != came:
            yield Miss(field, _yes(expect[field]), _yes(came))
    least = expect.get("nothing_to_fix_at_least")
    if least is not None and answer["nothing_to_fix"] < least:
        yield Miss("nothing_to_fix_at_least", f"at least {least:g}", f"{answer['nothing_to_fix']:.3f}")


def _families(answer: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(cause["family"] for cause in answer["causes"])


def _among(field: str, expect: Mapping[str, Any], came: tuple[str, ...]) -> Iterator[Miss]:
    wanted = expect.get(field, ())
    if wanted and not set(wanted) & set(came):
        yield Miss(field, " or ".join(wanted), ", ".join(came) or "nothing")


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def problems(library: Library, runs: list[CaseRun]) -> list[Problem]:
    """A row for each miss, at the field of the case that was not met."""
    rows = []
    for run in runs:
        document = library.documents["case", run.id]
        for miss in run.misses:
            path = ("case",) if miss.field == "case" else ("expect", miss.field)
            message = f"{miss.field}: wanted {miss.wanted}, got {miss.got}"
            hint = "mend the case, or find which entry changed the answer"
            rows.append(document.problem(path, "case-missed", message, hint))
    return sorted(rows)
