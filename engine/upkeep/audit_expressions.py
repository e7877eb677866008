"""What golfers say: an expression means one thing, and a guess at a fault is never certain."""

from __future__ import annotations

from collections.abc import Iterator

from arclore.engine.diagnosis.words import normalised
from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.subject import Subject, in_use


def said_in_two(subject: Subject) -> Iterator[Problem]:
    """Expressions that stand twice: only the entry that comes first in the alphabet would ever be found."""
    first: dict[str, str] = {}
    for name, entry in sorted(in_use(subject.library.words).items()):
        for number, phrase in enumerate(entry["phrases"]):
            plain = normalised(phrase)
            if plain in first:
                message = f"{phrase!r} already stands in {first[plain]!r}"
                hint = "keep it in one of the two; the other is never found"
                yield subject.problem("words", name, ("phrases", number), "said-in-two", message, hint)
            first.setdefault(plain, name)


def certain_guesses(subject: Subject) -> Iterator[Problem]:
    """Expressions that name what the golfer thinks is wrong and claim that it was seen."""
    for name, entry in in_use(subject.library.words).items():
        if entry["certain"] and "theory" in entry["means"]:
            message = "a golfer's own guess is taken as certain"
            hint = "write certain: false, and under ask what would show it"
            yield subject.problem("words", name, ("certain",), "certain-guess", message, hint)
