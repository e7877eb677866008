"""Two libraries side by side: what was added, changed field by field, retired."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import KIND_OF_FILE, KIND_OF_FOLDER, Place, Tree
from arclore.engine.library.once import Once
from arclore.engine.library.problems import shortened
from arclore.engine.library.read import MAX_BYTES, read_content
from arclore.engine.library.stack import BUILT_IN, Key, Library, load_layers
from arclore.engine.upkeep import git
from arclore.engine.upkeep.layers import BUILT_IN_ID, LayerError, library_id, sound_settings

GROUPS = ("added", "changed", "retired", "removed")
FILES = re.compile(rf"(?:{'|'.join(KIND_OF_FOLDER)})/[a-z0-9-]+\.yaml|{'|'.join(map(re.escape, KIND_OF_FILE))}")


def opened(name: str, repository: Path, once: Once | None = None) -> Library:
    """The library of a folder, or of a git revision of the folder ``repository``, over the built-in one.

    once: what reads it, given for two that are compared. Raises LayerError where there is neither.
    """
    if name and Path(name).is_dir():
        folder = Path(os.path.realpath(name))
        own_id = library_id(folder) if (folder / "library.yaml").is_file() else ""
        return _loaded(folder, own_id, once)
    try:
        files = git.files_at(repository, name, FILES, MAX_BYTES)
    except git.GitError as error:
        raise LayerError(f"{shortened(name, 60)!r} is no folder, and {error}") from None
    return _loaded(Tree(Path(name), files), _id_at(Path(name), files), once)


def _id_at(root: Path, files: Mapping[str, bytes]) -> str:
    """The id in the ``library.yaml`` among these files; empty where there is none. Raises LayerError."""
    name = "library.yaml"
    return str(sound_settings(*read_content(root / name, files[name]))["id"]) if name in files else ""


def _loaded(place: Place, own_id: str, once: Once | None) -> Library:
    return load_layers([place] if own_id == BUILT_IN_ID else [BUILT_IN, place], once)


def differences(a: Library, b: Library) -> dict[str, list[dict[str, Any]]]:
    """What differs, as plain data in order of kind and id; the settings of a library count as one entry of it."""
    ours, theirs = _contents(a), _contents(b)
    found: dict[str, list[dict[str, Any]]] = {group: [] for group in GROUPS}
    for key in sorted({*ours, *theirs}):
        was, now = ours.get(key), theirs.get(key)
        row = {"kind": key[0], "id": key[1], "title": str((now or was or {}).get("title", ""))}
        if was is None:
            found["added"].append(row)
        elif now is None:
            found["removed"].append(row)
        elif was is not now and was != now:
            if "retired" in now and "retired" not in was:
                retired = now["retired"]
                about = {"reason": retired["reason"], "replaced_by": list(retired.get("replaced_by", ()))}
                found["retired"].append({**row, **about})
            fields = [change for change in _changes(was, now, "") if change["field"].split(".")[0] != "retired"]
            if fields or "retired" in was:
                found["changed"].append({**row, "fields": fields or list(_changes(was, now, ""))})
    return found


def _contents(library: Library) -> dict[Key, Mapping[str, Any]]:
    entries: dict[Key, Mapping[str, Any]] = {key: document.value for key, document in library.documents.items()}
    sources: dict[Key, Mapping[str, Any]] = {("source", name): value for name, value in library.sources.items()}
    return {**entries, **sources, ("library", "library"): library.settings}


def _changes(was: Any, now: Any, field: str) -> Iterator[dict[str, Any]]:
    """Each field that differs; a side that lacks the field has no ``was`` or ``is``.

    Mappings are entered, and lists of as many items, whose places count from 1.
    """
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys([*was, *now]):
            inner = f"{field}.{name}" if field else str(name)
            if name not in was:
                yield {"field": inner, "is": now[name]}
            elif name not in now:
                yield {"field": inner, "was": was[name]}
            else:
                yield from _changes(was[name], now[name], inner)
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for place, pair in enumerate(zip(was, now, strict=True), start=1):
            yield from _changes(*pair, f"{field}.{place}")
    elif was != now:
        yield {"field": field, "was": was, "is": now}
