"""Checking a document against the schema of its kind, with a row at the field that is wrong.

All schemas come from ``schemas/`` beside the package; nothing is ever fetched. Whether a document is sound is told by
jsonschema_rs, which is compiled and a hundred times as fast; what is wrong with one that isn't, by jsonschema.
"""

from __future__ import annotations

import functools
import itertools
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import jsonschema_rs
from arclore.engine.library.problems import Problem, nearest, shortened
from arclore.engine.library.read import MAX_ROWS, Document

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

FOLDER = Path(__file__).parents[2] / "schemas"
_ENDING = ".schema.json"
_SIDE = re.compile(r"(?<![{\w])(left|right)(?!-hand(?:ed|ers?)\b)(?![}\w])", re.IGNORECASE)
# What people say and what was seen keep their literal sides; titles of sources are quoted as printed.
_LITERAL = {"words": ("phrases",), "case": ("case",)}
_PROSE = frozenset(
    {
        "title",
        "question",
        "confirm",
        "mechanism",
        "how",
        "asks",
        "when",
        "means",
        "tell_student",
        "steps",
        "easier",
        "harder",
        "cue",
        "fade",
        "retest",
        "hazards",
        "cautions",
        "notes",
        "note",
        "counts",
        "position",
        "because",
    }
)


def kinds() -> list[str]:
    """The kinds that have a schema, in order of name."""
    return sorted(path.name.removesuffix(_ENDING) for path in FOLDER.glob(f"*{_ENDING}"))


@functools.cache
def _contents(name: str) -> dict[str, Any]:
    """A schema file. Raises FileNotFoundError for one that isn't there, wherever its name says that it is."""
    contents: dict[str, Any] = json.loads((FOLDER / name).read_text(encoding="utf-8"))
    return contents


@functools.cache
def written_out(kind: str) -> dict[str, Any]:
    """The schema of a kind with each reference replaced by what it names.

    Raises KeyError for a kind without a schema.
    """
    if kind not in kinds():
        raise KeyError(f"no schema for the kind {kind!r}")
    name = kind + _ENDING
    result: dict[str, Any] = _written_out(_contents(name), name, ())
    return result


def _written_out(schema: Any, file: str, trail: tuple[str, ...]) -> Any:
    if isinstance(schema, list):
        return [_written_out(item, file, trail) for item in schema]
    if not isinstance(schema, dict):
        return schema
    rest = {name: _written_out(part, file, trail) for name, part in schema.items() if name not in ("$ref", "$defs")}
    reference = schema.get("$ref")
    if not isinstance(reference, str):
        return rest
    place, _, inside = reference.partition("#")
    place = place or file
    if f"{place}#{inside}" in trail:
        raise ValueError(f"the schema definition {reference} contains itself")
    part: Any = _contents(place)
    for step in inside.strip("/").split("/") if inside else ():
        part = part[step]
    named = _written_out(part, place, (*trail, f"{place}#{inside}"))
    named = {name: part for name, part in named.items() if name not in ("$id", "$schema")}
    named |= {name: rest.pop(name) for name in ("title", "description") if name in rest}
    return {**named, "allOf": [*named.get("allOf", []), rest]} if rest else named


@functools.cache
def _quick(kind: str) -> Any:
    """What tells whether a value is sound, and nothing more."""
    return jsonschema_rs.validator_for(_with_whole_patterns(written_out(kind)), validate_formats=True, offline=True)


def _with_whole_patterns(schema: Any) -> Any:
    if isinstance(schema, list):
        return [_with_whole_patterns(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    return {
        name: f"^(?:{part})$" if name == "pattern" and isinstance(part, str) else _with_whole_patterns(part)
        for name, part in schema.items()
    }


@functools.cache
def validator(kind: str) -> Draft202012Validator:
    """The validator that tells what is wrong; formats are checked and patterns must fit the whole text.

    Raises KeyError for a kind without a schema.
    """
    return _validator_class()(written_out(kind), format_checker=_validator_class().FORMAT_CHECKER)  # type: ignore[no-any-return]


@functools.cache
def _validator_class() -> Any:
    from jsonschema import Draft202012Validator, ValidationError  # takes longer to import than a library to check
    from jsonschema.validators import extend

    def whole_pattern(_: Any, pattern: str, instance: Any, __: Any) -> Iterator[ValidationError]:
        """``pattern`` must fit the whole text: a search would let a final line end through."""
        if isinstance(instance, str) and not re.fullmatch(pattern, instance):
            yield ValidationError(f"{instance!r} does not fit {pattern!r}")

    def unique_items(_: Any, unique: bool, instance: Any, __: Any) -> Iterator[ValidationError]:
        """``uniqueItems`` in one pass; comparing each with each would let a long list of mappings hang us."""
        if unique and isinstance(instance, list):
            seen = {json.dumps(_comparable(item), sort_keys=True) for item in instance}
            if len(seen) < len(instance):
                yield ValidationError("an item is listed twice")

    return extend(Draft202012Validator, {"pattern": whole_pattern, "uniqueItems": unique_items})  # type: ignore[no-untyped-call]


def _comparable(value: Any) -> Any:
    """Equal for values that JSON Schema calls equal: 1 and 1.0 are, 1 and true are not."""
    if isinstance(value, dict):
        return {name: _comparable(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_comparable(item) for item in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def check(document: Document, kind: str) -> list[Problem]:
    """The ways in which the document breaks the schema of the kind: the first 50 found, sorted by place."""
    if _quickly_sound(document.value, kind):
        return []
    errors = validator(kind).iter_errors(document.value)
    rows = (problem for error in errors for problem in _problems(document, error))
    return sorted(set(itertools.islice(rows, MAX_ROWS)))


def _quickly_sound(value: Any, kind: str) -> bool:
    try:
        return bool(_quick(kind).is_valid(value))
    except (ValueError, TypeError):  # a value that no JSON can hold: the slow way says what is wrong with it
        return False


def _problems(document: Document, error: Any) -> Iterator[Problem]:
    path = tuple(error.absolute_path)
    keyword = str(error.validator)
    if keyword in ("additionalProperties", "unevaluatedProperties") and isinstance(error.instance, dict):
        yield from _unknown_fields(document, path, error)
    elif keyword == "required":  # an error for each missing name, which only its message tells
        name = next(name for name in error.validator_value if error.message.startswith(repr(name)))
        where = f" in {dotted(path)}" if path else ""
        yield document.problem(path, "missing-field", f"the field {name!r} is missing{where}", "add it")
    elif keyword in ("anyOf", "oneOf") and error.context:
        said = "; or ".join(dict.fromkeys(_said(each) for each in error.context))
        yield document.problem(path, keyword, f"{dotted(path)}: {shortened(said, 160)}", _described(error))
    else:
        yield document.problem(path, keyword, f"{dotted(path)}: {_said(error)}", _hint(error))


def _unknown_fields(document: Document, path: tuple[str | int, ...], error: Any) -> Iterator[Problem]:
    known = set(_fields(error.schema))
    names = [name for name in error.instance if name not in known]
    for name in names or [name for name in error.instance if repr(name) in error.message]:
        near = nearest(name, known - set(error.instance)) or nearest(name, known)
        hint = f"nearest: {near}" if near else "known: " + ", ".join(sorted(known))
        message = f"unknown field {shortened(name, 60)!r}" + (f" in {dotted(path)}" if path else "")
        yield document.problem((*path, name), "unknown-field", message, hint)


def _fields(schema: Any) -> Iterator[str]:
    """The names of fields a written-out schema knows, through whatever it is composed of."""
    if isinstance(schema, Mapping):
        yield from schema.get("properties", {})
        for keyword in ("if", "then", "else"):
            yield from _fields(schema.get(keyword))
        for part in schema.get("allOf", []):
            yield from _fields(part)


_NAMES = {
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "array": "a list",
    "object": "a mapping",
    "null": "nothing",
}


def _type_name(value: Any) -> str:
    for kind, name in (
        (bool, "true or false"),
        (str, "text"),
        ((int, float), "a number"),
        (list, "a list"),
        (dict, "a mapping"),
    ):
        if isinstance(value, kind):
            return name
    return "nothing"


def _types(names: str | list[str]) -> str:
    return " or ".join(_NAMES.get(name, name) for name in ([names] if isinstance(names, str) else names))


_SAYS: dict[str, Callable[[Any, Any], str]] = {
    "type": lambda value, want: f"must be {_types(want)}, is {_type_name(value)}",
    "enum": lambda value, want: f"{_quoted(value)} is not one of the known words",
    "const": lambda value, want: f"must be {want!r}, is {_quoted(value)}",
    "pattern": lambda value, want: f"{_quoted(value)} is not spelt as it must be",
    "format": lambda value, want: f"{_quoted(value)} is not a valid {want}",
    "minimum": lambda value, want: f"{value} is below {want}",
    "maximum": lambda value, want: f"{value} is above {want}",
    "exclusiveMinimum": lambda value, want: f"{value} must be above {want}",
    "exclusiveMaximum": lambda value, want: f"{value} must be below {want}",
    "minLength": lambda value, want: f"{len(value)} characters, at least {want} are needed",
    "maxLength": lambda value, want: f"{len(value)} characters, at most {want} are allowed",
    "minItems": lambda value, want: f"{len(value)} items, at least {want} are needed",
    "maxItems": lambda value, want: f"{len(value)} items, at most {want} are allowed",
    "minProperties": lambda value, want: f"{len(value)} fields, at least {want} are needed",
    "maxProperties": lambda value, want: f"{len(value)} fields, at most {want} are allowed",
    "uniqueItems": lambda value, want: "an item is listed twice",
    "not": lambda value, want: f"must not hold {_forbidden(want)}",
}


def _forbidden(schema: Any) -> str:
    names = schema.get("required", []) if isinstance(schema, Mapping) else []
    return ("the field " + " with ".join(map(repr, names)) + " here") if names else "this value"


def _quoted(value: Any) -> str:
    return repr(shortened(value, 50)) if isinstance(value, str) else shortened(json.dumps(value), 50)


def _said(error: Any) -> str:
    say = _SAYS.get(str(error.validator))
    return say(error.instance, error.validator_value) if say else shortened(error.message, 160)


def _hint(error: Any) -> str:
    if error.validator == "enum":
        near = nearest(error.instance, [word for word in error.validator_value if isinstance(word, str)])
        return f"nearest: {near}" if near else "known: " + ", ".join(map(str, error.validator_value))
    if (
        error.validator == "type"
        and isinstance(error.instance, str)
        and "number" in str(error.validator_value)
    ):
        return "numbers are written like 12, -0.5 or 1e3"
    return _described(error)


def _described(error: Any) -> str:
    schema = error.schema
    return str(schema.get("description", "")) if isinstance(schema, Mapping) else ""


def dotted(path: Iterable[str | int]) -> str:
    """A field as people read it: items of a list count from 1."""
    told = "".join(f" (item {part + 1})" if isinstance(part, int) else f".{part}" for part in path)
    return shortened(told.removeprefix("."), 60) or "the entry"


def text_rows(document: Document) -> list[Problem]:
    """Rows for text that no entry may hold: bare sides, and characters that nobody sees."""
    whole = " \n".join(_strings(document.value))
    rows = [] if whole.replace("\n", "").isprintable() else unseen_text(document)
    return rows + bare_sides(document) if _SIDE.search(whole) else rows


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _strings(item)
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)


def bare_sides(document: Document) -> list[Problem]:
    """Rows for the words left and right in text people read, wrong for golfers of the other hand.

    ``{left}`` and ``{right}`` are allowed, they swap for a left-hander; so are left-hander and right-handed.
    """
    kind = document.value.get("kind")
    literal = _LITERAL.get(kind, ()) if isinstance(kind, str) else ()
    if kind == "sources":
        return []
    rows: list[Problem] = []
    for path, text in _texts(document.value, ()):
        if len(rows) == MAX_ROWS:
            break
        if path[0] in literal or not (" " in text or _PROSE.intersection(map(str, path))):
            continue
        found = _SIDE.search(text)
        if found:
            hint = "write lead, trail, toward or away, or the token {left} or {right}"
            rows.append(
                document.problem(path, "bare-side", f"{dotted(path)}: the bare word {found[0]!r}", hint)
            )
    return sorted(rows)


def unseen_text(document: Document) -> list[Problem]:
    """Rows for text that holds, by escapes, characters nobody sees: harmless when shown, unfit to keep."""
    rows: list[Problem] = []
    for path, text in _texts(document.value, ()):
        if len(rows) == MAX_ROWS:
            break
        text = text.replace("\n", "")
        if not text.isprintable():
            hidden = next(c for c in text if not c.isprintable())
            message = f"{dotted(path)}: a hidden character U+{ord(hidden):04X}"
            rows.append(document.problem(path, "character", message, "remove it"))
    return sorted(rows)


def _texts(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for name, item in value.items():
            yield from _texts(item, (*path, name))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _texts(item, (*path, index))
