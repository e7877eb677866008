"""``arclore library show``: an entry as all layers make it, each field with where it came from."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from arclore.engine.library.problems import nearest, shortened
from arclore.engine.library.read import Document
from arclore.engine.library.stack import Key
from arclore.engine.upkeep.provenance import Field, Given, fields_of, layer_names
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import library_of
from arclore.tui.command.page import Page, print_json
from arclore.tui.entry_text import lines_of

NAME = "arclore library show"


def run(given: argparse.Namespace) -> Exit:
    """Print the entry."""
    documents = library_of(given.library).documents
    key = _key(given, documents)
    fields = fields_of(documents[key], layer_names())
    if given.json:
        rows = [asdict(field) for field in fields]
        print_json({"kind": key[0], "id": key[1], "fields": rows})
        return Exit.DONE
    page = Page()
    page.heading(f"{key[0]} {key[1]}")
    places = {given.layer: given.path for field in fields for given in (field.given, *field.over)}
    for layer, path in places.items():
        page.literal(f"{layer}: {path}")
    for field in fields:
        _tell(page, field)
    page.show()
    return Exit.DONE


def _key(given: argparse.Namespace, documents: dict[Key, Document]) -> Key:
    found = [key for key in documents if key[1] == given.id and given.kind in (None, key[0])]
    if not found:
        near = nearest(given.id, (name for kind, name in documents if given.kind in (None, kind)))
        hint = f"nearest: {near}" if near else "see: arclore library check"
        raise WrongUseError(f"{NAME}: there is no sound {given.kind or 'entry'} {shortened(given.id, 60)!r} ({hint})")
    if len(found) > 1:
        kinds = ", ".join(kind for kind, _ in found)
        raise WrongUseError(f"{NAME}: {given.id!r} is the id of several ({kinds}): say which with --kind")
    return found[0]


def _tell(page: Page, field: Field) -> None:
    page.heading(f"{field.name}   [{_place(field.given)}]")
    for line in lines_of(field.given.value):
        page.paragraph(line, 2)
    for under in field.over:
        for line in lines_of(under.value):
            page.paragraph(line, 2, f"over [{_place(under)}]: ")


def _place(given: Given) -> str:
    return f"{given.layer}, line {given.line}"
