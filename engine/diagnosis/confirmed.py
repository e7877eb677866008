"""What an academy's confirmed lessons teach: its counts beside the stated figures, for the links of causes to symptoms.

Only symptoms that were asked count, present or absent; how common causes are is not learned, since causes are confirmed
mostly where a coach went to look. A stated figure counts as STRENGTH earlier cases, and the lessons as at most CAP, so
that they sharpen what is stated and never overrule it. See ``learning`` for the formulas and their sources.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from arclore.engine.diagnosis.learning import Links, learn_links, surprise
from arclore.engine.diagnosis.posterior import compound_to_net
from arclore.engine.library.stack import Library
from arclore.engine.quantities import Array

STRENGTH = 12.0  # cases that a word of frequency stands for: Mosteller and Youtz 1990, table 1, by quartiles
CAP = 12.0  # cases that an academy's lessons stand for at most: half of the say


@dataclass(frozen=True)
class Confirmed:
    """One lesson whose causes were confirmed: their ids, and the symptoms that were asked."""

    causes: frozenset[str]
    present: frozenset[str]
    absent: frozenset[str]


@dataclass(frozen=True)
class Told:
    """One symptom's figures as learned: the chance that each cause alone makes it, by id, and its leak."""

    links: Mapping[str, float]
    leak: float


@dataclass(frozen=True)
class Learned:
    """The figures of symptoms that count in place of the stated ones, and from how many lessons they are."""

    symptoms: Mapping[str, Told]
    lessons: int

    @property
    def notes(self) -> tuple[str, ...]:
        """What an answer says of it; nothing where no lesson counts."""
        count = "1 confirmed lesson counts" if self.lessons == 1 else f"{self.lessons} confirmed lessons count"
        return (f"{count} beside the library's figures",) if self.lessons else ()


NOTHING = Learned({}, 0)


@dataclass(frozen=True)
class Figure:
    """How often a confirmed cause shows a symptom, by the library and as learned; cause "" for the symptom's leak.

    asked, seen: lessons with the cause in which the symptom was asked, and seen. surprise: how many standard deviations
    what was seen lies from what is stated.
    """

    cause: str
    symptom: str
    stated: float
    learned: float
    asked: int
    seen: int
    surprise: float


def learned_from(library: Library, lessons: Sequence[Confirmed]) -> Learned:
    """The figures of every symptom that was asked in a confirmed lesson. Names the library lacks are passed over."""
    result = {}
    for symptom in sorted(set().union(*(lesson.present | lesson.absent for lesson in lessons))):
        if "leak" in library.symptoms.get(symptom, {}):
            names, stated = _stated(library, symptom)
            now = learn_links(*_counts(names, symptom, lessons), stated, STRENGTH, CAP)
            result[symptom] = Told(dict(zip(names, now.links.tolist(), strict=True)), now.leak)
    return Learned(result, len(lessons))


def figures(library: Library, lessons: Sequence[Confirmed]) -> list[Figure]:
    """Stated and learned side by side, for every cause confirmed where one of its symptoms was asked."""
    rows = []
    for symptom, told in learned_from(library, lessons).symptoms.items():
        names, stated = _stated(library, symptom)
        acting, present, absent = _counts(names, symptom, lessons)
        groups = [*zip(names, acting.T, strict=True), ("", ~acting.any(axis=1))]
        for place, (name, shown) in enumerate(groups):
            seen, asked = int(present @ shown), int((present + absent) @ shown)
            if asked:
                was = _with_leak(float(stated.links[place]) if name else 0.0, stated.leak)
                now = _with_leak(told.links[name] if name else 0.0, told.leak)
                rows.append(Figure(name, symptom, was, now, asked, seen, surprise(was, STRENGTH, seen, asked)))
    return rows


def _stated(library: Library, symptom: str) -> tuple[list[str], Links]:
    """The causes that the library links to a symptom, and what it states of them."""
    words = library.settings["frequency_words"]
    leak = float(words[library.symptoms[symptom]["leak"]])
    links = {
        name: compound_to_net(words[link["how_often"]], leak)
        for name, entry in sorted(library.causes.items())
        for link in entry.get("leads_to", ())
        if link["symptom"] == symptom
    }
    return list(links), Links(np.array(list(links.values())), leak)


def _counts(names: Sequence[str], symptom: str, lessons: Sequence[Confirmed]) -> tuple[Array, Array, Array]:
    """Per lesson: which of these causes were confirmed (lessons, causes), whether the symptom was seen, or was not."""
    acting = np.array([[name in lesson.causes for name in names] for lesson in lessons], dtype=float)
    present = np.array([float(symptom in lesson.present) for lesson in lessons])
    absent = np.array([float(symptom in lesson.absent) for lesson in lessons])
    return acting.reshape(len(lessons), len(names)), present, absent


def _with_leak(link: float, leak: float) -> float:
    """How often the symptom shows where the cause acts, whatever else may make it."""
    return 1.0 - (1.0 - link) * (1.0 - leak)
