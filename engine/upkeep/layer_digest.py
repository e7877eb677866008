"""The digest of all that a library's layers hold as it stands on the disk: found far sooner than they are read."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path

from arclore.engine.library.folder import KIND_OF_FOLDER, REVIEWS
from arclore.engine.library.read import MAX_BYTES


def digest_of_layers(layers: Sequence[Path]) -> str:
    """One digest of the names, kinds and contents of all files that are looked at when these folders are checked.

    What is missing, or can't be read, is so by its digest too; nothing raises.
    """
    found = hashlib.sha256()
    for layer in layers:
        for part in _parts(os.path.realpath(layer), deeper=True):
            found.update(part)
        found.update(b"\0layer\0")
    return found.hexdigest()


def _parts(folder: str, deeper: bool) -> Iterator[bytes]:
    """Name, kind and content of each thing in a folder; deeper: of the folders of entries and reviews in it too."""
    try:
        with os.scandir(folder) as found:
            items = sorted(found, key=lambda item: item.name)
    except OSError as error:
        yield f"\0{error.errno}".encode()
        return
    for item in items:
        kind = stat.S_IFMT(item.stat(follow_symlinks=False).st_mode)
        yield f"{item.name}\0{kind}\0".encode("utf-8", "surrogatepass")
        if stat.S_ISREG(kind):
            yield hashlib.sha256(_content(item.path)).digest()
        elif deeper and stat.S_ISDIR(kind) and item.name in (*KIND_OF_FOLDER, REVIEWS):
            yield from _parts(item.path, deeper=False)
        yield b"\0end\0"


def _content(path: str) -> bytes:
    """As much of a file as is ever looked at, and one byte more."""
    try:
        with open(path, "rb") as file:  # noqa: PTH123 (a path object for each of ten thousand files takes as long again)
            return file.read(MAX_BYTES + 1)
    except OSError as error:
        return f"\0{error.errno}".encode()
