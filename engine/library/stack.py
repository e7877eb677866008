"""Libraries laid over each other: built-in, then shared ones, then the coach's own.

A later layer adds entries, or amends whole fields of one below it with ``amends: id``. What breaks its schema
is left out and reported; the rest of the library still works.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import platformdirs
from arclore.engine.library.folder import KIND_OF_FILE, KIND_OF_FOLDER, Place, Tree, read_folder
from arclore.engine.library.once import Once
from arclore.engine.library.problems import Problem, nearest
from arclore.engine.library.read import Document, shown
from arclore.engine.library.schema import check, text_rows

BUILT_IN = Path(__file__).parents[2] / "kb"
Key = tuple[str, str]  # kind, id
FOLDER_OF_KIND = {kind: folder for folder, kind in KIND_OF_FOLDER.items()}


@dataclass(frozen=True)
class Library:
    """All layers as one: entries by kind and id, in order of id, with where each came from.

    ``documents`` and ``origin`` are keyed by (kind, id); a document knows the place of every field, also of
    the fields it leaves to the entry it amends. ``sources`` are keyed by their id.
    ``waivers``: each layer that has a file of them, with that file. ``spoiled``: entries left out for their problems.
    """

    clubs: dict[str, dict[str, Any]] = field(default_factory=dict)
    symptoms: dict[str, dict[str, Any]] = field(default_factory=dict)
    causes: dict[str, dict[str, Any]] = field(default_factory=dict)
    checks: dict[str, dict[str, Any]] = field(default_factory=dict)
    drills: dict[str, dict[str, Any]] = field(default_factory=dict)
    words: dict[str, dict[str, Any]] = field(default_factory=dict)
    cases: dict[str, dict[str, Any]] = field(default_factory=dict)
    settings: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, dict[str, Any]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    origin: dict[Key, Path] = field(default_factory=dict)
    documents: dict[Key, Document] = field(default_factory=dict)
    waivers: list[tuple[Path, Document]] = field(default_factory=list)
    spoiled: list[Document] = field(default_factory=list)

    def of_kind(self, kind: str) -> dict[str, dict[str, Any]]:
        """The entries of a kind, by id."""
        entries: dict[str, dict[str, Any]] = getattr(self, FOLDER_OF_KIND[kind])
        return entries


def personal_folder() -> Path:
    """The folder of the coach's own library; it need not exist."""
    return Path(platformdirs.user_data_dir("arclore", appauthor=False)) / "library"


def load_library(*layers: Path) -> Library:
    """The built-in library with the given folders laid over it, in order; never raises for bad content."""
    return load_layers([BUILT_IN, *layers])


def load_layers(layers: Sequence[Place], once: Once | None = None) -> Library:
    """The given folders as one library, the first lowest. once: what reads them, given to several libraries in turn."""
    with _nothing_collected():
        stack = _Stack(once or Once())
        for layer in layers:
            stack.lay(layer)
        return stack.library()


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Nothing that is read is garbage: to look for some among ever more of it takes a third of the time."""
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()


def with_entry(library: Library, document: Document) -> Library:
    """The library with one sound entry added, or put in place of the one of its kind and id."""
    kind, name = document.value["kind"], document.value["id"]
    entries = {**library.of_kind(kind), name: document.value}
    changed: dict[str, Any] = {FOLDER_OF_KIND[kind]: dict(sorted(entries.items()))}
    return replace(library, documents={**library.documents, (kind, name): document}, **changed)


class _Stack:
    """Layers being laid: the documents that stand so far, and the rows."""

    def __init__(self, once: Once) -> None:
        self.once = once
        self.documents: dict[Key, Document] = {}
        self.origin: dict[Key, Path] = {}
        self.settings: dict[str, Any] = {}
        self.sources: dict[str, dict[str, Any]] = {}
        self.problems: list[Problem] = []
        self.waivers: list[tuple[Path, Document]] = []
        self.spoiled: list[Document] = []

    def lay(self, place: Place) -> None:
        layer = place.root if isinstance(place, Tree) else place
        if isinstance(place, Path) and not place.is_dir():
            row = Problem(
                shown(layer), 1, 1, "no-folder", "there is no such library folder", "check the name"
            )
            self.problems.append(row)
            return
        root = layer if isinstance(place, Tree) else Path(os.path.realpath(layer))  # as paths of documents begin
        documents, rows = read_folder(place, self.once)
        self.problems += rows
        for document in documents:
            if document.path.name in KIND_OF_FILE and document.path.parent == root:
                self._whole_file(document, KIND_OF_FILE[document.path.name], layer)
            else:
                self._entry(document, KIND_OF_FOLDER[document.path.parent.name], layer)

    def _whole_file(self, document: Document, kind: str, layer: Path) -> None:
        if not self._sound(document, kind):
            return
        if kind == "waivers":
            self.waivers.append((layer, document))
            return
        if kind == "library":
            value = dict(document.value)
            if "safety" in self.settings and value.pop("safety", self.settings["safety"]) != self.settings["safety"]:
                message = "a layer cannot change the safety questions and the stop of the one below"
                hint = "leave safety out; ask for more in the lesson, never for less"
                self.problems.append(document.problem(("safety",), "safety", message, hint))
            self.settings = {**self.settings, **value}
            return
        for index, source in enumerate(document.value["sources"]):
            if source["id"] in self.sources:
                message = f"the source {source['id']!r} is listed already"
                self.problems.append(
                    document.problem(("sources", index), "duplicate-id", message, "remove it")
                )
                continue
            self.sources[source["id"]] = source

    def _entry(self, document: Document, kind: str, layer: Path) -> None:
        name = document.path.stem
        below = self.documents.get((kind, name))
        amends = "amends" in document.value
        if amends:
            amended = self._amended(document, kind)
            if amended is None:
                return
            document = amended
        elif below is not None:
            message = f"{kind} {name!r} stands already in {shown(below.path)}"
            self.problems.append(
                document.problem(("id",), "duplicate-id", message, f"to change it: amends: {name}")
            )
            return
        if self._sound(document, kind) and self._named(document, name):
            self.documents[kind, name] = document
            self.origin[kind, name] = layer
        elif document.value.get("kind") == kind:
            self.spoiled.append(document)

    def _amended(self, document: Document, kind: str) -> Document | None:
        """The entry below with the fields of this document in place of its own."""
        target = document.value["amends"]
        below = self.documents.get((kind, target)) if isinstance(target, str) else None
        if below is None:
            near = nearest(target, (name for of_kind, name in self.documents if of_kind == kind))
            hint = f"nearest: {near}" if near else "it must stand in a layer below"
            self.problems.append(
                document.problem(("amends",), "unknown-id", f"no {kind} {target!r} to amend", hint)
            )
            return None
        fields = {name: value for name, value in document.value.items() if name != "amends"}
        return Document(document.path, {**below.value, **fields}, document.positions, below)

    def _named(self, document: Document, name: str) -> bool:
        if document.value["id"] == name:
            return True
        message = f"the id is {document.value['id']!r}, the file's name {name!r}"
        self.problems.append(document.problem(("id",), "id", message, "make them the same"))
        return False

    def _sound(self, document: Document, kind: str) -> bool:
        rows = self.once.checked(document, kind, check)
        self.problems += rows
        self.problems += self.once.checked(document, "text", lambda document, _: text_rows(document))
        return not rows

    def library(self) -> Library:
        keys = sorted(self.documents)
        entries = {
            folder: {name: self.documents[of_kind, name].value for of_kind, name in keys if of_kind == kind}
            for folder, kind in KIND_OF_FOLDER.items()
        }
        return Library(
            **entries,
            settings=self.settings,
            sources=dict(sorted(self.sources.items())),
            problems=sorted(set(self.problems)),
            origin={key: self.origin[key] for key in keys},
            documents={key: self.documents[key] for key in keys},
            waivers=self.waivers,
            spoiled=self.spoiled,
        )
