"""``arclore library cases``: the library's own cases, answered and held against what they expect."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path

from arclore.engine.library.stack import BUILT_IN, load_layers
from arclore.engine.upkeep.cache import NO_CACHE, user_cache
from arclore.engine.upkeep.cases import cases_in, problems, run_cases, scores
from arclore.engine.upkeep.sharing import processors
from arclore.tui.command.exits import Exit
from arclore.tui.command.library_check import layers_to_check
from arclore.tui.command.library_folder import meant
from arclore.tui.command.page import counted, print_json, say


def run(given: argparse.Namespace) -> Exit:
    """Print a row for each thing missed, and the counts; a missed case makes exit code 1."""
    given.folder = meant(given.folder)
    layers = layers_to_check("cases", given.folder)
    library = load_layers(layers)
    if library.problems:
        say(f"{counted(len(library.problems), 'problem')} in the library; see: arclore library check")
    only = cases_in(library, Path(given.folder) if given.folder else BUILT_IN)
    runs = list(run_cases(library, only, NO_CACHE if given.no_cache else user_cache(), processors()))
    rows = problems(library, runs)
    missed = sum(bool(one.misses) for one in runs)
    if given.json:
        cases = [asdict(one) for one in runs]
        scored = scores(runs)
        told = asdict(scored) if scored else None
        print_json({"layers": [str(layer) for layer in layers], "cases": cases, "missed": missed, "scores": told})
    else:
        for row in rows:
            print(row.row())
        print(f"{counted(len(runs), 'case')}, {missed} missed" if runs else "no cases to answer")
        if found := scores(runs):
            places = f"first in {found.first:.2f}, among the first three in {found.first_three:.2f}"
            print(f"of {found.scored} that expect a family of causes: {places};")
            print(f"log loss {found.log_loss:.2f}, Brier score {found.brier:.2f}")
            print("Cases test whether a library agrees with itself, not whether it is true.")
    return Exit.PROBLEMS if missed else Exit.DONE
