"""Everyday words as proposals: what a student's own words may mean was seen.

A proposal is shown as such and counts as unsure until a coach accepts it. A theory ("I come over the top") stays a
theory. Words of pain never become a finding: they raise the safety question.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any

NEGATIONS = {"no", "not", "never", "without", "dont", "doesnt", "isnt", "wasnt", "arent", "didnt", "hardly", "nor"}
NEGATION_REACH = 3  # words before an expression in which a "not" turns it round
_WORD = re.compile(r"[^ ]+")
SIDE = r"(?:left to (?=right)|right to (?=left))?(left|right)\b"  # the first one named; "left to right" ends right
SIDED = (
    ("start", re.compile(r"\b(?:start|starts|started|starting|begin|begins|launches) (?:\w+ ){0,2}?" + SIDE)),
    ("curve", re.compile(r"\b(?:curve|curves|curving|bend|bends|bending|turns|veers) (?:\w+ ){0,3}?" + SIDE)),
    (
        "finish",
        re.compile(
            r"\b(?:go|goes|going|miss|misses|end|ends|ending|finish|finishes|finishing|land|lands|leak|leaks|fly|flies)"
            r" (?:\w+ ){0,3}?" + SIDE
        ),
    ),
)


@dataclass(frozen=True)
class Proposal:
    """One expression found in a text; what it means is hand-neutral, its ``sides`` are literal left and right as said.

    club: the club named nearest to it in the same text, "" where none is.
    """

    phrase: str
    text: str
    means: Mapping[str, Any]
    certain: bool
    entry: str
    at: int
    club: str = ""


@lru_cache(maxsize=1 << 14)
def normalised(text: str) -> str:
    """Lower case, straight apostrophes dropped, hyphens and punctuation as spaces, single spaces."""
    text = unicodedata.normalize("NFKC", text).lower().replace("’", "'").replace("'", "")
    return " ".join(re.sub(r"[^\w]+", " ", text).split())


class Expressions:
    """All expressions of a library, longest first, so that "duck hook" is found before "hook"."""

    def __init__(self, words: Mapping[str, Mapping[str, Any]]) -> None:
        found: dict[str, tuple[str, Mapping[str, Any]]] = {}
        for name in sorted(words):
            for phrase in words[name]["phrases"]:
                found.setdefault(normalised(phrase), (name, words[name]))
        self._entries = found

    @cached_property
    def _phrases(self) -> tuple[_Phrases, _Phrases]:
        # names of clubs are looked for apart, so that they take no word away from a longer expression
        clubs = {phrase for phrase, (_, entry) in self._entries.items() if set(entry["means"]) == {"clubs"}}
        return _Phrases(self._entries.keys() - clubs), _Phrases(clubs)

    def proposals(self, text: str) -> list[Proposal]:
        """What a text may mean, in order of appearance; an expression that is denied is left out."""
        plain = normalised(text)
        result, seen = [], set()
        for phrase, at in (found for phrases in self._phrases for found in phrases.found_in(plain)):
            before = plain[:at].split()[-NEGATION_REACH:]
            name, entry = self._entries[phrase]
            if name in seen or NEGATIONS & set(before):
                continue
            seen.add(name)
            result.append(Proposal(phrase, text, entry["means"], entry["certain"], name, at))
        for variable, pattern in SIDED:
            for match in pattern.finditer(plain):
                before = plain[: match.start()].split()[-NEGATION_REACH:]
                if not NEGATIONS & set(before):
                    sides = {"sides": {variable: match.group(1)}}
                    result.append(Proposal(match.group(0), text, sides, False, "said", match.start()))
        return _beside_their_clubs(result)

    def of_all(self, texts: Iterable[str]) -> list[Proposal]:
        """The proposals of several texts, the same meaning once."""
        result, seen = [], set()
        for text in texts:
            for proposal in self.proposals(text):
                key = (proposal.entry, str(proposal.means), proposal.club)
                if key not in seen:
                    seen.add(key)
                    result.append(proposal)
        return result


class _Phrases:
    """Phrases of whole words, looked up by their first word: a pattern of thousands takes seconds to build."""

    def __init__(self, phrases: Iterable[str]) -> None:
        self._by_first: dict[str, list[str]] = {}
        for phrase in sorted(phrases, key=lambda phrase: (-len(phrase), phrase)):
            self._by_first.setdefault(phrase.partition(" ")[0], []).append(phrase)

    def found_in(self, plain: str) -> Iterator[tuple[str, int]]:
        """Each phrase of a normalised text and where it begins; the longest at a place, and no word in two of them."""
        taken = 0
        for word in _WORD.finditer(plain):
            at = word.start()
            if at < taken:
                continue
            for phrase in self._by_first.get(word[0], ()):
                end = at + len(phrase)
                if plain.startswith(phrase, at) and plain[end : end + 1] in ("", " "):
                    yield phrase, at
                    taken = end
                    break


def _beside_their_clubs(proposals: list[Proposal]) -> list[Proposal]:
    """Each proposal with the club that is named nearest to it."""
    named = [(p.at, club) for p in proposals for club in p.means.get("clubs", ()) if "outcome" not in p.means]
    if not named:
        return proposals
    return [replace(p, club=min(named, key=lambda item: (abs(item[0] - p.at), item[0]))[1]) for p in proposals]
