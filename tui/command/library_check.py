"""``arclore library check``: every problem of a library, and what the library holds."""

from __future__ import annotations

import argparse
import shlex
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

from arclore.engine.library.problems import Problem, printable
from arclore.engine.library.stack import BUILT_IN
from arclore.engine.upkeep import git
from arclore.engine.upkeep.cache import NO_CACHE, user_cache
from arclore.engine.upkeep.changes import changes_of, last_commit
from arclore.engine.upkeep.checked import Asked, checked
from arclore.engine.upkeep.ids import id_rows
from arclore.engine.upkeep.kept_reviews import kept_reviews, review_rows, spoiled_reviews
from arclore.engine.upkeep.layers import BUILT_IN_ID, Layer, LayerError, library_id, read_layers
from arclore.engine.upkeep.sharing import processors
from arclore.engine.upkeep.signatures import signer_rows
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import layers_of
from arclore.tui.command.library_folder import meant
from arclore.tui.command.page import counted, print_json, say


def run(given: argparse.Namespace) -> Exit:
    """Print all rows, sorted, and the counts; problems make exit code 1, hints alone don't."""
    given.folder = meant(given.folder)
    layers = layers_to_check("check", given.folder, given.alone)
    if given.cases and given.alone:
        raise WrongUseError("arclore library check: --cases needs what the folder is laid over, so not --alone")
    laid = read_layers()[0]
    named = [*laid, *_own_layer(given.folder, laid)]
    cases_of = (Path(given.folder) if given.folder else BUILT_IN) if given.cases else None
    asked = Asked(layers, named, date.today().isoformat(), cases_of, processors())
    found = checked(asked, NO_CACHE if given.no_cache else user_cache())
    before, gone = _of_history(given.folder)
    hints, problems = sorted([*found.hints, *gone]), sorted([*found.problems, *before])
    codes = dict(sorted(Counter(problem.code for problem in problems).items()))
    cases = {"asked": found.asked, "missed": found.missed} if given.cases else None
    if given.json:
        rows, more = ([asdict(row) for row in listed] for listed in (problems, hints))
        told = {"counts": codes, "problems": rows, "hints": more, "waived": [asdict(row) for row in found.waived]}
        paths = [str(layer) for layer in layers]
        print_json({"layers": paths, "entries": found.entries, **told, **({"cases": cases} if cases else {})})
    else:
        for problem in problems:
            print(problem.row())
        for hint in hints if given.hints else ():
            print(f"hint: {hint.row()}")
        for row in found.waived:
            because = printable(f"waived until {row.until} by {row.author}: {row.reason}")
            print(f"waived: {row.finding.row()}\n  {because}")
        print(", ".join(f"{count} {kind}" for kind, count in found.entries.items()))
        if cases:
            print(f"{counted(found.asked, 'case')} answered, {found.missed} missed")
        codes_told = ", ".join(f"{count} {code}" for code, count in codes.items())
        print(counted(len(problems), "problem") + (f": {codes_told}" if codes_told else ""))
        if hints and not given.hints:
            folder = f" {shlex.quote(given.folder)}" if given.folder else ""
            print(f"{counted(len(hints), 'hint')}; see: arclore library check --hints{folder}")
    return Exit.PROBLEMS if problems else Exit.DONE


def _own_layer(folder: str | None, laid: Sequence[Layer]) -> list[Layer]:
    """The folder that is checked as a layer: under its own id, or as it is laid."""
    if folder is None or not (Path(folder) / "library.yaml").is_file():
        return []
    try:
        own_id = library_id(Path(folder))
    except LayerError:  # its library.yaml has rows of its own
        return []
    space = next((layer.namespace for layer in laid if layer.folder == Path(folder).resolve()), own_id)
    return [] if own_id == BUILT_IN_ID else [Layer(own_id, space, Path(folder))]


def _of_history(folder: str | None) -> tuple[list[Problem], list[Problem]]:
    """What the git history of the folder tells about its ids and reviews: problems and hints."""
    path = Path(folder or BUILT_IN)
    try:
        if folder is None or git.top(path) is None:
            return [], []
        changes = changes_of(path)
        problems, hints = id_rows(path, changes)
        problems += review_rows(path, spoiled_reviews(path, kept_reviews(changes, last_commit(path))))
        problems += signer_rows(path, changes)
    except git.GitError as error:
        say(f"git can't tell what stood in {folder} before: {error}")
        return [], []
    return problems, hints


def layers_to_check(action: str, folder: str | None, alone: bool = False) -> list[Path]:
    """The layers of an action on a library; the built-in folder itself is not laid over itself."""
    if folder is None:
        if alone:
            raise WrongUseError(f"arclore library {action}: --alone needs a FOLDER")
        return [BUILT_IN, *layers_of(None)]
    path = Path(folder)
    if not path.is_dir():
        meant = " (it is a file: give the folder of its library)" if path.is_file() else ""
        raise WrongUseError(f"arclore library {action}: there is no folder {folder!r}{meant}")
    return [path] if alone or path.resolve() == BUILT_IN.resolve() else [BUILT_IN, path]

