"""A library as large as wanted: the built-in entries over and over, each time with other words and other sizes.

The text is random words of the built-in library, so that no two entries read alike; what an entry names is a copy of
its own round, so that the audit finds as little wrong with the copies as with what they were made from.
"""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml
from arclore.engine.library.folder import KIND_OF_FOLDER
from arclore.engine.library.stack import FOLDER_OF_KIND, Library, load_library
from arclore.engine.upkeep.audit_wording import AVOIDED

COPIED = ("check", "drill", "cause", "symptom", "words")  # in this order a round that is cut short is sound too
MOST_CAUSES = 1000  # with the built-in ones: as many as an answer is asked to weigh at once
Copy = tuple[str, str, int]  # kind and id of what is copied, and the round
_NAMES = {
    "causes": "cause",
    "exclusive_with": "cause",
    "upstream_of": "cause",
    "akin_to": "symptom",
    "findings": "symptom",
    "absent": "symptom",
    "symptom": "symptom",
    "easier_drill": "drill",
    "harder_drill": "drill",
}
"""Fields that name entries, and the kind of these."""
_FOR_ALL_ROUNDS = ("exclusive_with", "upstream_of", "causes")
"""Lists in which a copy names the originals and the copies of all rounds: one round's alone would tell too little."""
_TEXTS = frozenset(
    (
        *("title", "mechanism", "question", "confirm", "how", "asks", "when", "tell_student", "steps", "easier"),
        *("harder", "fade", "retest", "notes", "note", "counts", "position", "because", "phrases"),
    )
)
"""Fields whose text may be any words; what warns, and what a player is told to think of, stays as it is."""
MOST_NAMES = 60  # in one list
RARE = 1e-4  # how common a copied cause is: they take little from the originals, so that their checks still tell
_SHORTEST = 5  # words of a text: a shorter one might well stand in another entry too


def grow(root: Path, count: int, seed: int = 7) -> Path:
    """Write a library of that many entries into a new folder, to be laid over the built-in one; return the folder."""
    built_in = load_library()
    root.mkdir(parents=True)
    about = {"schema": 1, "kind": "library", "id": "grown", "title": "a grown library", "version": "1.0.0"}
    write(root / "library.yaml", {**about, "commonness": {**built_in.settings["commonness"], "rare": RARE}})
    for folder, kind in KIND_OF_FOLDER.items():
        if kind in COPIED:
            (root / folder).mkdir()
    apart = _apart(built_in)
    copies = _chosen(built_in, count, apart)
    copier = _Copier(_words(built_in), frozenset(copies), random.Random(seed))
    for kind, name, number in copies:
        entry = copier.copied({**built_in.of_kind(kind)[name], **apart.get(name, {})}, number)
        write(root / FOLDER_OF_KIND[kind] / f"{entry['id']}.yaml", entry)
    return root


def write(path: Path, value: Mapping[str, Any]) -> None:
    """Write an entry as YAML."""
    text = yaml.dump(value, Dumper=yaml.CSafeDumper, sort_keys=False, width=110, allow_unicode=True)
    path.write_text(text, encoding="utf-8")


def _words(library: Library) -> list[str]:
    """Words of three letters and more that may stand anywhere in a text."""
    texts = " ".join(entry["mechanism"] for entry in library.causes.values())
    avoided = {"left", "right", *(word for word, _, _ in AVOIDED)}
    return sorted({word for word in re.findall(r"[a-z]{3,}", texts) if word not in avoided})


def _chosen(library: Library, count: int, apart: Mapping[str, Mapping[str, list[str]]]) -> list[Copy]:
    """What to copy in each round: all there is, but no more causes, and findings of them, than an answer can weigh.

    What stops a lesson has no copies, and neither have findings that no copied cause leads to, nor causes that exclude
    so many that their copies, which exclude the copies of all rounds, could not list them.
    """
    rounds = MOST_CAUSES // len(library.causes) - 1
    excluded = {name: len(apart.get(name, entry).get("exclusive_with", ())) for name, entry in library.causes.items()}
    able = [name for name, count in excluded.items() if count * (rounds + 1) <= MOST_NAMES]
    causes = [name for name in able if not library.causes[name].get("refer")]
    led_to = {link["symptom"] for name in causes for link in library.causes[name].get("leads_to", ())}
    names: dict[str, list[str]] = {kind: list(library.of_kind(kind)) for kind in COPIED}
    names["cause"] = causes
    names["symptom"] = [name for name in names["symptom"] if name in led_to]
    copies = (
        (kind, name, number)
        for number in itertools.count(1)
        for kind in (COPIED if number <= rounds else ("check", "drill", "words"))
        for name in names[kind]
    )
    return list(itertools.islice(copies, count))


def _apart(library: Library) -> dict[str, dict[str, list[str]]]:
    """What each cause excludes, with what says of itself that it is upstream of it: the originals know no copies."""
    apart: dict[str, list[str]] = {}
    for name, cause in library.causes.items():
        for other in cause.get("upstream_of", ()):
            apart.setdefault(other, [*library.causes[other].get("exclusive_with", ())]).append(name)
    return {name: {"exclusive_with": list(dict.fromkeys(others))} for name, others in apart.items()}


class _Copier:
    """Copies entries, each in a round, with words and sizes of their own."""

    def __init__(self, words: list[str], copies: frozenset[Copy], chance: random.Random) -> None:
        self._words, self._copies, self._chance = words, copies, chance
        self._rounds = max((number for kind, _, number in copies if kind == "cause"), default=1)

    def copied(self, entry: Mapping[str, Any], number: int) -> dict[str, Any]:
        made = {name: self._field(name, value, number) for name, value in entry.items()}
        made["id"] = _id(entry["id"], number)
        if entry["kind"] == "cause":
            made["how_common"] = dict.fromkeys(entry["how_common"], "rare")
        for move in made.get("moves", ()):
            move["size"] = round(move["size"] * self._chance.uniform(0.6, 1.4), 2)
        return made

    def _field(self, name: str, value: Any, number: int) -> Any:
        if name in _FOR_ALL_ROUNDS:
            rounds = range(1, self._rounds + 1)
            named = ((old, *(self._name(name, old, each) for each in rounds)) for old in value)
            return list(dict.fromkeys(itertools.chain.from_iterable(named)))
        if isinstance(value, list):
            return [self._field(name, item, number) for item in value]
        if isinstance(value, Mapping):
            return {inner: self._field(inner, item, number) for inner, item in value.items()}
        if name in _NAMES:
            return self._name(name, value, (number - 1) % self._rounds + 1)
        return self._said(value) if name in _TEXTS and isinstance(value, str) else value

    def _name(self, field: str, name: str, number: int) -> str:
        """The copy of that name in a round, or the name itself where there is none."""
        return _id(name, number) if (_NAMES[field], name, number) in self._copies else name

    def _said(self, text: str) -> str:
        """Words about as long as the text, with commas between them: no two make a phrase that means something."""
        words = self._chance.choices(self._words, k=max(_SHORTEST, len(text) // 8))
        return ", ".join(words)[: max(len(text), 40)].rstrip(", ") + ("." if text.endswith(".") else "")


def _id(name: str, number: int) -> str:
    return f"grown-{number}-{name}"[:80].rstrip("-")
