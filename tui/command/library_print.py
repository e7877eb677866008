"""``arclore library print``: the approved drills and checks for the wall or the pocket."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from pathlib import Path

from arclore.engine.library.folder import typed_path
from arclore.engine.library.problems import shortened
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.layers import LayerError, load_with, own_settings
from arclore.engine.upkeep.release import far_enough
from arclore.engine.upkeep.statuses import own_problems, statuses
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.page import counted, say
from arclore.tui.prints.cards import KINDS, Sheet, sheet

NAME = "arclore library print"


def run(given: argparse.Namespace) -> Exit:
    """Write the print; an existing file is not overwritten. Spoiled entries and reviews are problems."""
    folder, target = folder_of(given.folder, "print"), typed_path(given.to)
    if target.suffix not in (".html", ".pdf"):
        raise WrongUseError(f"{NAME}: {shortened(target.name, 60)!r} ends in neither .html nor .pdf")
    try:
        about = own_settings(folder)
        library, history = load_with(folder), history_of(folder)
    except (LayerError, GitError) as error:
        raise WrongUseError(f"{NAME}: {error}") from None
    found, rows = statuses(library, folder, history, date.today())
    rows = sorted([*own_problems(library, folder), *rows])
    for row in rows:
        print(row.row(), file=sys.stderr)
    chosen = [each for each in found if each.status != "retired" and far_enough(each, given.least)]
    made = sheet(library, chosen, about, given.handed, [given.kind] if given.kind else KINDS)
    _write(target, _data(made, target.suffix, given.form))
    print(f"written: {target}, {counted(len(made.cards), 'card')}")
    if not made.cards:
        say("nothing has come so far; see: arclore library status")
    return Exit.PROBLEMS if rows else Exit.DONE


def _data(made: Sheet, suffix: str, form: str) -> bytes:
    if suffix == ".html":
        from arclore.tui.prints.web import as_html

        return as_html(made, form).encode("utf-8")
    from arclore.tui.prints.pdf import as_pdf

    data, missing = as_pdf(made, form)
    if missing:
        say(f"{counted(missing, 'letter')} can't be drawn by the font of the PDF: print the .html instead")
    return data


def _write(target: Path, data: bytes) -> None:
    try:
        with target.open("xb") as file:
            file.write(data)
    except FileExistsError:
        raise WrongUseError(f"{NAME}: {shortened(target, 100)} is there already, and is not overwritten") from None
    except OSError as error:
        raise WrongUseError(f"{NAME}: {shortened(target, 100)} can't be written: {error.strerror}") from None
