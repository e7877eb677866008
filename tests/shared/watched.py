"""Every place in the file system that this program changes while it is watched, by Python's own audit events."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_CHANGES = {  # the event, and which of its arguments are the paths that it changes
    "os.mkdir": (0,), "os.rename": (0, 1), "os.remove": (0,), "os.rmdir": (0,), "os.link": (1,), "os.symlink": (1,),
    "os.chmod": (0,), "os.chown": (0,), "os.truncate": (0,), "os.utime": (0,), "os.setxattr": (0,),
}  # fmt: skip
_watchers: list[list[Path]] = []


def _seen(event: str, arguments: tuple[Any, ...]) -> None:
    if not _watchers:
        return
    if event == "open":
        path, _, flags = arguments
        changed = [path] if isinstance(flags, int) and flags & _WRITES else []
    else:
        changed = [arguments[place] for place in _CHANGES.get(event, ())]
    named = [os.fsdecode(path) for path in changed if isinstance(path, str | bytes | os.PathLike)]
    paths = [Path(os.path.normpath(Path.cwd() / name)) for name in named]
    for watcher in _watchers:
        watcher.extend(paths)


@contextmanager
def changed_paths() -> Iterator[list[Path]]:
    """The paths that are opened for writing, made, moved, linked or taken away inside."""
    if not getattr(sys, "_arclore_watched", False):  # an audit hook can't be taken out: one for all
        sys.addaudithook(_seen)
        sys._arclore_watched = True  # type: ignore[attr-defined]
    found: list[Path] = []
    _watchers.append(found)
    try:
        yield found
    finally:
        _watchers.remove(found)
