"""A case from a file, standard input or flags: read, put in one shape, held against schema and names."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from arclore.engine.diagnosis.case import CaseError, club_used, known_result
from arclore.engine.library.problems import Problem, nearest
from arclore.engine.library.read import MAX_BYTES, Document, FieldPath, read_yaml
from arclore.engine.library.schema import check
from arclore.engine.library.stack import Library

SCHEMA = "case-input"
LISTS = ("contact", "turf")  # one word stands for a list of one
STDIN = "<stdin>"


def read_case(name: str) -> tuple[Document | None, list[Problem]]:
    """The case in a file, or on standard input where the name is ``-``, and the rows that say what is wrong.

    A file holds the case itself or an entry with a ``case:``. The document is None where it can't be used.
    """
    document, problems = _from_stdin() if name == "-" else read_yaml(Path(name))
    if document is None:
        return None, problems
    problems = [*problems, *_misplaced(document)]
    document = _case_of(document)
    if isinstance(document.value, dict):
        document = in_shape(document)
        problems += check(document, SCHEMA)
    return (None if problems else document), sorted(problems)


def _from_stdin() -> tuple[Document | None, list[Problem]]:
    data = sys.stdin.buffer.read(MAX_BYTES + 1)
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        place = before.count(b"\n") + 1, error.start - before.rfind(b"\n")
        message = f"byte 0x{data[error.start]:02x} is not UTF-8"
        return None, [Problem(STDIN, *place, "encoding", message, "send the text as UTF-8")]
    return read_yaml(text, STDIN)


def _misplaced(document: Document) -> Iterator[Problem]:
    case = document.value.get("case", {})
    if not isinstance(case, dict):
        yield document.problem(("case",), "type", "case must be a mapping", "indent its fields")


def _case_of(document: Document) -> Document:
    """The ``case:`` of an entry as a document of its own; the places still point into the whole file."""
    if "case" not in document.value:
        return document
    inside = {path[1:]: place for path, place in document.positions.items() if path[:1] == ("case",)}
    return Document(document.path, document.value["case"], inside)


def in_shape(document: Document) -> Document:
    """The case with a list where one word stood for one, and every measured club among its shots."""
    case = dict(document.value)
    shots = case.get("shots")
    if isinstance(shots, list):
        case["shots"] = [_shot_in_shape(shot) for shot in shots]
    measured = case.get("measured")
    if isinstance(measured, list) and isinstance(case.setdefault("shots", []), list):
        known = {shot.get("club") for shot in case["shots"] if isinstance(shot, dict)}
        clubs = [item.get("club") for item in measured if isinstance(item, dict)]
        more = [club for club in clubs if isinstance(club, str) and club not in known]
        case["shots"] = case["shots"] + [{"club": club} for club in dict.fromkeys(more)]
    return Document(document.path, case, document.positions)


def _shot_in_shape(shot: Any) -> Any:
    if not isinstance(shot, dict):
        return shot
    return {key: [value] if key in LISTS and isinstance(value, str) else value for key, value in shot.items()}


def unknown_names(document: Document, library: Library) -> list[Problem]:
    """Rows for clubs, symptoms, checks and results of checks that the library does not know."""
    case = document.value
    rows = [*_unknown_clubs(document, library)]
    for kind in ("present", "absent", "unsure"):
        for index, name in enumerate(case.get(kind, ())):
            if name not in library.symptoms:
                rows.append(_unknown(document, (kind, index), "symptom", name, library.symptoms))
    for name, result in case.get("checks", {}).items():
        if name not in library.checks:
            rows.append(_unknown(document, ("checks", name), "check", name, library.checks))
        else:
            rows += _unknown_result(document, name, result, library.checks[name])
    return sorted(rows)


def _unknown_clubs(document: Document, library: Library) -> Iterator[Problem]:
    for key in ("shots", "measured"):
        for index, item in enumerate(document.value.get(key, ())):
            try:
                club_used(item["club"], library)
            except CaseError as problem:
                message, _, hint = str(problem).partition("; ")
                yield document.problem((key, index, "club"), "unknown-club", message, hint)


def _unknown(document: Document, path: FieldPath, kind: str, name: str, known: Any) -> Problem:
    near = nearest(name, known)
    hint = f"nearest: {near}" if near else f"see the {kind}s of the library"
    return document.problem(path, "unknown-id", f"no {kind} {name!r}", hint)


def _unknown_result(document: Document, name: str, result: Any, entry: dict[str, Any]) -> Iterator[Problem]:
    try:
        known_result(name, result, entry)
    except CaseError as problem:
        message, _, hint = str(problem).partition("; ")
        yield document.problem(("checks", name), "unknown-result", message, hint)


def unread_words(document: Document, library: Library) -> list[str]:
    """The measuring checks whose result is a word: the diagnosis has no use for it."""
    checks = document.value.get("checks", {})
    return [n for n in checks if isinstance(checks[n], str) and library.checks[n]["type"] == "measurement"]
