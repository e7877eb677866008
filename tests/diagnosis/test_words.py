"""Expressions in a text: the longest at each place, whole words alone."""

from __future__ import annotations

import random
import re

import yaml
from arclore.engine.diagnosis.words import _Phrases, normalised
from arclore.engine.library.stack import BUILT_IN

WORDS = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in sorted((BUILT_IN / "words").glob("a*.yaml"))]


def test_phrases_are_found_as_one_pattern_of_them_all_would_find_them() -> None:
    phrases = sorted({normalised(phrase) for entry in WORDS for phrase in entry["phrases"]})
    longest_first = sorted(phrases, key=len, reverse=True)
    pattern = re.compile(rf"\b(?:{'|'.join(map(re.escape, longest_first))})\b")
    loose = sorted({word for phrase in phrases for word in phrase.split()})
    chance = random.Random(3)
    found = 0
    for _ in range(1000):
        text = " ".join(chance.choice(chance.choice((phrases, loose))) for _ in range(8))
        expected = [(match[0], match.start()) for match in pattern.finditer(text)]
        assert list(_Phrases(phrases).found_in(text)) == expected
        found += len(expected)
    assert found > 3000


def test_a_word_that_only_begins_like_a_phrase_is_none() -> None:
    phrases = _Phrases(["hook", "duck hook", "duck"])
    assert list(phrases.found_in("a duck hooked and a duck hook")) == [("duck", 2), ("duck hook", 20)]
    assert list(_Phrases([]).found_in("a duck")) == []
