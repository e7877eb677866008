"""Entries that say the same thing twice: near-equal titles, and near-equal steps."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.bearing import Entry
from arclore.engine.upkeep.subject import Subject

NEAR = 0.5  # the same, from which a title that is being typed is worth a look at its neighbour
HELD = 0.75  # of the typed words, from which they may say in short what a longer title says, where they are
FEW = 3  # or more
ALIKE = 0.75  # shared words of all words (Jaccard 1912) from which two texts are near-duplicates
_WORD = re.compile(r"\w+")
_SMALL = frozenset(
    {"a", "an", "and", "at", "by", "for", "from", "in", "is", "it", "its", "of", "on", "or", "the", "to", "with"}
)


def near_duplicates(subject: Subject) -> Iterator[Problem]:
    """A row at the second of two entries about the same thing that share most of the words of a text.

    Twins for the two sides of one thing (open and shut, toe and heel) share words too, but not what they are about.
    """
    for kind, entries, field in (
        ("symptom", subject.symptoms, "title"),
        ("cause", subject.causes, "title"),
        ("check", subject.checks, "title"),
        ("check", subject.checks, "how"),
        ("drill", subject.drills, "title"),
        ("drill", subject.drills, "steps"),
    ):
        words = {name: _words(entry[field]) for name, entry in entries.items()}
        for first, second, share in alike(words):
            if not _twins(subject, kind, entries[first], entries[second]):
                message = f"its {field} shares {share:.0%} of the words with {first!r}"
                hint = "merge the two, or say what is different"
                yield subject.problem(kind, second, (field,), "near-duplicate", message, hint)


def near_titles(title: str, titles: Mapping[str, str], most: int = 3) -> list[tuple[str, float]]:
    """The ids whose titles share half of all words with this one, or hold most of its words; nearest first.

    With each stands the share of all words.
    """
    mine = _words(title)
    near = []
    for name, other in titles.items():
        theirs = _words(other)
        both = len(mine & theirs)
        if (share := _share(mine, theirs)) >= NEAR or (both >= FEW and both >= HELD * len(mine)):
            near.append((name, share))
    return sorted(near, key=lambda found: (-found[1], found[0]))[:most]


def _twins(subject: Subject, kind: str, first: Entry, second: Entry) -> bool:
    """Whether two entries are about different causes, or are kept apart by what they say of the ball."""
    if kind == "symptom":
        return bool(first.get("outcome") != second.get("outcome") or first["clubs"] != second["clubs"])
    if kind == "cause":
        return second["id"] in first.get("exclusive_with", ()) or first["id"] in second.get("exclusive_with", ())
    if kind == "drill":
        return not {*first["for"]["causes"]} & {*second["for"]["causes"]}
    about = subject.bearings.causes(first), subject.bearings.causes(second)
    return any(about) and not about[0] & about[1]


def _words(text: str | list[str]) -> frozenset[str]:
    whole = text if isinstance(text, str) else " ".join(text)
    return frozenset(_WORD.findall(whole.lower())) - _SMALL


def alike(words: Mapping[str, frozenset[str]], least: float = ALIKE) -> Iterator[tuple[str, str, float]]:
    """Pairs of names, in order, whose sets of words overlap by at least this share, with the share.

    By prefix filtering (Chaudhuri, Ganti and Kaushik 2006): two sets that overlap so much share one of their
    rarest words, so only sets listed under a same rare word are compared. Words stand as bits of one whole number,
    for which that takes a tenth of the time.
    """
    common = Counter(word for found in words.values() for word in found)
    bit = {word: 1 << number for number, word in enumerate(sorted(common))}
    bits = {name: sum(bit[word] for word in own) for name, own in words.items()}
    listed: dict[str, list[str]] = defaultdict(list)
    for name in sorted(words):
        own, mine = sorted(words[name], key=lambda word: (common[word], word)), bits[name]
        prefix = own[: len(own) - _ceil(least * len(own)) + 1]
        near = dict.fromkeys(other for word in prefix for other in listed[word])
        for other in near:
            both = (mine & bits[other]).bit_count()
            share = both / (len(own) + len(words[other]) - both)
            if share >= least:
                yield other, name, share
        for word in prefix:
            listed[word].append(name)


def _share(first: frozenset[str], second: frozenset[str]) -> float:
    """Shared words of all words (Jaccard 1912); 0 of none."""
    return len(first & second) / len(first | second) if first or second else 0.0


def _ceil(value: float) -> int:
    return -int(-value // 1)
