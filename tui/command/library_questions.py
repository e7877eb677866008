"""The fields of a new entry asked one by one at a terminal, each answer checked before the next question."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import Any

from arclore.engine.library.problems import Problem, nearest, printable
from arclore.engine.upkeep.new_entry import FIXED, field_rows, field_schemas

HOW = "Answer each question; an empty line leaves it for later, and Ctrl-D all the rest."
YES_NO = {"yes": True, "y": True, "no": False, "n": False}


class _SkipError(Exception):
    """An answer that was left for later."""


def ask(kind: str, known: Mapping[str, Any]) -> dict[str, Any]:
    """Ask what a new entry of the kind needs and ``known`` has not; returns ``known`` with the answers."""
    entry = dict(known)
    print(HOW, file=sys.stderr)
    try:
        for name, schema in field_schemas(kind).items():
            if name not in (*FIXED, "author", *known):
                _field(kind, name, schema, entry)
    except EOFError:
        print(file=sys.stderr)
    return entry


def _field(kind: str, name: str, schema: Mapping[str, Any], entry: dict[str, Any]) -> None:
    """Ask for one field until it is right or left for later."""
    print(f"\n{_words(name, schema)}{_about(schema)}", file=sys.stderr)
    while True:
        try:
            value = _value(schema, "")
        except _SkipError:
            return
        rows = field_rows(kind, name, value)
        if not rows:
            entry[name] = value
            return
        for row in rows:
            print(_told(row), file=sys.stderr)


def _value(schema: Mapping[str, Any], label: str) -> Any:
    """What is typed for a schema: asked part by part where it has parts. Raises _SkipError for an empty answer."""
    kind = schema.get("type")
    if kind == "object":
        parts = {name: schema["properties"][name] for name in schema.get("required", ())}
        return {name: _value(part, f"  {_words(name, part)}{_about(part)}") for name, part in parts.items()}
    if kind == "array":
        return _items(schema, label)
    while True:
        typed = input(f"{label}> ").strip()
        if not typed:
            raise _SkipError
        value = _plain(schema, typed)
        if value is not None:
            return value


def _items(schema: Mapping[str, Any], label: str) -> list[Any]:
    """Items one by one until an empty line; the word none is an empty list."""
    inner: Mapping[str, Any] = schema.get("items", {})
    items: list[Any] = []
    choices = inner.get("enum")
    if label:
        print(label, file=sys.stderr)
    while len(items) < schema.get("maxItems", 60):
        try:
            item = _value(inner, f"  {len(items) + 1}")
        except _SkipError:
            break
        if item == "none" and not items and not (choices and "none" in choices):
            return []
        items.append(item)
    if not items:
        raise _SkipError
    return items


def _plain(schema: Mapping[str, Any], typed: str) -> Any:
    """The value of one typed line, or None after saying what is wrong with it."""
    kind, choices = schema.get("type"), schema.get("enum")
    if choices:
        if typed in choices or typed == "none":
            return typed
        near = nearest(typed, map(str, choices))
        print(f"  not one of them{f'; nearest: {near}' if near else ''}", file=sys.stderr)
    elif kind == "boolean":
        if typed.lower() in YES_NO:
            return YES_NO[typed.lower()]
        print("  yes or no?", file=sys.stderr)
    elif kind in ("number", "integer"):
        try:
            number = float(typed)
            return int(number) if number == int(number) else number
        except (ValueError, OverflowError):
            print("  a number, as 8 or 2.5", file=sys.stderr)
    else:
        return typed
    return None


def _words(name: str, schema: Mapping[str, Any]) -> str:
    return printable(schema.get("title") or name.replace("_", " "))


def _about(schema: Mapping[str, Any]) -> str:
    """What a schema wants, in brackets."""
    many = schema.get("type") == "array"
    inner = schema.get("items", {}) if many else schema
    choices = ", ".join(map(str, inner.get("enum", ())))
    said = [schema.get("description", ""), f"of: {choices}" if choices else "", "one a line, or none" if many else ""]
    if inner.get("type") == "boolean":
        said.append("yes or no")
    return "".join(f" ({printable(text)})" for text in said if text)


def _told(row: Problem) -> str:
    hint = f" ({row.hint})" if row.hint else ""
    return printable(f"  {row.field}: {row.message}{hint}")
