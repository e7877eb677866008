"""What the difference between two libraries does to the answers of their cases.

Only the cases that something which differs can reach are asked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, advised, advised_checks
from arclore.engine.library.problems import shortened
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.reach import UNFIT, Reach
from arclore.engine.upkeep.sharing import shared_out
from arclore.engine.upkeep.weighed import weighed

KEPT_AS = "advised"
LEAST_SHIFT = 0.01  # of a probability that is worth a line
Entry = Mapping[str, Any]
Pair = tuple[Entry, Entry]  # the answers of the two libraries to one case
Keys = tuple[str | None, str | None]


@dataclass(frozen=True)
class Question:
    """A case to ask of two libraries, the answers that are known, and whether checks that it can be told differ."""

    case: Entry
    known: tuple[Entry | None, Entry | None]
    other_checks: bool

    def wants_checks(self, was: Entry, now: Entry) -> bool:
        """Whether checks are worth comparing: where nothing moves, alike ones only change places."""
        return "unanswered" not in {**was, **now} and (self.other_checks or _moves(was, now))

    @property
    def answered(self) -> bool:
        was, now = self.known
        if was is None or now is None:
            return False
        return not self.wants_checks(was, now) or ("checks" in was and "checks" in now)


def effects(a: Library, b: Library, cache: Cache = NO_CACHE, processes: int = 1) -> dict[str, Any]:
    """How many cases of the two libraries can be reached, and those whose answers differ, most changed first.

    ``processes``: how many share the work (see ``sharing``).
    """
    cases = {name: entry["case"] for name, entry in sorted({**a.cases, **b.cases}.items()) if "retired" not in entry}
    libraries = weighed(a), weighed(b)
    reaches = [Reach(Bench(library)) for library in libraries]
    keys: dict[str, Keys] = {name: (reaches[0].key(case), reaches[1].key(case)) for name, case in cases.items()}
    reached = [name for name, (was, now) in keys.items() if was is None or was != now]
    questions = {
        name: Question(
            cases[name],
            (_kept(keys[name][0], cache), _kept(keys[name][1], cache)),
            None not in keys[name] and reaches[0].checks(cases[name]) != reaches[1].checks(cases[name]),
        )
        for name in reached
    }
    rows = (_effect(name, *pair) for name, pair in _answers(libraries, questions, keys, cache, processes).items())
    changed = [row for row in rows if row is not None]
    changed.sort(key=lambda row: (not (row["leading_changed"] or row["unanswered"]), -row["largest_shift"], row["id"]))
    return {"cases": len(cases), "asked": len(reached), "changed": changed}


def _kept(key: str | None, cache: Cache) -> Entry | None:
    """The answer that is kept; one that can't be given is not."""
    kept: Entry | None = None if key is None else cache.found(KEPT_AS, key)
    return kept


def _answers(
    libraries: tuple[Library, Library],
    questions: Mapping[str, Question],
    keys: Mapping[str, Keys],
    cache: Cache,
    processes: int,
) -> dict[str, Pair]:
    """The answers to the questions, those that are not known worked out and kept."""
    missing = {name: question for name, question in questions.items() if not question.answered}
    asking = partial(_asked, libraries, missing)
    made = shared_out({name: question.case for name, question in missing.items()}, asking, processes)
    for name, pair in made.items():
        for key, answer, before in zip(keys[name], pair, missing[name].known, strict=True):
            if key is not None and answer != before and "unanswered" not in answer:
                cache.keep(KEPT_AS, key, answer)
    known = {name: question.known for name, question in questions.items() if name not in made}
    return {**made, **{name: (was, now) for name, (was, now) in known.items() if was is not None and now is not None}}


def _asked(
    libraries: tuple[Library, Library], questions: Mapping[str, Question], names: Sequence[str]
) -> dict[str, Pair]:
    first = Bench(libraries[0])
    benches = first, Bench(libraries[1], like=first)
    return {name: _answered(questions[name], benches) for name in names}


def _answered(question: Question, benches: tuple[Bench, Bench]) -> Pair:
    was, now = (known or _answer(question.case, bench) for known, bench in zip(question.known, benches, strict=True))
    if not question.wants_checks(was, now):
        return was, now
    return _with_checks(was, question.case, benches[0]), _with_checks(now, question.case, benches[1])


def _with_checks(answer: Entry, case: Entry, bench: Bench) -> Entry:
    return answer if "checks" in answer else {**answer, "checks": advised_checks(case, bench)}


def _answer(case: Entry, bench: Bench) -> Entry:
    """The answer as ``advised`` gives it, or ``unanswered`` with the reason."""
    try:
        return advised(case, bench)
    except UNFIT as error:
        said = error if isinstance(error, CaseError) else f"lacks what is needed to answer ({error!r})"
        return {"leading": None, "chances": {}, "drills": [], "unanswered": shortened(said, 160)}


def _largest_shift(was: Entry, now: Entry) -> float:
    causes = {**was["chances"], **now["chances"]}
    return max((abs(was["chances"].get(cause, 0.0) - now["chances"].get(cause, 0.0)) for cause in causes), default=0.0)


def _moves(was: Entry, now: Entry) -> bool:
    """Whether the causes of two answers differ so far that it is worth a line."""
    return was["leading"] != now["leading"] or _largest_shift(was, now) >= LEAST_SHIFT


def _effect(name: str, was: Entry, now: Entry) -> dict[str, Any] | None:
    """The row of a case; None where its answers hardly differ."""
    unanswered = [f"{side}: {one['unanswered']}" for side, one in (("a", was), ("b", now)) if "unanswered" in one]
    row: dict[str, Any] = {
        "id": name,
        "leading_changed": not unanswered and was["leading"] != now["leading"],
        "was": _lead(was),
        "is": _lead(now),
        "largest_shift": 0.0 if unanswered else round(_largest_shift(was, now), 6),
        "unanswered": unanswered[-1] if unanswered else "",
    }
    for said in ("checks", "drills"):
        before, after = set(was.get(said, ())), set(now.get(said, ()))
        compared = not unanswered and said in was and said in now
        row[f"{said}_added"] = sorted(after - before) if compared else []
        row[f"{said}_gone"] = sorted(before - after) if compared else []
    lists = any(row[f"{said}_{way}"] for said in ("checks", "drills") for way in ("added", "gone"))
    return row if unanswered or lists or _moves(was, now) else None


def _lead(answer: Entry) -> dict[str, Any] | None:
    leading = answer["leading"]
    return None if leading is None else {"id": leading, "probability": answer["chances"][leading]}
