"""``arclore triage``: a case in, ranked causes out."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from arclore.engine.diagnosis.triage import Bench, LibraryError, triage
from arclore.engine.library.problems import Problem, nearest, shortened
from arclore.engine.library.read import Document
from arclore.engine.library.schema import check
from arclore.engine.library.stack import Library
from arclore.tui.command.case_input import SCHEMA, in_shape, read_case, unknown_names, unread_words
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.layers import library_of
from arclore.tui.command.page import print_json, say
from arclore.tui.command.triage_text import write_answer
from arclore.tui.confirmed_store import ConfirmedError, add, learned
from arclore.tui.hand import for_hand
from arclore.tui.settings import load

FLAG_OF = {"theories": "theory", "checks": "check"}


def run(given: argparse.Namespace) -> Exit:
    """Print the answer to the case; problems of a case file are rows on stderr."""
    if (given.file is None) == (not given.case):
        raise WrongUseError("arclore triage: give a case file, or - for standard input, or flags (see --help)")
    document, problems = read_case(given.file) if given.file else _from_flags(given.case)
    if document is None:
        return _refused(problems)
    library = library_of(given.library)
    problems = unknown_names(document, library)
    if problems and not given.file:
        raise WrongUseError(f"arclore triage: {_as_flag(problems[0])}")
    if problems:
        return _refused(problems)
    for name in unread_words(document, library):
        say(f"check {name!r} is a measurement: only a number as its result is used")
    causes = _to_confirm(given.confirm or (), library)
    try:
        answer = _in_hand(triage(document.value, Bench(library, learned=learned(library, given.learned))))
    except (LibraryError, ConfirmedError) as problem:
        say(problem)
        return Exit.PROBLEMS
    if given.json:
        print_json(answer)
    else:
        write_answer(answer, library, document.value.get("avoid", ()), given.units or load().units).show()
    if causes and not answer["stop"]:
        say(f"kept for learning in {add(document.value, causes)}; see: arclore library learned")
    return Exit.SAFETY_STOP if answer["stop"] else Exit.DONE


def _to_confirm(named: Sequence[str], library: Library) -> list[str]:
    """The causes that are confirmed. Raises WrongUseError for a name that the library lacks."""
    for name in named:
        if name not in library.causes:
            near = nearest(name, library.causes)
            hint = f"; nearest: {near}" if near else ""
            raise WrongUseError(f"arclore triage: --confirm: no cause is called {shortened(name, 60)!r}{hint}")
    return list(dict.fromkeys(named))


def _refused(problems: list[Problem]) -> Exit:
    for problem in problems:
        print(problem.row(), file=sys.stderr)
    return Exit.PROBLEMS


def _from_flags(case: dict[str, Any]) -> tuple[Document, list[Problem]]:
    """The case that the flags state; the first thing wrong with it is wrong use."""
    document = in_shape(Document(Path("flags"), case, {}))
    problems = check(document, SCHEMA)
    if problems:
        raise WrongUseError(f"arclore triage: {_as_flag(problems[0])}")
    return document, []


def _as_flag(problem: Problem) -> str:
    """A problem of a stated case as one line that names the flag."""
    names = [part for part in problem.field.split(".") if not part.isdigit() and part != "shots"]
    flag = FLAG_OF.get(names[0], names[0]) if names else "case"
    message = problem.message.partition(": ")[2] or problem.message
    hint = f" ({problem.hint})" if problem.hint else ""
    return f"--{flag.replace('_', '-')}: {message}{hint}"


def _in_hand(answer: dict[str, Any]) -> dict[str, Any]:
    """The answer with the titles of the library turned to the golfer's hand, wherever they stand."""

    def turned(part: Any) -> Any:
        if isinstance(part, list):
            return [turned(item) for item in part]
        if not isinstance(part, dict):
            return part
        return {
            name: for_hand(value, answer["handed"]) if name == "title" else turned(value)
            for name, value in part.items()
        }

    whole: dict[str, Any] = turned(answer)
    return whole
