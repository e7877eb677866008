"""Phrases that don't belong in a library: school and vendor vocabulary, and promises nobody can keep."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from arclore.engine.library.problems import Problem
from arclore.engine.library.read import Document, FieldPath
from arclore.engine.upkeep.subject import Subject

_USUALLY = "say usually, often or sometimes"
AVOIDED: tuple[tuple[str, re.Pattern[str], str], ...] = tuple(
    (word, re.compile(pattern, re.IGNORECASE), hint)
    for word, pattern, hint in (
        ("p", r"\b(?-i:P)-?(?:10|[1-9])(?:\.\d)?\b", "say where the shaft or the lead arm is"),
        ("plane", r"\b(?:one|two|single|double|1|2)[- ]plane\b", "say how steep the lead arm is to the shoulders"),
        ("x", r"\bx[- ](?:factor|stretch)\b", "say turn of the chest against the hips"),
        ("smash", r"\bsmash[- ]factor\b", "say ball speed over club speed"),
        ("spin", r"\bspin[- ]loft\b", "say loft less attack"),
        ("tour", r"\btour[- ]average\b", "give a range with its unit"),
        ("clock", r"\bo['’]clock\b", "say how high the hands or the shaft are"),
        ("feel", r"\bfeel (?:is not|isn['’]t|ain['’]t) real\b", "state the fact"),
        ("slot", r"\bin the slot\b", "say what the club does"),
        ("the", r"\b(?:chase the ball|stay in the shot)\b", "say what the club does"),
        ("toe", r"\btoe[- ]hang\b", "say how wide the stroke's arc is"),
        ("face", r"\bface[- ]balanced\b", "say how the face turns"),
        ("guarantee", r"\bguarantee[ds]?\b", _USUALLY),
        ("cure", r"\bcures? (?:your|every|any)\b", _USUALLY),
        ("always", r"\balways (?:works?|helps?|fails?|happens?|goes|misses|cures?|fixes)\b", _USUALLY),
        ("never", r"\bnever (?:works?|helps?|fails?|happens?|goes|misses)\b", _USUALLY),
        ("will", r"\bwill (?:always|never)\b", _USUALLY),
    )
)
"""A word that the phrase can't be without (searched first: it is fast), the phrase, and what to write in its place."""
_SAID_BY_OTHERS = {"words": ("phrases",), "case": ("case",)}  # what people say is kept as they say it


def banned_phrases(subject: Subject) -> Iterator[Problem]:
    """Rows for the first avoided phrase of each text that a person will read."""
    for document in subject.library.documents.values():
        yield from avoided_in(document)


def avoided_in(document: Document) -> Iterator[Problem]:
    """The same for one document."""
    for path, text in _texts(document.value, ()):
        if path[0] in _SAID_BY_OTHERS.get(document.value["kind"], ()) or " " not in text:
            continue
        lower = text.lower()
        for word, pattern, hint in AVOIDED:
            found = pattern.search(text) if word in lower else None
            if found:
                yield document.problem(path, "banned-phrase", f"the phrase {found[0]!r}", hint)
                break


def _texts(value: Any, path: FieldPath) -> Iterator[tuple[FieldPath, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict | list):
        for name, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _texts(item, (*path, name))
