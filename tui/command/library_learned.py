"""``arclore library learned``: what confirmed lessons say, beside what the library states."""

from __future__ import annotations

import argparse
from dataclasses import asdict, replace

from arclore.engine.diagnosis.confirmed import Figure, figures
from arclore.engine.library.problems import printable
from arclore.tui.command.exits import Exit
from arclore.tui.command.layers import library_of
from arclore.tui.command.page import counted, in_hundred, number, print_json, say
from arclore.tui.confirmed_store import ConfirmedError, confirmed_path, read
from arclore.tui.settings import load, save

SURPRISING = 3.0  # standard deviations from which the entry is worth a look


def run(given: argparse.Namespace) -> Exit:
    """Print a row for each figure, those farthest from what is stated first."""
    if given.count:  # first, so that a file that cannot be read can be left out
        save(replace(load(), learned=given.count == "yes"))
    try:
        lessons = read()
    except ConfirmedError as problem:
        say(problem)
        return Exit.PROBLEMS
    counts = load().learned
    rows = sorted(figures(library_of(given.library), lessons), key=lambda row: -abs(row.surprise)) if lessons else []
    if given.json:
        print_json({"lessons": len(lessons), "counted": counts, "figures": [asdict(row) for row in rows]})
        return Exit.DONE
    for row in rows:
        print(printable(_line(row)))
    whether = "counted in triage and at the desk" if counts else "not counted: --count yes has them counted"
    print(f"{counted(len(lessons), 'confirmed lesson')}, {whether}")
    say(f"kept in {confirmed_path()}")
    return Exit.DONE


def _line(row: Figure) -> str:
    who = f"{row.cause} shows {row.symptom}" if row.cause else f"{row.symptom} without any of its causes"
    mark = "; look at the entry" if abs(row.surprise) >= SURPRISING else ""
    return (
        f"{who}: stated {in_hundred(row.stated)}, with the lessons {in_hundred(row.learned)} "
        f"(seen {row.seen} of {row.asked}, {number(row.surprise)} standard deviations{mark})"
    )
