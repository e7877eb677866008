"""A library's own cases: each holds a complaint and what this library should answer to it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, unfolding
from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import BUILT_IN, Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.reach import Reach
from arclore.engine.upkeep.sharing import shared_out
from arclore.engine.upkeep.weighed import weighed

Entry = Mapping[str, Any]
LEAST_CHANCE = 1e-9  # so that no case alone makes the log loss infinite
WITHIN = 3  # how many of the first answers count where a case doesn't say


@dataclass(frozen=True)
class Miss:
    """One thing that a case expects and the answer lacks: the field of ``expect``, what was wanted, what came."""

    field: str
    wanted: str
    got: str


@dataclass(frozen=True)
class CaseRun:
    """One case as answered: its id, title, the families that led, what was missed, and how it scores.

    place: where the first cause of an expected family stands among the causes, from 1. chance: what the likeliest
    expected family was given. Both are None where the case expects no family; place also where none is shown.
    """

    id: str
    title: str
    leading: tuple[str, ...]
    misses: tuple[Miss, ...]
    place: int | None = None
    chance: float | None = None


def cases_in(library: Library, folder: Path) -> frozenset[str] | None:
    """The ids of the cases that stand in one layer of a library; None, for all, where it is the built-in one."""
    own = folder.resolve()
    if own == BUILT_IN.resolve():
        return None
    return frozenset(name for (kind, name), at in library.origin.items() if kind == "case" and at.resolve() == own)


def run_cases(
    library: Library, only: frozenset[str] | None = None, cache: Cache = NO_CACHE, processes: int = 1
) -> Iterator[CaseRun]:
    """Each case in use, in order of id, as the library answers it now. ``only``: those ids, all where None.

    Answers are taken from the cache where neither the case nor anything that can weigh in its answer has changed.
    """
    chosen = {
        name: entry
        for name, entry in library.cases.items()
        if "retired" not in entry and (only is None or name in only)
    }
    answers = _answers(replace(weighed(library), drills={}), chosen, cache, processes)  # no case expects a drill
    for name, entry in chosen.items():
        answer = answers[name]
        if "unknown" in answer:
            missed = (Miss("case", "a case the library knows", answer["unknown"]),)
            yield CaseRun(name, entry["title"], (), missed)
            continue
        expect, families = entry["expect"], _families(answer)
        yield CaseRun(
            name, entry["title"], families[:WITHIN], tuple(misses(expect, answer)), *_standing(expect, families, answer)
        )


def _standing(
    expect: Mapping[str, Any], families: tuple[str, ...], answer: Mapping[str, Any]
) -> tuple[int | None, float | None]:
    """The place and the chance of what a case expects, as in ``CaseRun``."""
    wanted = set(expect.get("families", ()))
    if not wanted or answer["stop"]:
        return None, None
    place = next((at for at, family in enumerate(families, start=1) if family in wanted), None)
    return place, max((row["probability"] for row in answer["families"] if row["id"] in wanted), default=0.0)


def _answers(library: Library, chosen: Mapping[str, Entry], cache: Cache, processes: int) -> dict[str, Any]:
    """The answers to the chosen cases by their ids, those that are not kept worked out and kept."""
    reach = Reach(Bench(library))
    reached = {name: (reach.key(entry["case"]), _is_whole(entry)) for name, entry in chosen.items()}
    keys = {name: key for name, key in reached.items() if key[0] is not None}  # what can't be read is not kept
    kept = {name: answer for name, key in keys.items() if (answer := cache.found("cases", key)) is not None}
    missing = {name: entry for name, entry in chosen.items() if name not in kept}
    asking = partial(_asked, library, missing)
    made = shared_out({name: entry["case"] for name, entry in missing.items()}, asking, processes)
    return {
        **kept,
        **{name: cache.keep("cases", keys[name], answer) if name in keys else answer for name, answer in made.items()},
    }


def _is_whole(entry: Entry) -> bool:
    """Whether a case expects something of what the club did, which takes longer to answer."""
    return "delivery_faults" in entry["expect"]


def _asked(library: Library, cases: Mapping[str, Entry], names: Sequence[str]) -> dict[str, Any]:
    bench = Bench(library)
    return {name: _answer(cases[name]["case"], bench, _is_whole(cases[name])) for name in names}


def _answer(case: Entry, bench: Bench, whole: bool) -> dict[str, Any]:
    """What ``misses`` looks at; whole: also what the club did."""
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
    return {**plain, "causes": causes, "families": answer["families"], "delivery_faults": faults}


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


@dataclass(frozen=True)
class Scores:
    """How the cases that expect a family come out: they test that a library is consistent, not that it is true.

    first, first_three: share of cases with an expected family there. log_loss: mean of -ln of the chance given to the
    likeliest expected family, nats. brier: mean of (1 - that chance)^2, 0 to 1. Sources: Good 1952, Brier 1950.
    """

    scored: int
    first: float
    first_three: float
    log_loss: float
    brier: float


def scores(runs: Sequence[CaseRun]) -> Scores | None:
    """The scores of all cases that expect a family; None where there are none."""
    scored = [(run.place, run.chance) for run in runs if run.chance is not None]
    if not scored:
        return None
    count = len(scored)
    return Scores(
        count,
        sum(place == 1 for place, _ in scored) / count,
        sum(place is not None and place <= WITHIN for place, _ in scored) / count,
        sum(-math.log(max(chance, LEAST_CHANCE)) for _, chance in scored) / count,
        sum((1.0 - chance) ** 2 for _, chance in scored) / count,
    )


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
