"""Where each field of an entry came from: the layer and line that give its value, and what that lies over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from arclore.engine.library.read import Document, shown
from arclore.engine.library.stack import BUILT_IN, personal_folder
from arclore.engine.upkeep.layers import read_layers

BUILT_IN_NAME = "built-in"
PERSONAL_NAME = "personal"


@dataclass(frozen=True)
class Given:
    """A field's value as one layer gives it."""

    layer: str
    path: str
    line: int
    value: Any


@dataclass(frozen=True)
class Field:
    """A field of an entry: who gives it, and what layers below gave, the nearest first."""

    name: str
    given: Given
    over: tuple[Given, ...]


def layer_names() -> dict[Path, str]:
    """The name of each layer that is laid, by its folder."""
    named = {layer.folder: layer.name for layer in read_layers()[0]}
    return {BUILT_IN: BUILT_IN_NAME, BUILT_IN.resolve(): BUILT_IN_NAME, personal_folder(): PERSONAL_NAME, **named}


def layer_of(document: Document, names: Mapping[Path, str]) -> str:
    """The name of the layer in which a document stands; a folder that is not laid is called as it is."""
    folder = document.path.parent.parent
    return names.get(folder, folder.name)


def fields_of(document: Document, names: Mapping[Path, str]) -> list[Field]:
    """Each field of an entry as laid, in its order."""
    found = []
    for name in document.value:
        first, *rest = _written(document, name, names)
        found.append(Field(name, first, tuple(rest)))
    return found


def _written(document: Document | None, name: str, names: Mapping[Path, str]) -> list[Given]:
    """Every place in which a field is written, the highest layer first."""
    places = []
    while document is not None:
        if (name,) in document.positions or document.base is None:
            value = document.value.get(name)
            if name in document.value:
                line = document.at((name,))[0]
                places.append(Given(layer_of(document, names), shown(document.path), line, value))
        document = document.base
    return places
