"""The graph of a library: which entry names which, and how.

Nodes are (kind, id), one for each entry; edges carry the relation as their key. What an entry names must
exist, and what comes before something must not come after it too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from arclore.engine.library.problems import Problem, nearest
from arclore.engine.library.read import Document, FieldPath
from arclore.engine.library.stack import FOLDER_OF_KIND, Key, Library

if TYPE_CHECKING:
    import networkx as nx


@dataclass(frozen=True)
class _Relation:
    """A field that names other entries: ``path`` to it, ``*`` standing for each item or each key."""

    kind: str
    path: tuple[str, ...]
    target: str
    name: str
    backward: bool = False  # the edge runs from the named entry to the naming one
    both_ways: bool = False


_RELATIONS = (
    _Relation("cause", ("leads_to", "*", "symptom"), "symptom", "leads_to"),
    _Relation("symptom", ("akin_to", "*"), "symptom", "akin_to", both_ways=True),
    _Relation("cause", ("exclusive_with", "*"), "cause", "exclusive_with", both_ways=True),
    _Relation("cause", ("upstream_of", "*"), "cause", "upstream_of"),
    _Relation("check", ("likelihood", "causes", "*"), "cause", "tests"),
    _Relation("drill", ("for", "causes", "*"), "cause", "treats"),
    _Relation("drill", ("easier_drill",), "drill", "harder", backward=True),
    _Relation("drill", ("harder_drill",), "drill", "harder"),
    _Relation("words", ("means", "findings", "*"), "symptom", "means"),
    _Relation("words", ("means", "absent", "*"), "symptom", "means_absent"),
    _Relation("case", ("case", "present", "*"), "symptom", "present"),
    _Relation("case", ("case", "absent", "*"), "symptom", "absent"),
    _Relation("case", ("case", "unsure", "*"), "symptom", "unsure"),
    _Relation("case", ("case", "checks", "*"), "check", "checked"),
)
_ACYCLIC: dict[str, tuple[tuple[str, ...], str]] = {
    "harder": (("harder_drill", "easier_drill"), "a progression of drills comes back to itself"),
    "upstream_of": (("upstream_of",), "causes are upstream of themselves"),
}
MAX_HINTS = 100
_SOURCES = (("sources", "*"), ("likelihood", "source"), ("evidence", "claims", "*", "source"))
_RESULTS = tuple((part, side) for part in ("likelihood", "changed_set_up") for side in ("positive", "negative"))
SOURCE, RESULT = "source", "result"  # what a field may name besides entries


def build_graph(library: Library) -> tuple[nx.MultiDiGraph, list[Problem]]:
    """The graph of the library's entries and the sorted rows of what they, and those left out, name wrongly.

    Nodes and edges come in one order whatever the hash seed. An edge holds what stands beside the name in the
    entry (``how_often`` of a ``leads_to``). A name of an entry that doesn't exist makes a row and no edge.
    """
    import networkx as nx  # takes longer to import than a library to load

    graph = nx.MultiDiGraph()
    graph.add_nodes_from(library.documents)
    names = _Names(library)
    problems: list[Problem] = []
    for key, document in library.documents.items():
        for relation in _relations(key[0]):
            for path, name, beside in _named(document.value, relation.path):
                target = relation.target, name
                row = names.wrong(document, path, target)
                if row:
                    problems.append(row)
                    continue
                ends = (target, key) if relation.backward else (key, target)
                graph.add_edge(*ends, key=relation.name, **beside)
                if relation.both_ways:
                    graph.add_edge(*reversed(ends), key=relation.name, **beside)
        problems += names.wrong_sources(document)
        problems += _wrong_results(library, document)
    for document in library.spoiled:
        problems += names.of(document)
    for name, (fields, message) in _ACYCLIC.items():
        problems += _cycles(library, graph, name, fields, message)
    return graph, sorted(problems)


def source_names(entry: Mapping[str, Any]) -> list[str]:
    """The ids of all sources that an entry names, in order, each once."""
    return list(dict.fromkeys(name for where in _SOURCES for _, name, _ in _named(entry, where)))


def wrong_names(library: Library, document: Document) -> list[Problem]:
    """The sorted rows of what one document names wrongly; it need not stand in the library, nor be whole."""
    return sorted([*_Names(library).of(document), *_wrong_results(library, document)])


def names_what(kind: str, path: tuple[str, ...]) -> str:
    """What a field of an entry names: a kind of entry, ``source``, ``result`` of the check itself, or nothing ("")."""
    if path in _SOURCES:
        return SOURCE
    if kind == "check" and path in _RESULTS:
        return RESULT
    return next((relation.target for relation in _relations(kind) if relation.path == path), "")


def _relations(kind: str) -> Iterator[_Relation]:
    for relation in _RELATIONS:
        if relation.kind == kind:
            yield relation
    yield _Relation(kind, ("retired", "replaced_by", "*"), kind, "replaced_by")


def _named(value: Any, path: tuple[str, ...]) -> Iterator[tuple[FieldPath, str, dict[str, Any]]]:
    """Each name at the path: where it stands, the name, and the plain fields that stand beside it."""
    yield from _walk(value, path, (), {})


def _walk(
    value: Any, path: tuple[str, ...], done: FieldPath, beside: dict[str, Any]
) -> Iterator[tuple[FieldPath, str, dict[str, Any]]]:
    if not path:
        if isinstance(value, str):
            yield done, value, beside
    elif path[0] == "*" and isinstance(value, list):
        for index, item in enumerate(value):
            yield from _walk(item, path[1:], (*done, index), beside)
    elif path[0] == "*" and isinstance(value, Mapping):
        for name in value:
            yield (*done, name), name, {}
    elif isinstance(value, Mapping) and path[0] in value:
        inside_list = bool(done) and isinstance(done[-1], int)
        rest = {name: item for name, item in value.items() if name != path[0]} if inside_list else {}
        yield from _walk(value[path[0]], path[1:], (*done, path[0]), rest)


class _Names:
    """Judges names by the library, with hints for the first ones: finding the nearest spelling is slow."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.hints: dict[Key, str] = {}
        self.troubled = {tuple(row.path.rsplit("/", 2)[-2:]) for row in library.problems}

    def of(self, document: Document) -> Iterator[Problem]:
        """What a document names wrongly; it need not be whole."""
        for relation in _relations(document.value["kind"]):
            for path, name, _ in _named(document.value, relation.path):
                row = self.wrong(document, path, (relation.target, name))
                if row:
                    yield row
        yield from self.wrong_sources(document)

    def wrong(self, document: Document, path: FieldPath, target: Key) -> Problem | None:
        kind, name = target
        if target == (document.value["kind"], document.value.get("id")):
            return document.problem(path, "names-itself", f"{kind} {name!r} names itself", "name another")
        if target in self.library.documents:
            return None
        if (FOLDER_OF_KIND[kind], f"{name}.yaml") in self.troubled:
            hint = "it is left out until its own problems are mended"
        else:
            hint = self._nearest(target, self.library.of_kind(kind))
        return document.problem(path, "unknown-id", f"no {kind} {name!r}", hint)

    def wrong_sources(self, document: Document) -> Iterator[Problem]:
        for where in _SOURCES:
            for path, name, _ in _named(document.value, where):
                if name not in self.library.sources:
                    hint = self._nearest(("source", name), self.library.sources)
                    yield document.problem(path, "unknown-source", f"no source {name!r}", hint)

    def _nearest(self, target: Key, known: Mapping[str, Any]) -> str:
        if target not in self.hints and len(self.hints) < MAX_HINTS:
            near = nearest(target[1], known)
            self.hints[target] = f"nearest: {near}" if near else ""
        return self.hints.get(target) or "add it, or remove the name"


def _wrong_results(library: Library, document: Document) -> Iterator[Problem]:
    """Results of checks that no check has: in the check itself, and in the cases that report them."""
    entry = document.value
    if entry["kind"] == "check":
        for where in _RESULTS:
            for path, name, _ in _named(entry, where):
                yield from _wrong_result(document, path, name, entry)
    elif entry["kind"] == "case":
        for check, result in entry["case"].get("checks", {}).items():
            if check in library.checks and isinstance(result, str):
                yield from _wrong_result(document, ("case", "checks", check), result, library.checks[check])


def _wrong_result(
    document: Document, path: FieldPath, name: str, check: Mapping[str, Any]
) -> Iterator[Problem]:
    stated = check.get("results")
    results = stated if isinstance(stated, list) else []
    known = [str(result["id"]) for result in results if isinstance(result, Mapping) and "id" in result]
    if name not in known:
        message = f"check {check.get('id')!r} has no result {name!r}"
        yield document.problem(path, "unknown-result", message, "known: " + ", ".join(known))


def _cycles(
    library: Library, graph: nx.MultiDiGraph, relation: str, fields: tuple[str, ...], message: str
) -> Iterator[Problem]:
    """One row for each knot of entries that lead back to themselves, with one round of its members."""
    import networkx as nx

    edges = sorted((a, b) for a, b, name in graph.edges(keys=True) if name == relation)
    for knot in nx.strongly_connected_components(nx.DiGraph(edges)):
        if len(knot) < 2:
            continue
        inside = nx.DiGraph([(a, b) for a, b in edges if a in knot and b in knot])
        around = [node for node, _ in nx.find_cycle(inside, min(knot))]
        first = around.index(min(around))
        around = [*around[first:], *around[: first + 1]]
        document = library.documents[around[0]]
        field = next((name for name in fields if name in document.value), "id")
        members = " > ".join(name for _, name in around)
        yield document.problem((field,), "cycle", f"{message}: {members}", "remove one of the steps")
