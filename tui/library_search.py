"""Finding entries of a library: plain words in title and text, and words with a field before them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

KINDS = ("drill", "check", "cause", "symptom", "club", "words")
HOW = "Words, or  kind:drill  cause:grip  club:driver  kit:rod  minutes:10 (at most)  safe:back-history"
"""What a search may say."""
FULL_SWING = ("driver", "fairway-wood", "hybrid", "long-iron", "mid-iron", "short-iron", "wedge")
NO_TEXT = ("schema", "kind", "id", "evidence", "sources", "author", "authors", "positions")


@dataclass(frozen=True)
class Found:
    """An entry that a search found: its kind, id and title."""

    kind: str
    id: str
    title: str


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


def title_of(entry: Mapping[str, Any]) -> str:
    """The title of an entry, or its id where it has none."""
    return str(entry.get("title") or entry.get("id") or "?")


def search(entries: Mapping[tuple[str, str], Mapping[str, Any]], query: str) -> list[Found]:
    """The entries that fit every word of the query; those with the words in their title first."""
    words = query.lower().split()
    plain = [word for word in words if not _field(word)]
    found = []
    for (kind, name), entry in entries.items():
        if kind not in KINDS or not all(_fits(kind, name, entry, word) for word in words):
            continue
        title = title_of(entry)
        in_title = all(word in title.lower() for word in plain)
        found.append((not in_title, KINDS.index(kind), title.lower(), Found(kind, name, title)))
    return [row for *_, row in sorted(found, key=lambda item: (*item[:3], item[3].id))]


def _field(word: str) -> str:
    """The field that a word asks about; "" where it is a plain word, or where nothing stands after the colon."""
    name, colon, value = word.partition(":")
    return name if colon and value and name in FIELDS else ""


def _fits(kind: str, name: str, entry: Mapping[str, Any], word: str) -> bool:
    field = _field(word)
    if field:
        value = word.partition(":")[2]
        return FIELDS[field](kind, entry, value)
    word = word.rstrip(":") if word.rstrip(":") in FIELDS else word
    body = (text for part, value in entry.items() if part not in NO_TEXT for text in texts(value))
    return word in FIELDS or word in name or any(word in text.lower() for text in body)


def _of_cause(kind: str, entry: Mapping[str, Any], value: str) -> bool:
    named = [*entry.get("for", {}).get("causes", ()), *entry.get("likelihood", {}).get("causes", ())]
    return any(value in cause for cause in named) or (kind == "cause" and value in str(entry.get("id", "")))


def _of_club(kind: str, entry: Mapping[str, Any], value: str) -> bool:
    clubs = entry.get("clubs", ())
    return any(value in club for club in clubs) or "all" in clubs or ("full-swing" in clubs and value in FULL_SWING)


def _in_minutes(kind: str, entry: Mapping[str, Any], value: str) -> bool:
    return value.isdecimal() and float(entry.get("minutes", 1e9)) <= float(value)


def _safe_for(kind: str, entry: Mapping[str, Any], value: str) -> bool:
    """Drills and checks that whoever has this to mind may do."""
    return "not_for" in entry and not any(value in flag for flag in entry["not_for"])


FIELDS: dict[str, Callable[[str, Mapping[str, Any], str], bool]] = {
    "kind": lambda kind, entry, value: kind.startswith(value),
    "cause": _of_cause,
    "club": _of_club,
    "kit": lambda kind, entry, value: any(value in thing.lower() for thing in entry.get("kit", ())),
    "minutes": _in_minutes,
    "safe": _safe_for,
}
