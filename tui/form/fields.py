"""The fields of an entry as a person fills them in, made from the schema of its kind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from arclore.engine.library.graph import names_what
from arclore.engine.library.schema import validator

KINDS = ("drill", "check", "cause", "symptom")
NOT_ASKED = ("schema", "kind", "author", "authors", "retired")  # written by the program, or by a command of its own
Path = tuple[str, ...]


@dataclass(frozen=True)
class Field:
    """One field. ``path`` leads to it from the entry, or from the row it stands in.

    ``kind``: text, lines (a text a line), number, yes-no, word (one of ``words``), words (several), name (of what
    ``names`` says: a kind of entry, source or result), names, rows (mappings of the fields in ``row``).
    ``needed``: by the mapping it stands in, whose label is ``group``. ``least``: fewest items of a list.
    """

    path: Path
    label: str
    about: str
    kind: str
    needed: bool
    group: str = ""
    words: tuple[str, ...] = ()
    names: str = ""
    least: int = 0
    row: tuple[Field, ...] = ()

    @property
    def id(self) -> str:
        """A name for its widget."""
        return "--".join(part.replace("_", "-") for part in self.path)

    @property
    def single(self) -> bool:
        """Whether it holds one thing."""
        return self.kind not in ("lines", "words", "names", "rows")


@cache
def fields_of(kind: str) -> tuple[Field, ...]:
    """All fields of a kind that a person fills in, in the order of its schema."""
    schema: Any = validator(kind).schema
    return tuple(field for field in _fields(kind, schema, (), ()) if field.path[0] not in NOT_ASKED)


def required_names(kind: str, entry: Mapping[str, Any]) -> frozenset[str]:
    """The top fields that an entry must have, those among them that its other fields call for."""
    schema: Any = validator(kind).schema
    names = set(schema["required"])
    for condition in _conditions(schema):
        fits = validator(kind).evolve(schema=condition["if"]).is_valid(entry)
        names |= set(condition.get("then" if fits else "else", {}).get("required", ()))
    return frozenset(names)


@cache
def optional_blocks(kind: str) -> frozenset[str]:
    """The top fields that are asked for only where another field calls for them."""
    schema: Any = validator(kind).schema
    branches = [condition.get(way, {}) for condition in _conditions(schema) for way in ("then", "else")]
    return frozenset(name for branch in branches for name in branch.get("required", ()))


def missing(fields: tuple[Field, ...], value: Mapping[str, Any], required: frozenset[str]) -> frozenset[Path]:
    """The paths that are still to be filled in; ``required``: the top names that must be there."""
    return frozenset(
        field.path
        for field in fields
        if found(value, field.path) is None
        and (field.path[0] in required or (len(field.path) > 1 and field.path[0] in value))
        and (field.needed or len(field.path) == 1)
    )


def found(value: Mapping[str, Any], path: Path) -> Any:
    """What stands at the path; None where nothing does."""
    inner: Any = value
    for part in path:
        inner = inner.get(part) if isinstance(inner, Mapping) else None
    return inner


def put(value: dict[str, Any], path: Path, new: Any) -> None:
    """Set what stands at the path; None takes it out, and a mapping left empty goes with it."""
    head, *rest = path
    if rest:
        inner = value.setdefault(head, {})
        put(inner, tuple(rest), new)
        if not inner:
            del value[head]
    elif new is None:
        value.pop(head, None)
    else:
        value[head] = new


def ordered(kind: str, entry: Mapping[str, Any]) -> dict[str, Any]:
    """The entry with the fields of its mappings in the order of the schema."""
    result: dict[str, Any] = _ordered(validator(kind).schema, entry)
    return result


def _ordered(schema: Any, value: Any) -> Any:
    if isinstance(value, Mapping):
        known = schema.get("properties", {})
        names = [*(name for name in known if name in value), *(name for name in value if name not in known)]
        return {name: _ordered(known.get(name, {}), value[name]) for name in names}
    if isinstance(value, list):
        return [_ordered(schema.get("items", {}), item) for item in value]
    return value


def _conditions(schema: Any) -> Iterator[Any]:
    yield from (part for part in (schema, *schema.get("allOf", ())) if "if" in part)


def _fields(kind: str, schema: Any, path: Path, inside: Path, group: str = "") -> Iterator[Field]:
    """The fields of a mapping. ``path`` leads to it; ``inside`` to the row it stands in, where it stands in one."""
    for name, part in schema["properties"].items():
        here = (*path, name)
        label = part.get("title") or name.replace("_", " ")
        if part.get("type") == "object":
            yield from _fields(kind, part, here, inside, label)
            continue
        needed = name in schema.get("required", ())
        yield _field(kind, part, here, inside, (label, part.get("description", ""), needed, group))


def _field(kind: str, part: Any, path: Path, inside: Path, said: tuple[str, str, bool, str]) -> Field:
    label, about, needed, group = said
    items = part.get("items", {})
    words = tuple(map(str, part.get("enum") or items.get("enum") or ()))
    many = part.get("type") == "array"
    names = names_what(kind, (*inside, *path, "*") if many else (*inside, *path))
    least = max(each.get("minItems", 0) for each in (part, *part.get("allOf", ())))
    row: tuple[Field, ...] = ()
    if many and items.get("type") == "object":
        sort, row = "rows", tuple(_fields(kind, items, (), (*inside, *path, "*")))
    elif many:
        sort = "words" if words else "names" if names else "lines"
    else:
        plain = {"number": "number", "integer": "number", "boolean": "yes-no"}.get(part.get("type"), "text")
        sort = "word" if words else "name" if names else plain
    return Field(path, label, about, sort, needed, group, words, names, least, row)
