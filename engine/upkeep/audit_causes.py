"""What only meaning can check of causes and symptoms."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from arclore.engine.diagnosis.moves import FULL_SWING
from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.bearing import Entry, families_of, ratios
from arclore.engine.upkeep.subject import WITHOUT_DRILL, Subject

LEAST_RATIO = 3.0  # a check that moves the odds by less neither confirms nor refutes
LEAK_RANGE = (0.005, 0.3)
SHOTS = {
    "a driver": {"driver"},
    "a club from the turf": {*FULL_SWING} - {"driver"},
    "a pitch": {"pitch"},
    "a chip": {"chip"},
    "a sand shot": {"sand"},
    "a putter": {"putt"},
}  # kinds of shot that no one drill serves: what they are played from and with differs too much


def untested(subject: Subject) -> Iterator[Problem]:
    """Causes without a check that can confirm them, or without one that can refute them."""
    for name in subject.causes:
        moved = [ratios(subject.checks[check]) for check in subject.checks_of[name]]
        for code, does, best in (
            ("no-confirming-check", "confirm", max((positive for positive, _ in moved), default=1.0)),
            ("no-refuting-check", "refute", max((1.0 / negative for _, negative in moved), default=1.0)),
        ):
            if best < LEAST_RATIO - 1e-9:
                message = f"no check can {does} it: the best moves its odds {best:.1f} times"
                yield subject.problem(
                    "cause", name, ("id",), code, message, f"name it in a check that moves them {LEAST_RATIO:g} times"
                )


def untreated(subject: Subject) -> Iterator[Problem]:
    """Causes that no drill works on with one of their kinds of shot, though there is something to practise."""
    treated: dict[str, frozenset[str]] = defaultdict(frozenset)
    for drill in subject.drills.values():
        for name in drill["for"]["causes"]:
            treated[name] |= families_of(drill["clubs"])
    for name, cause in subject.causes.items():
        if cause.get("refer") or cause["stage"] in WITHOUT_DRILL:
            continue
        played = subject.clubs_of_cause[name]
        without = [shot for shot, clubs in SHOTS.items() if clubs & played and not clubs & treated[name]]
        if without:
            message = f"no drill works on it with {', '.join(without)}"
            yield subject.problem("cause", name, ("id",), "no-drill", message, "name it in a drill for such a shot")


def speechless(subject: Subject) -> Iterator[Problem]:
    """Causes that say too little to be found by: they move nothing and lead to fewer than two findings."""
    for name, cause in subject.causes.items():
        told = len(cause.get("leads_to", ()))
        if not cause.get("moves") and not cause.get("adds_scatter") and told < 2 and not cause.get("refer"):
            message = f"it moves nothing and leads to {told} finding" + ("" if told == 1 else "s")
            hint = "say what it moves, or name two findings it leads to"
            yield subject.problem("cause", name, ("id",), "thin-cause", message, hint)


def stated_outcomes(subject: Subject) -> Iterator[Problem]:
    """Stated frequencies of what the geometry works out itself."""
    for name, cause in subject.causes.items():
        for index, link in enumerate(cause.get("leads_to", ())):
            symptom = link["symptom"]
            if "outcome" in subject.symptoms.get(symptom, {}):
                message = f"a frequency is stated for {symptom!r}, which the geometry works out"
                hint = "take it out: what the cause moves says how often"
                yield subject.problem("cause", name, ("leads_to", index), "stated-outcome", message, hint)


def unmarked_opposites(subject: Subject) -> Iterator[Problem]:
    """Causes of one family or stage that move the same single input to opposite sides, not marked exclusive."""
    sides: dict[tuple[str, str], tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for name, cause in subject.causes.items():
        inputs = {move["input"] for move in cause.get("moves", ())}
        signs = {move["size"] > 0 for move in cause.get("moves", ()) if move["size"]}
        if len(inputs) == len(signs) == 1:
            for group in ("family", "stage"):
                sides[inputs.copy().pop(), f"{group} {cause[group]}"][signs.copy().pop()].append(name)
    pairs = {
        (min(less, more), max(less, more)): (moved, group)
        for (moved, group), (below, above) in sorted(sides.items())
        for less in below
        for more in above
        if subject.clubs_of_cause[less] & subject.clubs_of_cause[more]
    }
    for (first, second), (moved, group) in sorted(pairs.items()):
        if not any(
            other in subject.causes[name].get(field, ())
            for name, other in ((first, second), (second, first))
            for field in ("exclusive_with", "upstream_of")
        ):
            message = f"it and {second!r} of one {group} move {moved} to opposite sides, and are not exclusive"
            hint = f"exclusive_with: [{second}], or upstream_of where one brings on the other"
            yield subject.problem("cause", first, ("exclusive_with",), "unmarked-opposites", message, hint)


def one_sided(subject: Subject) -> Iterator[Problem]:
    """Causes that exclude another which does not say so."""
    for name, cause in subject.causes.items():
        for index, other in enumerate(cause.get("exclusive_with", ())):
            if other in subject.causes and not _exclusive(subject.causes[other], name):
                message = f"it excludes {other!r}, which does not say so"
                hint = f"add {name} to the other's exclusive_with"
                yield subject.problem("cause", name, ("exclusive_with", index), "one-sided", message, hint)


def _exclusive(cause: Entry, other: str) -> bool:
    return other in cause.get("exclusive_with", ())


def lone_positions(subject: Subject) -> Iterator[Problem]:
    """Disagreements of the trade of which only one side is told."""
    for kind, entries in (("cause", subject.causes), ("check", subject.checks), ("drill", subject.drills)):
        for name, entry in entries.items():
            if len(entry.get("positions", ())) == 1:
                message, hint = "only one side of a disagreement is told", "add the other side and its reason"
                yield subject.problem(kind, name, ("positions",), "lone-position", message, hint)


def unreached_symptoms(subject: Subject) -> Iterator[Problem]:
    """Symptoms that no cause leads to and that the geometry does not work out; safety signs stop a lesson instead."""
    made = {link["symptom"] for cause in subject.causes.values() for link in cause.get("leads_to", ())}
    for name, symptom in subject.symptoms.items():
        if name not in made and "outcome" not in symptom and not symptom.get("safety"):
            hint = "name it in the leads_to of a cause, or give it an outcome"
            yield subject.problem("symptom", name, ("id",), "unreached-symptom", "no cause leads to it", hint)


def odd_leaks(subject: Subject) -> Iterator[Problem]:
    """Symptoms seen so often without a listed cause, or so seldom, that they tell nothing or far too much."""
    low, high = LEAK_RANGE
    for name, symptom in subject.symptoms.items():
        share = subject.words.get(symptom.get("leak", ""))
        if share is not None and not low <= share <= high:
            message = f"the leak {symptom['leak']!r} is {share:g}, outside {low:g} to {high:g}"
            hint = "a rarer word, or a symptom that is seen more seldom without a cause"
            yield subject.problem("symptom", name, ("leak",), "leak", message, hint)
