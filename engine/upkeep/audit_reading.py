"""Whether a student of about eleven can read what is meant for students."""

from __future__ import annotations

import re
from collections.abc import Iterator

from arclore.engine.library.problems import Problem
from arclore.engine.upkeep.subject import Subject

HARDEST_GRADE = 7.0  # school year 6 is age 11 to 12; one more for what a count of syllables can't tell
_SENTENCE = re.compile(r"[.!?]+(?:\s|$)")
_WORD = re.compile(r"[a-z]+(?:['’-][a-z]+)*")
_VOWELS = re.compile(r"[aeiouy]+")
_SILENT = re.compile(r"(?:[^laeiouy]e|[^aeiouytd]ed|[^aeioucgsxz]es)$")


def hard_to_read(subject: Subject) -> Iterator[Problem]:
    """What a student hears that needs more schooling than a student of about eleven has."""
    for kind, entries, field in (
        ("cause", subject.causes, "tell_student"),
        ("symptom", subject.symptoms, "question"),
        ("drill", subject.drills, "cue"),
    ):
        for name, entry in entries.items():
            grade = reading_grade(entry[field])
            if grade > HARDEST_GRADE:
                message = f"what the student hears reads at school year {grade:.1f}"
                hint = f"shorter sentences and words, to {HARDEST_GRADE:g} or less"
                yield subject.problem(kind, name, (field,), "hard-to-read", message, hint)


def reading_grade(text: str) -> float:
    """School year that English text asks for: Kincaid, Fishburne, Rogers and Chissom 1975, Navy report 8-75.

    0.39 words a sentence + 11.8 syllables a word - 15.59; syllables are counted as groups of vowels, silent endings
    left out. 0 for text without words.
    """
    words = _WORD.findall(text.lower())
    if not words:
        return 0.0
    sentences = max(1, len([part for part in _SENTENCE.split(text) if part.strip()]))
    return 0.39 * len(words) / sentences + 11.8 * sum(map(syllables, words)) / len(words) - 15.59


def syllables(word: str) -> int:
    """Spoken syllables of a lower-case English word, by its groups of vowels; at least 1."""
    return sum(max(1, len(_VOWELS.findall(_SILENT.sub("", part) or part))) for part in re.split(r"['’-]", word) if part)
