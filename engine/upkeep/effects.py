"""What the difference between two libraries does to the answers of their cases.

Only the cases that something which differs can reach are asked, and in a large library no more of them than can be
answered in a few seconds: which were left out is told.
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
from arclore.engine.upkeep.bearing import Bearings
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.laid import Laid
from arclore.engine.upkeep.reach import UNFIT, Reach
from arclore.engine.upkeep.sharing import clubs_and_level, shared_out
from arclore.engine.upkeep.weighed import weighed

KEPT_AS = "advised"
LEAST_SHIFT = 0.01  # of a probability that is worth a line
MOST_WORK = 5e8  # of all cases asked: some seconds
LARGEST_SHARE = 0.1  # of that work, in the checks of one case
Entry = Mapping[str, Any]
Pair = tuple[Entry, Entry]  # the answers of the two libraries to one case
Keys = tuple[str | None, str | None]


@dataclass(frozen=True)
class Question:
    """A case to ask of two libraries, and the answers that are known.

    other_checks: whether checks that it can be told differ; few_checks: whether they are few enough to be weighed.
    """

    case: Entry
    known: tuple[Entry | None, Entry | None]
    other_checks: bool
    few_checks: bool = True

    def wants_checks(self, was: Entry, now: Entry) -> bool:
        """Whether checks are worth comparing: where nothing moves, alike ones only change places."""
        return "unanswered" not in {**was, **now} and (self.other_checks or _moves(was, now))

    @property
    def answered(self) -> bool:
        was, now = self.known
        if was is None or now is None:
            return False
        return not (self.few_checks and self.wants_checks(was, now)) or ("checks" in was and "checks" in now)


def effects(
    a: Library, b: Library, cache: Cache = NO_CACHE, processes: int = 1, most: float = MOST_WORK
) -> dict[str, Any]:
    """What the cases of the two libraries are answered, those of them that what differs can reach.

    cases, reached: how many there are, and can be reached; asked: how many were. not_asked: the ids of the others, for
    which there was too much work; checks_not_compared: of cases with too many checks. changed: those whose answers
    differ, most changed first. processes: how many share the work (see ``sharing``). most: work (see ``Reach.work``).
    """
    cases = {name: entry["case"] for name, entry in sorted({**a.cases, **b.cases}.items()) if "retired" not in entry}
    libraries = weighed(a), weighed(b)
    first = Bench(libraries[0])
    reaches = Reach(first), Reach(Bench(libraries[1], like=first))
    keys: dict[str, Keys] = {name: (reaches[0].key(case), reaches[1].key(case)) for name, case in cases.items()}
    reached = [name for name, (was, now) in keys.items() if was is None or was != now]
    questions = {name: _question(cases[name], keys[name], reaches, cache, most) for name in reached}
    asked = _within(most, _by_concern(questions, a, b), reaches)
    answers = _answers(libraries, asked, keys, cache, processes)
    changed = [row for row in (_effect(name, *pair) for name, pair in answers.items()) if row is not None]
    changed.sort(key=lambda row: (not (row["leading_changed"] or row["unanswered"]), -row["largest_shift"], row["id"]))
    return {
        "cases": len(cases),
        "reached": len(reached),
        "asked": len(asked),
        "not_asked": sorted({*reached} - {*asked}),
        "checks_not_compared": [
            name for name, pair in answers.items() if not asked[name].few_checks and asked[name].wants_checks(*pair)
        ],
        "changed": changed,
    }


def _question(case: Entry, keys: Keys, reaches: tuple[Reach, Reach], cache: Cache, most: float) -> Question:
    readable = None not in keys
    return Question(
        case,
        (_kept(keys[0], cache), _kept(keys[1], cache)),
        readable and reaches[0].checks(case) != reaches[1].checks(case),
        not readable or max(reach.work_of_checks(case) for reach in reaches) <= most * LARGEST_SHARE,
    )


def _by_concern(questions: Mapping[str, Question], a: Library, b: Library) -> dict[str, Question]:
    """The questions, those first that expect a family that what differs is about."""
    families = _families(a, b) | _families(b, a)
    entries = {**a.cases, **b.cases}
    expected = {name: {*entries[name]["expect"].get("families", ())} for name in questions}
    return {name: questions[name] for name in sorted(questions, key=lambda name: not families & expected[name])}


def _families(library: Library, other: Library) -> set[str]:
    """The families of a library that its entries which the other has not are about."""
    bearings = Bearings(library.causes)
    found = {cause["family"] for cause in _others(library.causes, other.causes)}
    about = {name for check in _others(library.checks, other.checks) for name in bearings.causes(check)}
    about |= {name for drill in _others(library.drills, other.drills) for name in drill["for"].get("causes", ())}
    return found | {library.causes[name]["family"] for name in about if name in library.causes}


def _others(entries: Mapping[str, Entry], other: Mapping[str, Entry]) -> list[Entry]:
    return [entry for name, entry in entries.items() if other.get(name) != entry]


def _within(most: float, questions: Mapping[str, Question], reaches: tuple[Reach, Reach]) -> dict[str, Question]:
    """The questions that are answered already, and of the others, in order, as many as this work allows."""
    chosen: dict[str, Question] = {}
    laid: set[Any] = set()
    for name, question in questions.items():
        if not question.answered:
            played = clubs_and_level(question.case)
            work = sum(reach.work(question.case, played in laid) for reach in reaches)
            if question.few_checks and question.other_checks:
                work += sum(reach.work_of_checks(question.case) for reach in reaches)
            if work > most:
                continue
            most -= work
            laid.add(played)
        chosen[name] = question
    return chosen


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
    asking = partial(_asked, libraries, missing, cache)
    made = shared_out({name: question.case for name, question in missing.items()}, asking, processes)
    for name, pair in made.items():
        for key, answer, before in zip(keys[name], pair, missing[name].known, strict=True):
            if key is not None and answer != before and "unanswered" not in answer:
                cache.keep(KEPT_AS, key, answer)
    known = {name: question.known for name, question in questions.items() if name not in made}
    return {**made, **{name: (was, now) for name, (was, now) in known.items() if was is not None and now is not None}}


def _asked(
    libraries: tuple[Library, Library], questions: Mapping[str, Question], cache: Cache, names: Sequence[str]
) -> dict[str, Pair]:
    laid = Laid(cache)
    first = Bench(libraries[0], ready=laid.bring)
    benches = first, Bench(libraries[1], like=first, ready=laid.bring)
    made = {name: _answered(questions[name], benches) for name in names}
    laid.keep()
    return made


def _answered(question: Question, benches: tuple[Bench, Bench]) -> Pair:
    was, now = (known or _answer(question.case, bench) for known, bench in zip(question.known, benches, strict=True))
    if not (question.few_checks and question.wants_checks(was, now)):
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
