"""From a case to an answer: safety first, then causes ranked with reasons, the next check and the drill.

``triage`` returns plain data, the object that ``arclore triage --json`` prints; its schema is
``schemas/triage.schema.json``. Sides in it are this golfer's own: angles stay + to the right as seen.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from typing import Any

from arclore.engine.diagnosis.advice import advice, drills_of, first_of
from arclore.engine.diagnosis.case import CLUB_FAMILIES, Case, CaseError, ClubUsed, case_of, club_used
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.confirmed import NOTHING, Learned
from arclore.engine.diagnosis.delivery import Delivery
from arclore.engine.diagnosis.doubts import doubts
from arclore.engine.diagnosis.left_out import of_three, of_two
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import FULL_SWING
from arclore.engine.diagnosis.next_check import suggestions
from arclore.engine.diagnosis.putt_condition import PuttCondition
from arclore.engine.diagnosis.ranking import Ranking, changed_name
from arclore.engine.diagnosis.reasons import because
from arclore.engine.diagnosis.remedy import barred, chosen_first
from arclore.engine.diagnosis.sand_condition import SandCondition
from arclore.engine.diagnosis.shown import shown_order
from arclore.engine.diagnosis.told import (
    SHOWN_CHECKS,
    geometry_of,
    groups_of,
    intervals_of,
    next_step,
    ordered,
    spoken,
)
from arclore.engine.diagnosis.unranked import empty, stopped, unlisted
from arclore.engine.diagnosis.words import Expressions, Proposal
from arclore.engine.geometry.club import LEVELS
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Array, mirrored, plain

NEEDED_SETTINGS = (
    "frequency_words",
    "commonness",
    "acting_causes",
    "unlisted_weight",
    "most_paired_causes",
    "spreads",
    "borders",
    "faults",
    "blur",
    "statement",
    "priority",
    "next_check",
    "safety",
)
REHEARSED = {"start": "left", "curve": "left", "height": "low", "contact": ["clean"], "turf": ["none"]}
MOST_SHAPLEY_ANSWERS, MOST_LIVE_ANSWERS = 8, 3
USUAL_LEVEL = "intermediate"  # whose swing the geometry plays where the level is not known
CONDITIONS = {"putt": PuttCondition, "sand": SandCondition}  # by club family; the full swing's serves all the others


class LibraryError(CaseError):
    """A library that no case can be weighed with: one line saying what it lacks and what to do."""


class Bench:
    """A library made ready for cases: models are built once for a choice of clubs and level, and kept.

    like: the bench of another library, with which all that is made from equal entries is shared. learned: figures that
    count in place of the stated ones. ready: called with each condition as it is made, before anything is played.
    """

    def __init__(
        self,
        library: Library,
        largest: int = 2,
        like: Bench | None = None,
        learned: Learned = NOTHING,
        ready: Callable[[Condition], None] = lambda _: None,
    ) -> None:
        self.library = library
        self.learned = learned
        self.largest = largest
        same_words = like is not None and _equal(library, like.library, "words")
        self.expressions: Expressions = like.expressions if like and same_words else Expressions(library.words)
        self._ready = ready
        self._plain: dict[tuple[str, str], Condition] = {}
        self._models: dict[Hashable, Model] = {}
        if like is not None and _equal(library, like.library, "clubs", "settings"):
            self._plain = like._plain
            same_causes = _equal(library, like.library, "causes") and _changing(library) == _changing(like.library)
            if (largest, learned) == (like.largest, like.learned) and same_causes:
                self._models = like._models

    def case(self, given: Mapping[str, Any]) -> Case:
        """The case of a checked input, its words turned into proposals. Raises CaseError."""
        library = self.library
        texts = [*given.get("also", ()), given.get("words", "")]
        known = [text for text in texts if text in library.symptoms]
        given = {**given, "present": [*given.get("present", ()), *known]}
        found = self.expressions.of_all(text for text in texts if text and text not in known)
        noted = set(given.get("also", ()))
        pain = given.get("pain")
        if pain is None:
            pain = any(proposal.means.get("pain") for proposal in found)
        shots = list(given.get("shots", ()))
        if not shots:
            clubs = [club for proposal in found for club in proposal.means.get("clubs", ()) if club in CLUB_FAMILIES]
            shots = [{"club": club} for club in dict.fromkeys(clubs)]
        handed = given.get("handed", "unknown")
        proposals = [_proposed(p, handed, p.certain and p.text in noted) for p in found]
        case = case_of({**given, "pain": pain, "shots": shots}, library, proposals)
        return replace(case, notes=(*case.notes, *self.learned.notes))

    def model(self, case: Case, paired: bool = False) -> Model:
        """The model for the clubs and level of a case: of pairs, but of single causes where there are very many.

        paired: of pairs all the same.
        """
        checks = {name: self.library.checks[name] for name in sorted(case.checks)}
        changed = tuple(
            (name, case.club_of(check)) for name, check in checks.items() if check["type"] == "changed-set-up"
        )
        key = (tuple(sorted(club.name for club in case.clubs)), case.level, changed, paired)
        if key not in self._models:
            conditions: dict[str, Condition] = {}
            for club in (club_used(name, self.library) for name in key[0]):
                if club.family in self.library.clubs:
                    conditions |= self._conditions(club, case.level, changed)
            families = case.families or FULL_SWING
            of_case = (self.library.causes, self.library.settings, families, conditions, case.level)
            model = Model(*of_case, self.largest, self.learned)
            if len(model.candidates) > self.library.settings["most_paired_causes"] and not paired:
                model = Model(*of_case, 1, self.learned)
            self._models[key] = model
        return self._models[key]

    def _conditions(self, club: ClubUsed, level: str, changed: Sequence[tuple[str, str]]) -> dict[str, Condition]:
        """The club in its own set-up, and in those of the checks, named with their club, that change it."""
        plain_set_up = self._plain_of(club, level)
        result = {club.name: plain_set_up}
        for name, changed_with in changed:
            if changed_with == club.name:
                put_right = frozenset(self.library.checks[name]["changed_set_up"]["puts_right"])
                changed_set_up = copy(plain_set_up)  # with the tables that are laid already: the same ball is played
                object.__setattr__(changed_set_up, "put_right", put_right)
                result[changed_name(club.name, name)] = changed_set_up
        return result

    def _plain_of(self, club: ClubUsed, level: str) -> Condition:
        """The club in its own set-up, kept: its tables serve every model that it is in."""
        played = level if level in LEVELS else USUAL_LEVEL
        if (club.name, played) not in self._plain:
            made = club_from_entry(self.library.clubs[club.family], club.member)
            condition = CONDITIONS.get(club.family, Condition)
            self._plain[club.name, played] = condition(made, played, made.standard, self.library.settings, club.name)
            self._ready(self._plain[club.name, played])
        return self._plain[club.name, played]

    def ranking(self, case: Case, still: Callable[[], None] = lambda: None) -> Ranking:
        """The ranking of a case; ``still`` is called before each long step of it, and may raise to end it."""
        model, library = self.model(case), self.library
        spared = barred(model, library.drills, case.avoid)
        return Ranking(model, case, library.symptoms, library.checks, still, spared)

    def pairs(self, case: Case, still: Callable[[], None] = lambda: None) -> Ranking:
        """The ranking of pairs however many causes there are: for ``ClassedPairs``, as its sets may be too many."""
        library = self.library
        return Ranking(self.model(case, paired=True), case, library.symptoms, library.checks, still)

    def lay_tables(self, club: str, level: str, still: Callable[[], None] = lambda: None) -> None:
        """Play a club all over its grids and under each cause. It may run beside a ranking; still: as there."""
        condition = self._plain_of(club_used(club, self.library), level)
        for name in condition.long_tables:
            still()
            getattr(condition, name)
        still()
        causes = self.library.causes
        Model(causes, self.library.settings, [condition.club.family], {club: condition}, level).play(club)

    def rehearse(
        self,
        clubs: Sequence[str],
        level: str,
        told: int,
        still: Callable[[], None] = lambda: None,
    ) -> None:
        """Work out and keep what cases with these clubs need whatever is answered; still: as in ``ranking``.

        told: how many of the clubs are described, the first ones first.
        """
        shots = [{**(REHEARSED if place < told else {}), "club": club} for place, club in enumerate(clubs)]
        still()
        ranking = self.ranking(self.case({"level": level, "pain": False, "shots": shots}), still)
        if ranking.model.candidates:
            suggestions(ranking)

    def foresee(self, given: Mapping[str, Any], still: Callable[[], None] = lambda: None) -> None:
        """Rank a case that may come, and keep what its ranking needs; still: as in ``ranking``. Raises CaseError."""
        still()
        case = self.case(given)
        if not case.pain and self.model(case).candidates:
            self.ranking(case, still).posterior()


def _equal(one: Library, other: Library, *parts: str) -> bool:
    return all(getattr(one, part) == getattr(other, part) for part in parts)


def _changing(library: Library) -> dict[str, Any]:
    """The checks that change the set-up: no others count in a model."""
    return {name: check for name, check in library.checks.items() if check["type"] == "changed-set-up"}


def _proposed(proposal: Proposal, handed: str, told: bool) -> dict[str, Any]:
    """A proposal as data, in hand-neutral words. told: a plain expression among the findings, not loose talk."""
    means = proposal.means
    outcome = dict(means.get("outcome", {}))
    for variable, side in means.get("sides", {}).items():
        seen = mirrored(side) if handed == "left" else side
        outcome[variable] = {"left": "toward", "right": "away"}[seen]
    return {
        "phrase": proposal.phrase,
        "from": proposal.text,
        "outcome": outcome,
        "findings": list(means.get("findings", ())),
        "theory": means.get("theory"),
        "ask": list(means.get("ask", ())),
        "certain": proposal.certain,
        "told": told,
        "club": proposal.club,
    }


def triage(given: Mapping[str, Any], bench: Bench) -> dict[str, Any]:
    """The answer to a checked case. Raises CaseError for a name that the library does not know.

    LibraryError where the library lacks settings of the inference, as an older one may.
    """
    *_, answer = unfolding(given, bench, thorough=True)
    return answer


def unfolding(
    given: Mapping[str, Any],
    bench: Bench,
    live: bool = False,
    still: Callable[[], None] = lambda: None,
    thorough: bool = False,
) -> Iterator[dict[str, Any]]:
    """The answer to a case, first as the ranking alone, then explained; only once where safety stops it.

    Raises what ``triage`` raises. The ranking alone has no reasons, no drills, no next checks and nothing of what the
    club did. live: while a person waits at every answer, reasons fall back to leave-one-out bits sooner. still: called
    before each long step; what it raises ends the work. thorough: a third time, with what is doubtful and what sets of
    three hold, or those of two where there are too many causes to rank pairs of them while somebody waits.
    """
    case = _case(given, bench)
    if (answer := _unranked(case, bench)) is not None:
        yield answer
        return
    ranking = bench.ranking(case, still)
    order = _order(ranking)
    ranked = _ranked(ranking, order, case, bench.library)
    yield plain(ranked, 6)
    whole = {**ranked, **_explained(ranking, order, case, bench, MOST_LIVE_ANSWERS if live else None)}
    yield plain(whole, 6)
    if thorough:
        still()
        whole |= doubts(ranking, order, case)
        if ranking.model.largest == 2:
            whole |= of_three(ranking, order)
        elif bench.largest == 2:
            whole |= of_two(bench.pairs(case, still))
        yield plain(whole, 6)


def advised(given: Mapping[str, Any], bench: Bench) -> dict[str, Any]:
    """What two libraries are compared by: an answer without reasons, next checks and what the club did.

    leading: the cause that ``triage`` names first, or None; chances: of every cause; drills: the ids of those that
    ``triage`` names, best first. Raises what ``triage`` raises.
    """
    case = _case(given, bench)
    if (answer := _unranked(case, bench)) is not None:
        chances = {cause["id"]: cause["probability"] for cause in answer["causes"]}
        return {"leading": next(iter(chances), None), "chances": chances, "drills": []}
    ranking = bench.ranking(case)
    order = _order(ranking)
    return {
        "leading": ranking.model.ids[order[0]],
        "chances": dict(zip(ranking.model.ids, plain(ranking.marginal[:-1].tolist(), 6), strict=True)),
        "drills": [drill["id"] for drill in drills_of(ranking, order, bench.library)],
    }


def advised_checks(given: Mapping[str, Any], bench: Bench) -> list[str]:
    """The ids of the checks that ``triage`` names, best first, which takes longer than the rest of ``advised``."""
    case = _case(given, bench)
    if _unranked(case, bench) is not None:
        return []
    return [check.id for check in suggestions(bench.ranking(case))[:SHOWN_CHECKS]]


def _case(given: Mapping[str, Any], bench: Bench) -> Case:
    if lacking := [name for name in NEEDED_SETTINGS if name not in bench.library.settings]:
        raise LibraryError(f"library.yaml lacks {', '.join(lacking)}: lay the library over the built-in one")
    return bench.case(given)


def _unranked(case: Case, bench: Bench) -> dict[str, Any] | None:
    """The answer where safety stops the lesson or no cause is listed; None where there is something to rank."""
    if case.pain or any(bench.library.symptoms[name].get("safety") for name in case.present):
        return stopped(case, bench.library)
    return None if bench.model(case).candidates else unlisted(case, bench.library)


def _order(ranking: Ranking) -> list[int]:
    """The causes to show, in order."""
    candidates = ranking.model.candidates
    return shown_order(
        ranking.marginal[: len(candidates)], [c.id for c in candidates], [c.entry["family"] for c in candidates]
    )


def _ranked(ranking: Ranking, order: Sequence[int], case: Case, library: Library) -> dict[str, Any]:
    """What the ranking alone says."""
    first = chosen_first(ranking)
    return {
        **empty(case, library),
        "causes": [_row(ranking, i) for i in order],
        "families": groups_of(ranking, "family"),
        "nothing_to_fix": ranking.nothing_to_fix,
        "none_of_these": ranking.none_of_these,
        "stages": {
            "involved": groups_of(ranking, "stage"),
            "leading": ranking.model.candidates[order[0]].entry["stage"] if order else None,
        },
        "priority": None if first is None else first_of(ranking, first),
    }


def _explained(ranking: Ranking, order: Sequence[int], case: Case, bench: Bench, most: int | None) -> dict[str, Any]:
    """Why, what the club did, and what to do next."""
    delivery = Delivery(ranking)
    bits = because(ranking, MOST_SHAPLEY_ANSWERS if most is None else most)
    made = ranking.model.conditions
    return {
        "causes": [_cause(i, ranking, delivery, bits, case) for i in order],
        "delivery_faults": ordered(delivery.faults()),
        **advice(ranking, delivery, order, case, bench.library),
        **next_step(ranking, bench.library.checks),
        "delivery": {club.name: intervals_of(delivery, club.name, case) for club in case.clubs if club.name in made},
    }


def _row(ranking: Ranking, i: int) -> dict[str, Any]:
    candidate = ranking.model.candidates[i]
    return {
        "id": candidate.id,
        "title": candidate.entry["title"],
        "family": candidate.entry["family"],
        "stage": candidate.entry["stage"],
        "probability": float(ranking.marginal[i]),
    }


def _cause(i: int, ranking: Ranking, delivery: Delivery, bits: Array, case: Case) -> dict[str, Any]:
    verdict = delivery.verdict(i)
    reasons = [
        {"finding": spoken(answer, case), "bits": float(bits[i, j])}
        for j, answer in enumerate(ranking.answers)
        if abs(bits[i, j]) >= 0.05
    ]
    return {
        **_row(ranking, i),
        "geometry": geometry_of(verdict, case),
        "because": sorted(reasons, key=lambda row: (-abs(row["bits"]), row["finding"])),
    }
