"""``arclore library new``, ``amend``, ``retire``, ``copy``: writing entries."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict
from pathlib import Path

from arclore.engine.library.problems import Problem
from arclore.engine.library.stack import personal_folder
from arclore.engine.upkeep.entry_file import EditError
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import history_of, me
from arclore.engine.upkeep.layers import LayerError, load_with
from arclore.engine.upkeep.new_entry import AuthorError, Desk, field_value
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.library_questions import ask
from arclore.tui.command.page import print_json, say


def run(given: argparse.Namespace) -> Exit:
    """Write the entry, or tell row by row what is wrong with it."""
    if given.folder is None and not (Path.cwd() / "library.yaml").is_file():
        personal_folder().mkdir(parents=True, exist_ok=True, mode=0o700)
    folder = folder_of(given.folder, given.action)
    try:
        desk = Desk(folder, load_with(folder), history_of(folder), _author(given, folder))
        path, rows = _carried_out(given, desk)
    except AuthorError as error:
        for row in error.rows:  # of a text that stands in no file: its lines are no help
            say(f"{row.code}: {row.message}" + (f" ({row.hint})" if row.hint else ""))
        say(f"arclore library {given.action}: {error}; nothing was written")
        return Exit.PROBLEMS if error.rows else Exit.WRONG_USE
    except (EditError, GitError, LayerError) as error:
        raise WrongUseError(f"arclore library {given.action}: {error}") from None
    if given.json:
        print_json({"path": str(path), "to_fill_in": [asdict(row) for row in rows]})
    else:
        print(f"written: {path}")
        for row in rows:
            print(f"  still to fill in: {row.message}")
    return Exit.DONE


def _carried_out(given: argparse.Namespace, desk: Desk) -> tuple[Path, list[Problem]]:
    if given.action == "retire":
        return desk.retire(given.kind, given.id, given.reason, given.replaced_by), []
    fields = dict(_field(given.kind, text) for text in given.fields)
    if given.action == "amend":
        if not fields:
            raise AuthorError("give the fields to set, as --set title='a new title'")
        return desk.amend(given.kind, given.id, fields), []
    if given.action == "copy":
        return desk.copy(given.kind, given.id, given.new_id, fields), []
    if given.source:
        return desk.copy(given.kind, given.source, given.id, fields), []
    if sys.stdin.isatty() and not given.json:
        fields = ask(given.kind, fields)
    return desk.new(given.kind, given.id, fields)


def _field(kind: str, text: str) -> tuple[str, object]:
    name, equals, value = text.partition("=")
    if not equals:
        raise AuthorError(f"{text!r} is not of the form FIELD=VALUE")
    return name, field_value(kind, name, value)


def _author(given: argparse.Namespace, folder: Path) -> str:
    if given.author:
        return str(given.author)
    known = me(folder)
    if known is None:
        raise WrongUseError(f"arclore library {given.action}: git does not know who you are: give --author NAME")
    return known.name
