"""What was worked out once, kept on this computer by what it was worked out from.

A result stands in a file of its own under its name and the digest of its key, of the engine and of what the engine
runs on, so that nothing old is ever found. Whatever is not whole, not this user's own or open to others' writing is
passed over. Only what a library says belongs here, nothing of a lesson.
"""

from __future__ import annotations

import functools
import hashlib
import json
import os
import stat
import sys
from collections.abc import Callable, Iterator
from importlib import metadata
from pathlib import Path
from typing import Any

import platformdirs
from arclore.engine.library.atomic import write_text

ENGINE = Path(__file__).parents[1]
MOST_BYTES = 64_000_000  # of all files together
MOST_BYTES_OF_ONE = 8_000_000
_RUNS_ON = ("numpy", "scipy", "pyyaml", "jsonschema-rs", "networkx")


class Cache:
    """Results in a folder; without one nothing is kept and everything is worked out."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._tidied = False

    def kept(self, name: str, key: Any, compute: Callable[[], Any]) -> Any:
        """The result for a key, worked out where it is not kept yet.

        ``name`` is a plain word for what is worked out; ``key``, plain JSON data, tells all that the result depends
        on but the engine. The result is plain JSON data too, and comes back as JSON reads it: tuples as lists.
        """
        value = self.found(name, key)
        return self.keep(name, key, compute()) if value is None else value

    def found(self, name: str, key: Any) -> Any:
        """The result kept for a key, as in ``kept``; None where there is none."""
        if self._folder is None:
            return None
        path = self._path(name, key)
        try:
            return _read(path, path.name)
        except (OSError, ValueError):
            return None

    def keep(self, name: str, key: Any, value: Any) -> Any:
        """Keep a result for a key, as in ``kept``; return it as it will come back."""
        if self._folder is None:
            return json.loads(json.dumps(value, allow_nan=False))
        path = self._path(name, key)
        return self._written(path, path.name, value)

    def _path(self, name: str, key: Any) -> Path:
        assert self._folder is not None
        return self._folder / name / _digest(json.dumps([name, key, engine_digest()], sort_keys=True).encode("utf-8"))

    def _written(self, path: Path, wanted: str, value: Any) -> Any:
        text = json.dumps(value, allow_nan=False)
        if len(text) <= MOST_BYTES_OF_ONE:
            try:
                if _is_own(path.parent.parent, missing=True) and _is_own(path.parent, missing=True):
                    self._tidy()
                    write_text(path, f"{wanted} {_digest(text.encode('utf-8'))}\n{text}", lasting=False)
            except OSError:  # a full disk, or a folder that can't be written: it is worked out anew next time
                pass
        return json.loads(text)

    def _tidy(self) -> None:
        """Once for each run, before the first result is written: drop the longest unused above the limit."""
        if self._tidied or self._folder is None:
            return
        self._tidied = True
        room = MOST_BYTES
        for path, about in sorted(_files(self._folder), key=lambda each: -each[1].st_mtime):
            room -= about.st_size
            if room < 0:
                path.unlink(missing_ok=True)


NO_CACHE = Cache(None)


def user_cache() -> Cache:
    """The cache of whoever runs this (in ``XDG_CACHE_HOME`` where that is set)."""
    return Cache(Path(platformdirs.user_cache_dir("arclore", appauthor=False)) / "results")


@functools.cache
def engine_digest() -> str:
    """The digest of all that works a result out: the engine's own text, its schemas, and what it runs on."""
    found = hashlib.sha256(sys.version.encode("utf-8"))
    for name in _RUNS_ON:
        found.update(f"{name} {metadata.version(name)}\0".encode())
    for folder, ending in ((ENGINE, "*.py"), (ENGINE.parent / "schemas", "*.json")):
        for path in sorted(folder.rglob(ending)):
            data = path.read_bytes()
            found.update(f"{path.relative_to(folder)} {len(data)}\0".encode())
            found.update(data)
    return found.hexdigest()


def _read(path: Path, wanted: str) -> Any:
    """The result in a file. Raises OSError or ValueError where it is not there, not whole or not this user's own."""
    if not (_is_own(path.parent.parent) and _is_own(path.parent)):
        raise ValueError("not this user's own")
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode) or not _of_this_user(os.fstat(handle)):
            raise ValueError("not this user's own")
        head, _, text = file.read(MOST_BYTES_OF_ONE + 200).partition(b"\n")
    if head != f"{wanted} {_digest(text)}".encode():
        raise ValueError("not what was written")
    os.utime(path)  # used again: it is the last to go
    return json.loads(text)


def _is_own(folder: Path, missing: bool = False) -> bool:
    """Whether a folder is this user's own and nobody else writes in it."""
    try:
        about = folder.lstat()
    except FileNotFoundError:
        return missing
    return stat.S_ISDIR(about.st_mode) and _of_this_user(about)


def _of_this_user(about: os.stat_result) -> bool:
    mine = not hasattr(os, "getuid") or about.st_uid == os.getuid()
    return mine and (os.name == "nt" or not about.st_mode & (stat.S_IWGRP | stat.S_IWOTH))


def _files(folder: Path) -> Iterator[tuple[Path, os.stat_result]]:
    for path in folder.glob("*/*"):
        try:
            yield path, path.lstat()
        except OSError:  # another run dropped it
            continue


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
