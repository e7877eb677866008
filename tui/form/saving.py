"""Putting a finished draft into a library: one tidy file, written whole; what is there already is never lost unsaid."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import typed_path
from arclore.engine.library.stack import BUILT_IN, Library, load_layers, personal_folder
from arclore.engine.upkeep.entry_file import EditError
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import history_of, me
from arclore.engine.upkeep.layers import BUILT_IN_ID, LayerError, library_id, read_layers
from arclore.engine.upkeep.new_entry import FIXED, AuthorError, Desk
from arclore.tui.form.draft import Draft
from arclore.tui.form.fields import ordered

LONGEST_NAME = 60  # characters of a file name made from a title
SMALL = frozenset({"a", "an", "and", "at", "in", "is", "must", "of", "on", "or", "so", "that", "the", "to"})


class SaveError(Exception):
    """A draft that could not be saved; the text is one line that says what to do, and nothing was written."""


class OvertakenError(SaveError):
    """A changed entry whose file is no longer what it was when the form opened on it."""


def save(draft: Draft, laid: Sequence[Path], over: bool = False) -> Path:
    """Write the draft into its folder and return the file. ``laid``: the folders that the desk reads, lowest first.

    Raises SaveError; without ``over`` OvertakenError where a changed entry is no longer what it was when the form
    opened on it.
    """
    folder = typed_path(draft.folder)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        folder = Path(os.path.realpath(folder))
        library = load_layers([BUILT_IN, *below(folder, laid), folder])
        desk = Desk(folder, library, history_of(folder), draft.writer.strip())
        return _written(draft, desk, library, over)
    except AuthorError as error:
        row = next(iter(error.rows), None)
        raise SaveError(f"{error}: {row.message}" if row else str(error)) from None
    except (EditError, GitError, LayerError) as error:
        raise SaveError(str(error)) from None
    except OSError as error:
        raise SaveError(f"{draft.folder}: {error.strerror or error}; choose another library folder") from None


def below(folder: Path, laid: Sequence[Path]) -> list[Path]:
    """The folders that lie under this one: those before it, or all where it is not among them."""
    real = [Path(os.path.realpath(each)) for each in laid]
    return real[: real.index(folder)] if folder in real else real


def file_of(draft: Draft, library: Library) -> Path | None:
    """The file that a change would be written into, where it stands in the draft's folder already."""
    document = library.documents.get((draft.kind, draft.source)) if draft.changing else None
    folder = os.path.realpath(typed_path(draft.folder))
    inside = document is not None and Path(os.path.realpath(document.path)).is_relative_to(folder)
    return document.path if document is not None and inside else None


def places(laid: Sequence[Path]) -> list[tuple[str, str]]:
    """Folders that an entry may be kept in, with what they are: the coach's own first, then all that are laid."""
    names = {layer.folder: layer.name for layer in read_layers()[0]}
    own = personal_folder()
    rest = [folder for folder in laid if os.path.realpath(folder) != os.path.realpath(own)]
    return [(str(own), "your own library"), *((str(each), names.get(each, "a shared library")) for each in rest)]


def name_of(title: str, folder: str) -> str:
    """A file name for a title; in a shared library it begins with that library's name."""
    words = re.findall(r"[a-z0-9]+", title.lower())
    name = "-".join([word for word in words if word not in SMALL] or words)
    if len(name) > LONGEST_NAME:
        name = name[:LONGEST_NAME].rpartition("-")[0] or name[:LONGEST_NAME]
    try:
        space = library_id(typed_path(folder)) if folder else BUILT_IN_ID
    except LayerError:
        space = BUILT_IN_ID
    return name if space == BUILT_IN_ID or not name else f"{space}-{name}"


def usual_writer(library: Library) -> str:
    """Who writes, as git knows them, else as the coach's own entries say; "" where neither does."""
    own = [key for key, origin in library.origin.items() if origin == personal_folder()]
    known = me(Path.home())
    return known.name if known else next((str(library.documents[key].value["author"]) for key in own), "")


def _written(draft: Draft, desk: Desk, library: Library, over: bool) -> Path:
    entry = {name: value for name, value in ordered(draft.kind, draft.entry).items() if name not in (*FIXED, "author")}
    if draft.way == "new" or (draft.kind, draft.source) not in library.documents:
        if draft.changing:
            raise SaveError(f"{draft.source} is no longer in the libraries under {draft.folder}: choose another folder")
        return desk.new(draft.kind, draft.id, entry)[0]
    changes = _changes(draft, entry)
    if not draft.changing:
        return desk.copy(draft.kind, draft.source, draft.id, changes)
    now = library.documents[draft.kind, draft.source].value
    if now != draft.base and not over:
        told = "its file was changed by another program since: save once more to put your fields over it"
        raise OvertakenError(told)
    return desk.amend(draft.kind, draft.source, changes)


def _changes(draft: Draft, entry: dict[str, Any]) -> dict[str, Any]:
    """The fields that differ from the entry copied or changed, None for those taken out."""
    kept = ("author", "authors", "retired", *FIXED)
    gone = {name: None for name in draft.base if name not in entry and name not in kept}
    return {name: value for name, value in entry.items() if draft.base.get(name) != value} | gone
