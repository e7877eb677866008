"""An entry that is being written, as the coach and as the student will read it; what is not there yet is left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from arclore.tui.command.page import sentence
from arclore.tui.entry_text import fields, label_of
from arclore.tui.hand import for_hand
from arclore.tui.library_search import title_of
from arclore.tui.widgets.text import heading, lines, plain, points
from arclore.tui.wording import caution_lines
from textual.content import Content

EMPTY = "Nothing to read yet."


def coach_view(entry: Mapping[str, Any], handed: str) -> Content:
    """The entry as the library shows it."""
    body: list[Content | str] = [plain(for_hand(title_of(entry), handed), "bold")] if entry.get("title") else []
    for name, rows in fields({key: item for key, item in entry.items() if key not in ("author", "authors")}, handed):
        body += [plain(f"{label_of(str(entry['kind']), name)}:", "bold"), *(plain(f"  {row}") for row in rows)]
    return lines(*body) if body else plain(EMPTY)


def student_view(entry: Mapping[str, Any], handed: str, always: Sequence[str]) -> Content:
    """What a student reads of it or is told. ``always``: cautions that stand where a drill has none."""
    parts = _PARTS.get(str(entry.get("kind")), _of_sign)(entry)
    body: list[Content | str] = []
    for name, texts in parts:
        told = [sentence(for_hand(text, handed)) for text in texts if text]
        if told:
            body += [plain(name, "bold"), *(points(told) if len(told) > 1 else [plain(told[0])])]
    if body and entry.get("kind") in ("drill", "check"):
        cautions = caution_lines({"cautions": [], **entry}, always, handed)
        body += [plain("Take care", "bold"), *points(map(sentence, cautions))] if cautions else []
    return lines(*body) if body else plain(EMPTY)


def both_views(entry: Mapping[str, Any], handed: str, always: Sequence[str]) -> Content:
    """Both, the student's first: it is the shorter one."""
    return lines(
        heading("As the student sees it"),
        student_view(entry, handed, always),
        " ",
        heading("As the coach sees it"),
        coach_view(entry, handed),
    )


def _of_drill(entry: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    dose, mark = entry.get("dose", {}), entry.get("pass_mark", {})
    much = f"{dose['sets']} x {dose['repetitions']}" if {"sets", "repetitions"} <= set(dose) else ""
    ball = {True: ", with a ball", False: ", without a ball"}.get(dose.get("with_ball"), "")
    good = f"{mark['hits']} of {mark['of']} {mark.get('counts', '')}" if {"hits", "of"} <= set(mark) else ""
    return [
        ("Think of this, and of nothing else", [str(entry.get("cue", ""))]),
        ("The drill", [str(entry.get("title", ""))]),
        ("How", [*map(str, entry.get("steps", ()))]),
        ("How much", [much + ball if much else ""]),
        ("When it is good enough", [good]),
    ]


def _of_check(entry: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    return [("We look at this", [str(entry.get("asks", ""))]), ("How", [*map(str, entry.get("how", ()))])]


def _of_cause(entry: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    return [("The one thing to change", [str(entry.get("tell_student", ""))])]


def _of_sign(entry: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    return [("You are asked", [str(entry.get("question", ""))])]


_PARTS = {"drill": _of_drill, "check": _of_check, "cause": _of_cause, "symptom": _of_sign}
