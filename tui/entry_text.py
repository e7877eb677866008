"""An entry of a library in words: its fields, where it came from, what it leans on and what it names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from arclore.engine.library.graph import source_names
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import Key, Library
from arclore.tui.hand import for_hand
from arclore.tui.library_search import title_of

if TYPE_CHECKING:
    import networkx as nx

HIDDEN = ("schema", "kind", "id", "title", "sources", "delivery", "head", "members", "set_up")
RELATIONS = {
    "leads_to": ("leads to", "comes from"),
    "exclusive_with": ("never together with", "never together with"),
    "upstream_of": ("comes before", "comes after"),
    "akin_to": ("says much the same as", "says much the same as"),
    "tests": ("tells about", "is told by"),
    "treats": ("works on", "is worked on by"),
    "harder": ("harder", "easier"),
    "means": ("means", "is meant by"),
    "means_absent": ("speaks against", "is denied by"),
    "replaced_by": ("is replaced by", "replaces"),
}
"""How a link reads along its arrow and against it; links from cases are left out."""
WRITER = "author"
BOTH_WAYS = ("exclusive_with", "akin_to")  # which read alike from either end: each is told once


@dataclass(frozen=True)
class Link:
    """A link of an entry: how it reads, and the entry at its other end."""

    words: str
    to: Key
    title: str


def links(graph: nx.MultiDiGraph, library: Library, key: Key) -> list[Link]:
    """All links of an entry, either way, in one order."""
    if key not in graph:
        return []
    ends = [(name, 0, other) for _, other, name in graph.out_edges(key, keys=True)]
    ends += [(name, 1, other) for other, _, name in graph.in_edges(key, keys=True) if name not in BOTH_WAYS]
    order = list(RELATIONS)
    shown = sorted((order.index(name), way, other) for name, way, other in ends if name in RELATIONS)
    return [
        Link(RELATIONS[order[place]][way], other, title_of(library.of_kind(other[0])[other[1]]))
        for place, way, other in shown
    ]


def fields(entry: Mapping[str, Any], handed: str) -> list[tuple[str, list[str]]]:
    """The fields of an entry: name, and the lines it holds."""
    return [
        (name, [for_hand(line, handed) for line in _field_lines(name, value)])
        for name, value in entry.items()
        if name not in HIDDEN and value not in ([], {}, "")
    ]


def label_of(kind: str, name: str) -> str:
    """The name of a field in plain words, as its schema gives it; who wrote it is asked there as "your name"."""
    if name == WRITER:
        return "Written by"
    known: Any = validator(kind).schema
    told = str(known["properties"].get(name, {}).get("title") or name.replace("_", " "))
    return told[:1].upper() + told[1:]


def _field_lines(name: str, value: Any) -> list[str]:
    if name != "evidence":
        return lines_of(value)
    rest = {part: item for part, item in value.items() if part != "claims"}
    return lines_of(rest) + lines_of(value.get("claims", []))


def lines_of(value: Any) -> list[str]:
    """A field's value as lines of plain words."""
    if value in ([], {}, ""):
        return ["none"]
    if isinstance(value, Mapping):
        return ["; ".join(f"{str(name).replace('_', ' ')}: {_flat(item)}" for name, item in value.items())]
    if isinstance(value, list):
        if all(isinstance(item, str) and len(item) < 30 for item in value):
            return [", ".join(value)]
        return [f"- {line}" for item in value for line in lines_of(item)]
    return [_flat(value)]


def _flat(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return "; ".join(f"{str(name).replace('_', ' ')} {_flat(item)}" for name, item in value.items())
    if isinstance(value, list):
        return ", ".join(map(_flat, value))
    return f"{value:g}" if isinstance(value, float) else _words(str(value))


def _words(text: str) -> str:
    """A text as it stands; the name of a quantity in words."""
    return text.replace("_", " ") if " " not in text else text


def sources(entry: Mapping[str, Any], library: Library) -> list[str]:
    """The sources of an entry as a reader looks them up; its own word for its evidence where it names none."""
    rows = [library.sources[name] for name in source_names(entry) if name in library.sources]
    return [
        f"{row.get('authors', '')} {row.get('year', '')}. {row.get('title', '')}. {row.get('where', '')}".strip()
        for row in rows
    ] or ["No published source is named."]
