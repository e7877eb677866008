"""``arclore library check``: every problem of a library, and what the library holds."""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import asdict
from pathlib import Path

from arclore.engine.library.graph import build_graph
from arclore.engine.library.stack import BUILT_IN, Library, load_layers
from arclore.engine.upkeep.audit import audit
from arclore.engine.upkeep.layers import read_layers, strangers
from arclore.engine.upkeep.review import read_reviews
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import layers_of
from arclore.tui.command.page import counted, print_json


def run(given: argparse.Namespace) -> Exit:
    """Print all rows, sorted, and the counts; problems make exit code 1, hints alone don't."""
    layers = layers_to_check("check", given.folder, given.alone)
    library = load_layers(layers)
    audited = audit(library)
    reviews = [row for layer in layers for row in read_reviews(layer)[2]]
    named = strangers(read_layers()[0], library)
    problems = sorted({*library.problems, *build_graph(library)[1], *audited.errors, *reviews, *named})
    entries, codes = _entries(library), dict(sorted(Counter(problem.code for problem in problems).items()))
    if given.json:
        rows, hints = ([asdict(row) for row in found] for found in (problems, audited.hints))
        paths = [str(layer) for layer in layers]
        print_json({"layers": paths, "entries": entries, "counts": codes, "problems": rows, "hints": hints})
    else:
        for problem in problems:
            print(problem.row())
        for hint in audited.hints if given.hints else ():
            print(f"hint: {hint.row()}")
        print(", ".join(f"{count} {kind}" for kind, count in entries.items()))
        told = ", ".join(f"{count} {code}" for code, count in codes.items())
        print(counted(len(problems), "problem") + (f": {told}" if told else ""))
        if audited.hints and not given.hints:
            print(f"{counted(len(audited.hints), 'hint')}; see: arclore library check --hints")
    return Exit.PROBLEMS if problems else Exit.DONE


def layers_to_check(action: str, folder: str | None, alone: bool = False) -> list[Path]:
    """The layers of an action on a library; the built-in folder itself is not laid over itself."""
    if folder is None:
        if alone:
            raise WrongUseError(f"arclore library {action}: --alone needs a FOLDER")
        return [BUILT_IN, *layers_of(None)]
    path = Path(folder)
    if not path.is_dir():
        raise WrongUseError(f"arclore library {action}: there is no folder {folder!r}")
    return [path] if alone or path.resolve() == BUILT_IN.resolve() else [BUILT_IN, path]


def _entries(library: Library) -> dict[str, int]:
    kinds = ("clubs", "symptoms", "causes", "checks", "drills", "words", "cases", "sources")
    return {kind: len(getattr(library, kind)) for kind in kinds}
