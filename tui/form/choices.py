"""What can be chosen for a field, and how what was chosen reads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from arclore.engine.library.graph import RESULT, SOURCE
from arclore.engine.library.stack import Library
from arclore.tui.form.fields import Field
from arclore.tui.library_search import title_of

YES_NO = {"yes": True, "no": False}
Option = tuple[str, str]  # the value, and how it reads


def options_of(field: Field, entry: Mapping[str, Any], library: Library, places: Sequence[Option]) -> list[Option]:
    """The values that may be chosen, each with its words; ``places``: the library folders."""
    if field.kind == "folder":
        return [(path, f"{what}: {path}") for path, what in places]
    if field.kind == "yes-no":
        return [(word, word) for word in YES_NO]
    if field.words:
        return [(word, spaced(word)) for word in field.words]
    if field.names == RESULT:
        return [(row["id"], f"{row['id']}: {row.get('when', '')}") for row in entry.get("results", ()) if "id" in row]
    if field.names == SOURCE:
        return [(name, _cited(source)) for name, source in library.sources.items()]
    named = ((name, title_of(each)) for name, each in library.of_kind(field.names).items() if "retired" not in each)
    return sorted(named, key=lambda option: option[1])


def chosen_of(field: Field, value: Any) -> list[str] | None:
    """The values chosen, as the options name them; None where nothing was answered yet."""
    if value is None:
        return None
    if field.kind == "yes-no":
        return [word for word, meant in YES_NO.items() if meant is value]
    return [str(value)] if field.single or field.kind == "folder" else [str(each) for each in value]


def value_of(field: Field, chosen: Sequence[str]) -> Any:
    """The field's value for what was chosen. Nothing chosen leaves it empty, or is an answer where a list may be."""
    if not field.single and field.kind != "folder":
        return list(chosen) or (None if field.least else [])
    word = next(iter(chosen), None)
    return YES_NO.get(word or "") if field.kind == "yes-no" else word


def empty_words(field: Field) -> str:
    """How it reads to choose nothing; "" where something must be chosen."""
    if field.kind in ("words", "names") and not field.least:
        return "none of these"
    return "" if field.needed else "leave it empty"


def shown(field: Field, value: Any, library: Library | None) -> list[str]:
    """The value as it reads in the form, a thing a line; words stand in one line."""
    if value is None or field.kind == "folder":
        return [str(value)] if value else []
    if field.kind == "rows":
        return [f"{number}. {row_words(field, row, library)}" for number, row in enumerate(value, start=1)]
    if field.names and field.names != RESULT:
        names = [_name_words(field.names, name, library) for name in chosen_of(field, value) or ()]
        return [f"- {name}" for name in names] if len(names) > 1 else names
    return [", ".join(map(spaced, chosen_of(field, value) or ()))] if value not in ([], None) else []


def row_words(field: Field, row: Mapping[str, Any], library: Library | None) -> str:
    """One row of a field in a line."""
    parts = []
    for part in field.row:
        value = row.get(part.path[0])
        if value not in (None, []):
            words = shown(part, value, library) if part.words or part.names else [str(value)]
            parts.append(", ".join(words))
    return " / ".join(parts) or "nothing yet"


def spaced(word: str) -> str:
    """A word of the schema in plain words."""
    return word.replace("-", " ").replace("_", " ")


def _name_words(kind: str, name: str, library: Library | None) -> str:
    if library is None:
        return name
    if kind == SOURCE:
        return _cited(library.sources[name]) if name in library.sources else f"{name} (not known)"
    entry = library.of_kind(kind).get(name)
    return title_of(entry) if entry else f"{name} (not known)"


def _cited(source: Mapping[str, Any]) -> str:
    return f"{source.get('authors', '')} {source.get('year', '')}. {source.get('title', '')}".strip()
