"""The text of an entry's file, changed field by field: what isn't changed stays as it is, to the byte.

Only the lines of a changed field are written anew, by ruamel.yaml's round trip, so that comments inside it stay
where their item stays.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from io import StringIO
from pathlib import Path
from textwrap import wrap
from typing import Any

from arclore.engine.library.read import Document, read_yaml
from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq
from ruamel.yaml.error import YAMLError
from ruamel.yaml.representer import RoundTripRepresenter
from ruamel.yaml.scalarstring import FoldedScalarString

WIDTH = 110
LEAST_ROOM = 10  # columns for a name or an indent beside a text
SHORT = 110  # characters of a list or mapping that stands in one line
_NOT_BARE = re.compile(r"[-+]?\.?(?:nan|inf)|[?:].*", re.IGNORECASE | re.DOTALL)
"""Text that the strict reader, or inside braces other readers, would not take for text without quotes."""
_FLUSH_LIST = re.compile(r"^[\w-]+:[^\n]*\n(?:#[^\n]*\n)*- ", re.MULTILINE)


class EditError(Exception):
    """A file that can't be changed safely; the text is one line and nothing was written."""


def dumped(entry: Mapping[str, Any]) -> str:
    """An entry as a new file's text; short lists and mappings stand in one line."""
    return _dumped(_yaml(""), {name: _laid(value) for name, value in entry.items()})


def _laid(value: Any) -> Any:
    """The value with its layout: in brackets or braces where that is short, else an item a line."""
    if isinstance(value, Mapping):
        laid: Any = CommentedMap({name: _laid(item) for name, item in value.items()})
    elif isinstance(value, list):
        laid = CommentedSeq([_laid(item) for item in value])
    else:
        return _folded(value) if isinstance(value, str) and len(value) > WIDTH - LEAST_ROOM else value
    if len(str(value)) <= SHORT and not any(len(text) > SHORT // 2 for text in _texts(value)):
        laid.fa.set_flow_style()
    return laid


def _folded(text: str) -> Any:
    """A long text as a folded paragraph; one with odd spaces or line ends as it is."""
    if text != " ".join(text.split()) or text.startswith("#"):
        return text
    laid = FoldedScalarString(text)
    ends, at = [], 0
    for row in wrap(text, WIDTH - LEAST_ROOM, break_long_words=False, break_on_hyphens=False)[:-1]:
        at += len(row)
        ends.append(at)
        at += 1
    laid.fold_pos = ends
    return laid


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping | list):
        for item in value.values() if isinstance(value, Mapping) else value:
            yield from _texts(item)


def edited(text: str, path: Path, fields: Mapping[str, Any]) -> str:
    """The text with these top fields set to these values, or taken out where the value is None.

    Raises EditError where that can't be done exactly.
    """
    for name, value in fields.items():
        document, rows = read_yaml(text, str(path))
        if document is None:
            raise EditError(rows[0].row())
        if value is None:
            text = _without(text, document, name)
        elif name not in document.value or document.value[name] != value:
            text = _set(text, document, name, value)
    return text


def _without(text: str, document: Document, name: str) -> str:
    """The text without the lines of one field; comments before the next field stay."""
    if name not in document.value:
        return text
    span = _span(text, document, name)
    wanted = {key: value for key, value in document.value.items() if key != name}
    if span is not None:
        lines = text.splitlines(keepends=True)
        text = "".join([*lines[: span[0]], *lines[span[1] :]])
    if span is None or (_reads(text) or {}) != wanted:
        raise EditError(f"{document.path}: the field {name!r} can't be taken out here without harm: edit it by hand")
    return text


def _set(text: str, document: Document, name: str, value: Any) -> str:
    new_text = _spliced(text, document, name, value)
    wanted = {**document.value, name: value}
    if _reads(new_text) != wanted:
        new_text = _round_trip(text, name, value)
        if _reads(new_text) != wanted:
            raise EditError(f"{document.path}: the field {name!r} can't be changed here without harm: edit it by hand")
    return new_text


def _reads(text: str) -> dict[str, Any] | None:
    document, _ = read_yaml(text)
    return None if document is None else document.value


def _spliced(text: str, document: Document, name: str, value: Any) -> str:
    """The text with the lines of one field replaced, or put before the end."""
    if any(column != 1 for path, (_, column) in document.positions.items() if len(path) == 1):
        return _round_trip(text, name, value)  # braces around the whole entry
    span = _span(text, document, name)
    if span is None:
        end = "" if not text or text.endswith("\n") else "\n"
        return text + end + _dumped(_yaml(text), {name: value})
    lines = text.splitlines(keepends=True)
    segment = "".join(lines[slice(*span)])
    return "".join(lines[: span[0]]) + _round_trip(segment, name, value, text) + "".join(lines[span[1] :])


def _span(text: str, document: Document, name: str) -> tuple[int, int] | None:
    """The first line of a top field and the line after its last, from 0; None where it has no lines of its own."""
    lines = text.splitlines(keepends=True)
    tops = {path[0]: at for path, at in document.positions.items() if len(path) == 1}
    if name not in tops or tops[name][1] != 1:
        return None
    first = tops[name][0] - 1
    after = sorted(line - 1 for line, _ in tops.values() if line - 1 > first)
    last = after[0] if after else len(lines)
    while last - 1 > first and (not lines[last - 1].strip() or lines[last - 1].startswith("#")):
        last -= 1  # what stands before the next field belongs to it
    return first, last


def _round_trip(segment: str, name: str, value: Any, around: str = "") -> str:
    trip = _yaml(around or segment)
    try:
        loaded = trip.load(segment)
    except YAMLError:
        return ""
    loaded[name] = _merged(loaded.get(name), value)
    return _dumped(trip, loaded)


def _merged(old: Any, new: Any) -> Any:
    """The new value in the old one's layout, with its comments where items stay."""
    if old == new and type(old) is type(new):
        return old
    if isinstance(old, CommentedMap) and isinstance(new, Mapping):
        for gone in [key for key in old if key not in new]:
            del old[gone]
        for key, item in new.items():
            old[key] = _merged(old.get(key), item)
        return old
    if isinstance(old, CommentedSeq) and isinstance(new, list):
        while len(old) > len(new):
            odd = next((i for i, item in enumerate(new) if old[i] != item), len(new))
            del old[odd]
        for index, item in enumerate(new):
            if index < len(old):
                old[index] = _merged(old[index], item)
            else:
                old.append(item)
        return old
    return new


class _Writer(RoundTripRepresenter):
    """Writes text in quotes where it would not be read back as text."""

    def text(self, text: str) -> Any:
        quoted = _NOT_BARE.fullmatch(text) or "  " in text  # a line broken between two spaces would lose one
        return self.represent_scalar("tag:yaml.org,2002:str", text, style='"' if quoted else None)


_Writer.add_representer(str, _Writer.text)


def _yaml(around: str) -> YAML:
    """A round-trip writer that indents lists as the text around does."""
    yaml = YAML()
    yaml.Representer = _Writer
    yaml.preserve_quotes = True
    yaml.width = WIDTH
    yaml.allow_unicode = True
    if not _FLUSH_LIST.search(around):
        yaml.indent(mapping=2, sequence=4, offset=2)
    return yaml


def _dumped(yaml: YAML, value: Any) -> str:
    out = StringIO()
    yaml.dump(value, out)
    return out.getvalue()
