"""Finding entries of a library: plain words in title and text, and words with a field before them.

What a search looks at is gathered once, when the library is read, so that each letter typed is answered at once also
in a library of ten thousand entries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

KINDS = ("drill", "check", "cause", "symptom", "club", "words")
HOW = "Words, or  kind:drill  title:tee  cause:grip  club:driver  kit:rod  minutes:10  space:3  safe:back  not:back"
"""What a search may say."""
FULL_SWING = ("driver", "fairway-wood", "hybrid", "long-iron", "mid-iron", "short-iron", "wedge")
NO_TEXT = ("schema", "kind", "id", "evidence", "sources", "author", "authors")


@dataclass(frozen=True)
class Found:
    """An entry that a search found: its kind, id and title."""

    kind: str
    id: str
    title: str


@dataclass(frozen=True)
class _Row:
    """What a search looks at of one entry, in lower case: ``body`` is its id and all its text, a part a line."""

    found: Found
    entry: Mapping[str, Any]
    title: str
    body: str
    causes: str


@dataclass(frozen=True)
class Catalogue:
    """The entries of a library, ready to be searched."""

    rows: tuple[_Row, ...] = field(default=(), repr=False)

    def search(self, query: str) -> list[Found]:
        """The entries that fit every word of the query; those with the words in their title first."""
        tests, plain = _asked(query)
        rows = [row for row in self.rows if all(test(row) for test in tests)]
        first = [row.found for row in rows if all(word in row.title for word in plain)]
        if len(first) == len(rows):
            return first
        return first + [row.found for row in rows if not all(word in row.title for word in plain)]


def catalogue(entries: Mapping[tuple[str, str], Mapping[str, Any]]) -> Catalogue:
    """Gather what a search looks at, in the order in which entries are listed."""
    titles = {name: title_of(entry).lower() for (kind, name), entry in entries.items() if kind == "cause"}
    rows = [_row(Found(*key, title_of(entry)), entry, titles) for key, entry in entries.items() if key[0] in KINDS]
    order = {kind: place for place, kind in enumerate(KINDS)}
    return Catalogue(tuple(sorted(rows, key=lambda row: (order[row.found.kind], row.title, row.found.id))))


def title_of(entry: Mapping[str, Any]) -> str:
    """The title of an entry, or its id where it has none."""
    return str(entry.get("title") or entry.get("id") or "?")


def texts(value: Any) -> Iterator[str]:
    """Every text inside a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for name, item in value.items():
            yield str(name)
            yield from texts(item)
    elif isinstance(value, (list, tuple)):
        for item in value:
            yield from texts(item)


def _row(found: Found, entry: Mapping[str, Any], titles: Mapping[str, str]) -> _Row:
    body = [found.id, *(text for part, value in entry.items() if part not in NO_TEXT for text in texts(value))]
    return _Row(found, entry, found.title.lower(), "\n".join(body).lower(), "\n".join(_causes(found, entry, titles)))


def _causes(found: Found, entry: Mapping[str, Any], titles: Mapping[str, str]) -> Iterator[str]:
    """The ids and titles of the causes that an entry works on or tells of, and the groups of causes it tells of."""
    if found.kind == "cause":
        yield from (found.id, found.title.lower(), entry.get("family", ""))
    told = entry.get("likelihood", {})
    for name in (*entry.get("for", {}).get("causes", ()), *told.get("causes", ())):
        yield from (name, titles.get(name, ""))
    yield from (*told.get("families", ()), *told.get("stages", ()))


def _asked(query: str) -> tuple[list[Callable[[_Row], bool]], list[str]]:
    """A test for each word of the query, and the plain words among them."""
    tests, plain = [], []
    for word in dict.fromkeys(query.lower().split()):
        name, colon, value = word.partition(":")
        if name in FIELDS and colon and value:
            tests.append(_of_field(FIELDS[name], value))
        elif not (name in FIELDS and colon):  # a field that is still being typed narrows nothing
            plain.append(word)
            tests.append(_in_body(word))
    return tests, plain


def _of_field(fits: Callable[[_Row, str], bool], value: str) -> Callable[[_Row], bool]:
    return lambda row: fits(row, value)


def _in_body(word: str) -> Callable[[_Row], bool]:
    return lambda row: word in row.body


def _of_club(row: _Row, value: str) -> bool:
    clubs = row.entry.get("clubs", ())
    return any(value in club for club in clubs) or "all" in clubs or ("full-swing" in clubs and value in FULL_SWING)


def _at_most(row: _Row, name: str, value: str) -> bool:
    known = row.entry.get(name)
    return known is not None and value.isdecimal() and float(known) <= float(value)


def _kept_from(row: _Row, value: str) -> bool:
    """Whether whoever has this to mind must not do it."""
    return any(value in flag for flag in row.entry.get("not_for", ()))


FIELDS: dict[str, Callable[[_Row, str], bool]] = {
    "kind": lambda row, value: row.found.kind.startswith(value),
    "title": lambda row, value: value in row.title,
    "cause": lambda row, value: value in row.causes,
    "club": _of_club,
    "kit": lambda row, value: any(value in thing.lower() for thing in row.entry.get("kit", ())),
    "minutes": lambda row, value: _at_most(row, "minutes", value),
    "space": lambda row, value: _at_most(row, "space_m", value),
    "safe": lambda row, value: "not_for" in row.entry and not _kept_from(row, value),
    "not": _kept_from,
}
"""``minutes`` and ``space`` (metres): what needs no more. ``safe`` and ``not``: what someone with this to mind may do
and must not do."""
