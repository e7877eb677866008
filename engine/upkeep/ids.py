"""Ids are for ever: what stood under one is retired, not taken out, and never gives way to something else.

What comes back may be retired at once: whether it is, and who wrote it, is no part of what it stands for.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path, PurePosixPath

from arclore.engine.library.folder import KIND_OF_FOLDER
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import read_yaml, shown
from arclore.engine.upkeep.changes import Change, contents, is_entry, stands
from arclore.engine.upkeep.digest import digest_without

ASIDE = frozenset({"retired", "author", "authors"})


def id_rows(folder: Path, changes: Iterable[Change]) -> tuple[list[Problem], list[Problem]]:
    """Problems, of ids that came to mean something else, and hints, of ids that were taken out of a library folder."""
    gone, commits, again = _lives(changes)
    now = {path: _digest(folder / path) for path in gone if (folder / path).is_file()}
    known = contents(folder, [*gone.values(), *(name for pair in again.values() for name in pair)], ASIDE)
    reused = {path for path, content in now.items() if content != known.get(gone[path])}
    reused |= {path for path, (old, new) in again.items() if known.get(old) != known.get(new)}
    missing = sorted({*gone} - {*now})
    return [_reused(folder, path) for path in sorted(reused)], [_gone(folder, path, commits[path]) for path in missing]


def _lives(changes: Iterable[Change]) -> tuple[dict[str, str], dict[str, str], dict[str, tuple[str, str]]]:
    """What stood under each path that was taken out, in which commit, and old and new content of what came back."""
    gone: dict[str, str] = {}
    commits: dict[str, str] = {}
    again: dict[str, tuple[str, str]] = {}
    for change in changes:
        if is_entry(change.old) and (change.renamed or not stands(change.after)):
            gone[change.old], commits[change.old] = change.before[0], change.commit
        if is_entry(change.new) and stands(change.after) and change.new in gone:
            again[change.new] = gone.pop(change.new), change.after
    return gone, commits, again


def _digest(path: Path) -> str:
    document, _ = read_yaml(path)
    return digest_without(document.value, ASIDE) if document else ""


def _words(path: str) -> str:
    parts = PurePosixPath(path)
    return f"{KIND_OF_FOLDER[parts.parts[0]]} {parts.stem!r}"


def _reused(folder: Path, path: str) -> Problem:
    message = f"{_words(path)} stood for something else before it was taken out"
    return Problem(shown(folder / path), 1, 1, "reused-id", message, "give this one another id: none is used again")


def _gone(folder: Path, path: str, commit: str) -> Problem:
    message = f"{_words(path)} stood here once, and old cases may name it"
    hint = f"bring it back, git checkout {commit[:10]}^ -- {path}, and retire it, arclore library retire"
    return Problem(shown(folder / path), 1, 1, "gone-id", message, hint)
