"""Strict YAML with positions: the one place where YAML is read.

A library file is one plain mapping. Of YAML's many spellings few are kept, so that a file means what it seems
to mean: text, ``null``, ``true`` and ``false``, decimal numbers; no anchors, aliases, tags, second document,
repeated key, invisible character. Everything else is a problem row with its line and column.
"""

from __future__ import annotations

import math
import os
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml
from arclore.engine.library.problems import Problem, shortened

MAX_BYTES = 1_000_000
MAX_DEPTH = 32
MAX_ROWS = 50  # of one file: enough to mend it by, few enough to read
FieldPath = tuple[str | int, ...]
Position = tuple[int, int]

_TAG = "tag:yaml.org,2002:"
_NUMBER_LENGTH = 40
_NULL = re.compile(r"null|~|", re.ASCII)
_BOOL = re.compile(r"true|false")
_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)")
_FLOAT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.?(?:nan|inf)", re.IGNORECASE)
_CONFLICT = re.compile(r"^<{7} ", re.MULTILINE)
_CUT = re.compile(r"[ \t]#[^ \t\n#]")
# Characters that are not what they seem: controls, odd spaces, format and direction characters, surrogates.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\xa0\xad\u0600-\u0605\u061c\u06dd\u070f\u1680\u180e\u2000-\u200f"
    "\u2028-\u202f\u205f-\u206f\u3000\ud800-\udfff\ufeff\ufff9-\ufffb\ufffe\uffff"
    "\U000110bd\U0001d173-\U0001d17a\U000e0000-\U000e007f]|\r(?!\n)|^[ ]*\t",
    re.MULTILINE,
)


class _Loader(yaml.CSafeLoader):
    """The C loader with only those implicit types whose spelling surprises nobody."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012 (as in the base)

    def resolve(self, kind: type[yaml.Node], value: str | None, implicit: tuple[bool, bool]) -> str:
        """The tag of what is written without one; the base looks for more, and takes twice as long."""
        if kind is not yaml.ScalarNode:
            return _TAG + ("map" if kind is yaml.MappingNode else "seq")
        if implicit[0]:
            text = value or ""
            for tag, pattern in self.yaml_implicit_resolvers.get(text[:1], ()):
                if pattern.match(text):
                    return tag
        return _TAG + "str"


for _name, _pattern, _first in (
    ("null", _NULL, ["n", "~", ""]),
    ("bool", _BOOL, ["t", "f"]),
    ("int", _INT, list("-+0123456789")),
    ("float", _FLOAT, list("-+0123456789")),
):
    _Loader.add_implicit_resolver(_TAG + _name, re.compile(rf"(?:{_pattern.pattern})\Z"), _first)


@dataclass(frozen=True)
class Document:
    """One file as read: its value and the position (line, column, from 1) of every field and item.

    ``base`` is the document whose fields lie under this one, where an overlay amends it.
    """

    path: Path
    value: dict[str, Any]
    positions: Mapping[FieldPath, Position] = field(repr=False)
    base: Document | None = field(default=None, repr=False)

    def at(self, field_path: FieldPath) -> Position:
        """Position of a field, or of the nearest field around it."""
        for end in range(len(field_path), 0, -1):
            found = self.positions.get(field_path[:end])
            if found:
                return found
        return self.positions.get((), (1, 1))

    def origin(self, field_path: FieldPath) -> Document:
        """The document in which the top field of the path is written: this one, or one it amends."""
        if self.base is None or not field_path or field_path[:1] in self.positions:
            return self
        return self.base.origin(field_path)

    def problem(self, field_path: FieldPath, code: str, message: str, hint: str = "") -> Problem:
        """A problem row at a field of this document, pointing into the file where the field is written."""
        source = self.origin(field_path)
        line, column = source.at(field_path)
        entry = self.value.get("id")
        return Problem(
            shown(source.path),
            line,
            column,
            code,
            message,
            hint,
            entry if isinstance(entry, str) else "",
            ".".join(str(part) for part in field_path),
        )


def shown(path: Path) -> str:
    """The path as a person would type it from here."""
    here, whole = os.getcwd(), str(path)  # noqa: PTH109 (rows of thousands of files: path objects take ten times as long)
    if whole == here:
        return "."
    return whole.removeprefix(here.rstrip(os.sep) + os.sep)


def read_yaml(source: Path | str, name: str = "-") -> tuple[Document | None, list[Problem]]:
    """Read one strict YAML document from a file (a Path) or from text (a str, called ``name`` in rows).

    Never raises for bad content: the document is None where the file can't be read as one plain mapping, and
    the sorted rows say why. A document may come with rows, of things that read otherwise than they look.
    """
    if isinstance(source, str):
        return _Reading(Path(name), source).document()
    data, problems = content(source)
    return (None, problems) if data is None else read_content(source, data)


def read_content(path: Path, data: bytes) -> tuple[Document | None, list[Problem]]:
    """Read what a file holds, as ``read_yaml`` does; ``path`` is how rows name it, nothing need stand there."""
    if len(data) > MAX_BYTES:
        return None, [_too_large(shown(path))]
    try:
        return _Reading(path, data.decode("utf-8")).document()
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line, column = before.count(b"\n") + 1, error.start - before.rfind(b"\n")
        message = f"byte 0x{data[error.start]:02x} is not UTF-8"
        return None, [Problem(shown(path), line, column, "encoding", message, "save the file as UTF-8")]


def content(path: Path) -> tuple[bytes | None, list[Problem]]:
    """What a regular file holds, as much as is ever looked at and one byte more, or the row that says why not."""
    name = shown(path)
    try:
        # A pipe would block for ever at open, so it is opened without waiting and refused.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                return None, [Problem(name, 1, 1, "not-a-file", "not a regular file", "give a YAML file")]
            return file.read(MAX_BYTES + 1), []
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        return None, [Problem(name, 1, 1, "unreadable", f"can't be read: {reason}", "check name and rights")]


def _too_large(name: str) -> Problem:
    return Problem(name, 1, 1, "too-large", f"more than {MAX_BYTES:,} bytes", "split it: one entry a file")


class _Reading:
    """The reading of one text: collects rows and positions on the way."""

    def __init__(self, path: Path, text: str) -> None:
        self.path = path
        self.name = shown(path)
        self.text = text.removeprefix("\ufeff")
        self.rows: list[Problem] = []
        self.positions: dict[FieldPath, Position] = {}
        self.unlisted = 0
        self.refused = False
        self.cuts = bool(_CUT.search(self.text))
        self.lines = self.text.split("\n") if self.cuts else []

    def document(self) -> tuple[Document | None, list[Problem]]:
        if len(self.text) > MAX_BYTES:
            return None, [_too_large(self.name)]
        self._unseen()
        node = None if self.refused else self._composed()
        value: Any = None
        if node is not None:
            self.positions[()] = _position(node)
            value = self._value(node, (), 0)
            if not self.refused and not isinstance(value, dict):
                self._row(
                    _position(node),
                    "not-a-mapping",
                    "the file is not a mapping",
                    "write `field: value` lines",
                )
        rows = sorted(self.rows)
        if self.unlisted:
            last = rows[-1]
            rows.append(
                Problem(self.name, last.line, last.column, "more", f"and {self.unlisted} more problems")
            )
        if self.refused or node is None:
            return None, rows
        return Document(self.path, value, self.positions), rows

    def _row(self, position: Position, code: str, message: str, hint: str = "", refuse: bool = True) -> None:
        self.refused = self.refused or refuse
        if len(self.rows) < MAX_ROWS:
            self.rows.append(Problem(self.name, *position, code, message, hint))
        else:
            self.unlisted += 1

    def _unseen(self) -> None:
        """Refuse characters that hide: they make two spellings look alike or a value end early."""
        line, start = 1, 0
        for found in _UNSEEN.finditer(self.text):
            at = found.end() - 1
            line += self.text.count("\n", start, at)
            start = at
            column = at - self.text.rfind("\n", 0, at)
            character = self.text[at]
            hint = "indent with spaces" if character == "\t" else "retype it, or write an escape in quotes"
            message = f"hidden character U+{ord(character):04X}"
            self._row((line, column), "character", message, hint)

    def _composed(self) -> yaml.Node | None:
        """The node tree of the one document, or None with the row that says why there is none."""
        try:
            # Only these characters can start what is refused, so most files are parsed once.
            if any(mark in self.text for mark in "&*!%"):
                self._refuse_references()
                if self.refused:
                    return None
            loader = _Loader(self.text)
            try:
                node = loader.get_single_node()
            finally:
                loader.dispose()
        except yaml.YAMLError as error:
            self._syntax(error)
            return None
        except (RecursionError, ValueError, UnicodeError) as error:
            self._row((1, 1), "syntax", f"not YAML: {shortened(error, 120)}")
            return None
        if node is None:
            self._row((1, 1), "empty", "the file holds no entry", "write the entry, or delete the file")
        return node

    def _refuse_references(self) -> None:
        for event in yaml.parse(self.text, Loader=_Loader):
            at = _position(event)
            anchor, tag = getattr(event, "anchor", None), getattr(event, "tag", None)
            if isinstance(event, yaml.AliasEvent):
                self._row(at, "alias", f"alias *{shortened(anchor, 40)}", "write the value out again")
            elif anchor:
                self._row(at, "anchor", f"anchor &{shortened(anchor, 40)}", "remove it, write values out")
            if tag:
                self._row(at, "tag", f"tag {shortened(tag, 60)}", "remove it, or quote the text")
            if isinstance(event, yaml.DocumentStartEvent) and (event.version or event.tags):
                self._row(at, "directive", "a % directive", "remove the line")

    def _syntax(self, error: yaml.YAMLError) -> None:
        torn = _CONFLICT.search(self.text)
        if torn:
            line = self.text.count("\n", 0, torn.start()) + 1
            message = "two versions stand here side by side, as git left them"
            self._row((line, 1), "conflict", message, "keep what holds of both, and delete the lines of marks")
            return
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        position = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        said = getattr(error, "problem", None) or getattr(error, "reason", None) or "not YAML"
        code, hint = "syntax", "check indentation, colons and quotes"
        if "document" in said and "another" in said:
            code, hint = "second-document", "one entry a file: remove the line `---`"
        elif "nesting" in said or "depth" in said:
            code, hint = "too-deep", f"at most {MAX_DEPTH} levels"
        self._row(position, code, shortened(said, 160), hint)

    def _value(self, node: yaml.Node, path: FieldPath, depth: int) -> Any:
        """The plain value of a node; keeps the position of everything inside it."""
        if isinstance(node, yaml.ScalarNode):
            return self._scalar(node)
        if depth >= MAX_DEPTH:
            self._row(_position(node), "too-deep", f"more than {MAX_DEPTH} levels", "flatten it")
            return None
        if isinstance(node, yaml.SequenceNode):
            items = []
            for index, child in enumerate(node.value):
                where = (*path, index)
                self.positions[where] = _position(child)
                items.append(self._value(child, where, depth + 1))
            return items
        return self._mapping(node, path, depth)

    def _mapping(self, node: yaml.Node, path: FieldPath, depth: int) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for key, child in node.value:
            at = _position(key)
            if key.tag != _TAG + "str" or not isinstance(key, yaml.ScalarNode):
                seen = shortened(key.value, 40) if isinstance(key, yaml.ScalarNode) else "a list or mapping"
                self._row(at, "key", f"the key {seen!r} is not text", "put it in quotes, or use a word")
                continue
            name = key.value
            where = (*path, name)
            if name in values:
                first = self.positions[where][0]
                message = f"the key {shortened(name, 60)!r} is written twice, first in line {first}"
                self._row(at, "duplicate-key", message, "keep one of the two")
                continue
            self.positions[where] = at
            if self.cuts:
                self._cut(key)
            values[name] = self._value(child, where, depth + 1)
        return values

    def _scalar(self, node: yaml.ScalarNode) -> Any:
        if self.cuts:
            self._cut(node)
        text: str = node.value
        if node.tag == _TAG + "str":
            if not node.style and _NOT_FINITE.fullmatch(text):
                self._row(
                    _position(node), "number", f"{text} is not a number", "give a finite number, or quote it"
                )
            return text
        if node.tag == _TAG + "null":
            return None
        if node.tag == _TAG + "bool":
            return text == "true"
        number: float = math.inf
        if len(text) <= _NUMBER_LENGTH:
            number = int(text) if node.tag == _TAG + "int" else float(text)
        if not math.isfinite(number):
            self._row(
                _position(node), "number", f"{shortened(text, 40)} is too large a number", "check the digits"
            )
        return number

    def _cut(self, node: yaml.ScalarNode) -> None:
        """Warn where a value was cut by ` #` that hardly begins a comment, as in ``swing #2``."""
        if node.style or not node.value:
            return
        end: Any = node.end_mark
        rest = self.lines[end.line][end.column :]
        if _CUT.match(rest):
            at = end.line + 1, end.column + 2
            message = f"the value ends before {shortened(rest.strip(), 30)!r}"
            self._row(at, "comment", message, "quote the value, or put a space after the #", refuse=False)


def _position(node: Any) -> Position:
    """Where a node or an event starts, counted from 1."""
    mark = node.start_mark
    return mark.line + 1, mark.column + 1
