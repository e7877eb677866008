"""``arclore lessons``: list, copy and delete what the desk has kept."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from arclore.engine.library.folder import typed_path
from arclore.engine.library.problems import nearest, printable, shortened
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.page import counted, print_json, say
from arclore.tui.lesson_store import Saved, Store


def run_list(given: argparse.Namespace) -> Exit:
    """Print the lessons, newest first, a row each."""
    found = Store().all()
    if given.json:
        print_json({"lessons": [_row(saved) for saved in found]})
        return Exit.DONE
    for saved in found:
        row = _row(saved)
        clubs = ", ".join(row["clubs"]) or "no club"
        state = "finished" if saved.finished else "unfinished"
        print(printable(f"{saved.id}  {row['saved']}  {state}  {counted(saved.lesson.done, 'answer')}  {clubs}"))
    if not found:
        say("no lesson is kept on this machine")
    return Exit.DONE


def run_export(given: argparse.Namespace) -> Exit:
    """Copy lessons and print where each copy is."""
    for saved in _chosen(given):
        print(printable(Store().export(saved, typed_path(given.to).absolute())))
    return Exit.DONE


def run_delete(given: argparse.Namespace) -> Exit:
    """Delete lessons; asked once, unless told not to ask."""
    chosen = _chosen(given)
    if not given.yes and not _sure(len(chosen)):
        say("nothing is deleted")
        return Exit.DONE
    for saved in chosen:
        Store().delete(saved)
        print(printable(f"deleted {saved.id}"))
    return Exit.DONE


def _row(saved: Saved) -> dict[str, Any]:
    lesson = saved.lesson
    return {
        "id": saved.id,
        "saved": f"{saved.when:%Y-%m-%d %H:%M}",
        "finished": saved.finished,
        "answers": lesson.done,
        "clubs": list(lesson.clubs),
    }


def _chosen(given: argparse.Namespace) -> list[Saved]:
    """The lessons that are meant. Raises WrongUseError for a name that is not there, and where none is named."""
    known = {saved.id: saved for saved in Store().all()}
    if given.all == bool(given.lesson):
        raise WrongUseError(f"arclore lessons {given.action}: name lessons, or give --all (see arclore lessons list)")
    for name in given.lesson:
        if name not in known:
            near = nearest(name, known)
            hint = f"; nearest: {near}" if near else "; see arclore lessons list"
            raise WrongUseError(f"arclore lessons {given.action}: no lesson is called {shortened(name, 60)!r}{hint}")
    return list(known.values()) if given.all else [known[name] for name in dict.fromkeys(given.lesson)]


def _sure(count: int) -> bool:
    """Ask at the terminal; where there is none, nobody can be asked."""
    if not sys.stdin.isatty():
        raise WrongUseError("arclore lessons delete: nobody can be asked here: add --yes")
    print(f"Delete {counted(count, 'lesson')} for good? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")
