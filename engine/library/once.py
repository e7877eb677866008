"""Files and entries that are the same in several libraries are read, and checked, once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from arclore.engine.library.problems import Problem
from arclore.engine.library.read import Document, content, read_content, read_yaml

Rows = list[Problem]


class Once:
    """Reads files. shares: whether what they hold is remembered, for those who read more than one library.

    Documents of the same content share their value, in which nobody may write.
    """

    def __init__(self, shares: bool = False) -> None:
        self._shares = shares
        self._read: dict[bytes, Document] = {}
        self._sound: dict[tuple[int, str], Any] = {}

    def read(self, path: Path, data: bytes | None = None) -> tuple[Document | None, Rows]:
        """The document of a file as ``read_yaml`` gives it; ``data``: what the file holds, where that is known."""
        if not self._shares:
            return read_yaml(path) if data is None else read_content(path, data)
        if data is None:
            data, rows = content(path)
            if data is None:
                return None, rows
        if data in self._read:
            return replace(self._read[data], path=path), []
        document, rows = read_content(path, data)
        if document is not None and not rows:  # a row names its file
            self._read[data] = document
        return document, rows

    def checked(self, document: Document, kind: str, check: Callable[[Document, str], Rows]) -> Rows:
        """The rows that ``check`` finds in a document of a kind; it is not asked again about what it found sound."""
        key = (id(document.value), kind)
        if key in self._sound:
            return []
        rows = check(document, kind)
        if self._shares and not rows:
            self._sound[key] = document.value  # held, so that no other value takes its place in memory
        return rows
