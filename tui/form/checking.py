"""What is wrong with an entry that is being written: each problem at its field, in one line that says what to do."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from arclore.engine.library.graph import wrong_names
from arclore.engine.library.problems import Problem
from arclore.engine.library.schema import check, dotted, text_rows
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.audit import audit_entry
from arclore.engine.upkeep.duplicates import near_titles
from arclore.tui.form.draft import Draft
from arclore.tui.form.fields import Field, Path, fields_of, missing, optional_blocks, required_names

SHOWN_BY_TITLE = "near-duplicate"  # the code of a hint that the form says in its own way
_NAMED = re.compile(r"'([a-z_]+)'")


@dataclass(frozen=True)
class Judged:
    """``wrong``: what keeps the entry from being saved, by path of a field; inside a row its number stands in the path.

    ``to_fill``: paths that are still empty and must not be. ``near``: ids and titles of entries that may say the same.
    ``advice``: what the audit of the library would say, by path. ``hidden``: top fields not called for.
    """

    wrong: Mapping[Path, str] = field(default_factory=dict)
    to_fill: frozenset[Path] = frozenset()
    near: Sequence[tuple[str, str]] = ()
    advice: Mapping[Path, str] = field(default_factory=dict)
    hidden: frozenset[str] = frozenset()

    @property
    def whole(self) -> bool:
        return not self.wrong and not self.to_fill


def judge(draft: Draft, library: Library | None) -> Judged:
    """Judge by the schema and, where the library is read, by what the entry names and which titles are near."""
    document = draft.document()
    fields, required = fields_of(draft.kind), required_names(draft.kind, document.value)
    to_fill = missing(fields, draft.entry, required) - ({("id",)} if draft.changing else frozenset())
    if not draft.writer.strip():
        to_fill |= {("writer",)}
    rows = [*check(document, draft.kind), *text_rows(document)]
    near: list[tuple[str, str]] = []
    taken: dict[Path, str] = {}
    if library is not None:
        rows += wrong_names(library, document)
        near = _near(draft, library)
        if not draft.changing and (draft.kind, draft.id) in library.documents:
            taken["id",] = "is taken by another entry: choose another name"
    wrong = {**_by_field(rows, fields), **taken}
    hidden = optional_blocks(draft.kind) - required - set(draft.entry)
    return Judged({path: text for path, text in wrong.items() if path not in to_fill}, to_fill, near, {}, hidden)


def advised(draft: Draft, library: Library) -> Mapping[Path, str]:
    """What the audit of the library would say of an entry that nothing else is wrong with; takes about a second."""
    found = audit_entry(library, draft.document())
    rows = [*found.errors, *(row for row in found.hints if row.code != SHOWN_BY_TITLE)]
    return _by_field(rows, fields_of(draft.kind))


def in_row(wrong: Mapping[Path, str], path: Path, index: int) -> dict[Path, str]:
    """The problems of one row of a field, by path inside the row."""
    head = (*path, str(index))
    return {at[len(head) :]: text for at, text in wrong.items() if at[: len(head)] == head}


def missing_in_row(field: Field, row: Mapping[str, object]) -> frozenset[Path]:
    """What is still to be filled in in one row of a field."""
    return missing(field.row, row, frozenset(part.path[0] for part in field.row if part.needed))


def _near(draft: Draft, library: Library) -> list[tuple[str, str]]:
    titles = {
        name: str(entry["title"])
        for name, entry in library.of_kind(draft.kind).items()
        if not (draft.changing and name == draft.source)
    }
    return [(name, titles[name]) for name, _ in near_titles(str(draft.entry.get("title", "")), titles)]


def _by_field(rows: Iterable[Problem], fields: Sequence[Field]) -> dict[Path, str]:
    """The first problem of each field; what has no field of its own stands at the one it speaks of, or at the title."""
    found: dict[Path, str] = {}
    for row in rows:
        place, at = _place(row, fields)
        if row.code != "missing-field" or (at is not None and at.row):
            found.setdefault(place, _line(row, at))
    return found


def _place(row: Problem, fields: Sequence[Field]) -> tuple[Path, Field | None]:
    """The path at which a problem is shown, and the field that it stands in; inside rows the path goes on."""
    parts = tuple(row.field.split(".")) if row.field else ()
    named = _NAMED.findall(row.message) if not parts else []
    for each in fields:
        if parts[: len(each.path)] == each.path:
            return (parts if each.row else each.path), each
        if (parts and each.path[: len(parts)] == parts) or each.path[0] in named:
            return each.path, None
    return ("title",), None


def _line(row: Problem, at: Field | None) -> str:
    """The problem in one line, with what to do; the field's own name goes: the line stands beside it."""
    text = row.message
    path = (int(part) if part.isdecimal() else part for part in row.field.split(".") if part)
    for head in (dotted(path), "the entry"):
        text = text.removeprefix(f"{head}: ")
    inside = row.field.split(".")[len(at.path) :] if at else []
    if at and at.row and row.code == "missing-field":
        name = next(iter(_NAMED.findall(text)), "")
        return f"{next((part.label for part in at.row if part.path == (name,)), name)} is still to be filled in"
    if at and not at.row and inside and inside[0].isdecimal():
        text = f"{'line' if at.kind == 'lines' else 'number'} {int(inside[0]) + 1}: {text}"
    if row.code == "type":  # what stands there is in sight; only a number can be typed wrongly
        return f"it {text.partition(', is ')[0]}, such as 8"
    return f"{text}: {row.hint}" if row.hint else text
