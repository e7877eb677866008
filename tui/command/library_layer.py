"""``arclore library add``, ``list``, ``remove``: the shared libraries and their order."""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

from arclore.engine.library.problems import printable
from arclore.engine.library.read import Document, shown
from arclore.engine.library.stack import BUILT_IN, Library, personal_folder
from arclore.engine.upkeep import layers as upkeep
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.page import counted, print_json, say


def run_add(given: argparse.Namespace) -> Exit:
    """Add a shared library and say what it brings and what is wrong with it."""
    try:
        layer = upkeep.add(given.source, given.name or "", given.namespace or "")
    except upkeep.LayerError as error:
        raise WrongUseError(f"arclore library add: {error}") from None
    row = next(row for row in _rows() if row["name"] == layer.name)
    if given.json:
        print_json(row)
    else:
        print(f"{layer.name} is laid over the built-in library: {_told(row)}")
    warn_of_settings(layer)
    if row["problems"]:
        say(f"{counted(row['problems'], 'problem')} in {layer.name}; see: arclore library check")
    return Exit.DONE


def warn_of_settings(layer: upkeep.Layer) -> None:
    """Say which settings of the inference a library puts in place of the built-in ones."""
    if replaced := upkeep.replaced_settings(layer.folder):
        say(f"{layer.name} replaces settings of the built-in library for every lesson: {', '.join(replaced)}")


def run_list(given: argparse.Namespace) -> Exit:
    """Print the layers, lowest first; a list that can't be read is a problem."""
    problems = upkeep.read_layers()[1]
    for problem in problems:
        print(problem.row(), file=sys.stderr)
    rows = _rows()
    if given.json:
        print_json({"layers": rows})
    else:
        for number, row in enumerate(rows, 1):
            print(printable(f"{number} {row['name']}: {_told(row)}"))
            print(printable(f"  {row['folder']}"))
        print("Each is laid over those before it.")
    return Exit.PROBLEMS if problems else Exit.DONE


def run_remove(given: argparse.Namespace) -> Exit:
    """Take a shared library off the list."""
    try:
        layer = upkeep.remove(given.name)
    except upkeep.LayerError as error:
        raise WrongUseError(f"arclore library remove: {error}") from None
    if given.json:
        print_json({"name": layer.name, "folder": str(layer.folder)})
    else:
        print(f"{layer.name} is laid no longer; its files stay in {layer.folder}")
    return Exit.DONE


def _rows() -> list[dict[str, Any]]:
    """Each layer with what it adds, amends and retires, and how many of the problems are its own.

    The coach's own is among them before it is begun: its folder is where entries will go.
    """
    layers = upkeep.read_layers()[0]
    library = upkeep.load(layers)
    strangers = upkeep.strangers(layers, library)
    problems = [*library.problems, *strangers]
    named = [("built-in", "", BUILT_IN), *((x.name, x.namespace, x.folder) for x in layers)]
    named.append(("personal", "", personal_folder()))
    rows, changes = [], _changes(library)
    for name, namespace, folder in named:
        done = changes[folder.resolve()]
        place = shown(folder)
        rows.append(
            {
                "name": name,
                "namespace": namespace,
                "folder": str(folder),
                "there": folder.is_dir(),
                **{word: done[word] for word in ("adds", "amends", "retires")},
                "problems": sum(row.path == place or row.path.startswith(f"{place}/") for row in problems),
            }
        )
    return rows


def _changes(library: Library) -> dict[Path, Counter[str]]:
    """How often each layer's folder adds, amends and retires an entry, layers over it aside."""
    done: dict[Path, Counter[str]] = defaultdict(Counter)
    for document in library.documents.values():
        at: Document | None = document
        while at is not None:
            done[at.path.parent.parent][_change(at)] += 1
            at = at.base
    return done


def _change(document: Document) -> str:
    if document.base is None:
        return "adds"
    return "retires" if "retired" in document.value and "retired" not in document.base.value else "amends"


def _told(row: dict[str, Any]) -> str:
    if not row["there"]:
        return "not begun" if row["folder"] == str(personal_folder()) else "the folder is gone"
    told = ", ".join(f"{word} {row[word]}" for word in ("adds", "amends", "retires") if row[word]) or "no entries"
    return told + (f", {counted(row['problems'], 'problem')}" if row["problems"] else "")
