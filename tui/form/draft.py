"""An entry that is being written: what was typed so far, and where it is to go. Nothing typed is ever dropped."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from arclore.engine.library.read import Document
from arclore.engine.library.schema import validator
from arclore.tui.form.fields import KINDS

WAYS = ("new", "copy", "change")
VERSION = 1
NEED_NOTHING = ("sources", "kit")  # lists that stand empty in an entry for which nothing is named


@dataclass
class Draft:
    """``entry`` is the entry as it would be written, numbers that are none yet as text.

    ``way``: a new entry, a copy of ``source``, or a change of ``source``, which read as ``base`` when it was opened.
    """

    kind: str
    way: str = "new"
    source: str = ""
    entry: dict[str, Any] = field(default_factory=dict)
    base: dict[str, Any] = field(default_factory=dict)
    writer: str = ""
    folder: str = ""
    named: bool = False  # whether the file's name was typed, and no longer follows the title

    @property
    def changing(self) -> bool:
        return self.way == "change"

    @property
    def id(self) -> str:
        return str(self.entry.get("id", ""))

    @property
    def begun(self) -> bool:
        """Whether there is anything that would be a loss."""
        same = {key: value for key, value in self.entry.items() if key != "id"}
        return same != {key: value for key, value in self.start().items() if key != "id"}

    def start(self) -> dict[str, Any]:
        """The entry as the form opened on it."""
        if self.way == "new":  # who must not do it is asked even where nobody is kept from it
            return {name: [] for name in NEED_NOTHING if name in validator(self.kind).schema["required"]}  # type: ignore[index]
        kept = deepcopy(self.base)
        if self.way == "copy":
            for name in ("id", "author", "authors", "retired"):
                kept.pop(name, None)
        return kept

    def document(self) -> Document:
        """The entry as a file that is not written yet, with no places in it."""
        author = self.entry.get("author") if self.changing else self.writer
        whole = {"schema": 1, "kind": self.kind, **self.entry, "author": author or "?"}
        return Document(Path(self.folder or ".") / f"{self.kind}s" / f"{self.id or 'new'}.yaml", whole, {})


def begin(
    kind: str, way: str = "new", base: Mapping[str, Any] | None = None, writer: str = "", folder: str = ""
) -> Draft:
    """A draft as a form opens on it; ``base`` is the entry that is copied or changed."""
    given = deepcopy(dict(base or {}))
    draft = Draft(kind, way, str(given.get("id", "")), {}, given, writer, folder)
    draft.entry = draft.start()
    return draft


def to_json(draft: Draft) -> dict[str, Any]:
    """The draft as plain data."""
    return {"draft": VERSION, **asdict(draft)}


def from_json(value: Any) -> Draft:
    """The draft that was written so. Raises ValueError for anything else."""
    if not isinstance(value, dict) or value.get("draft") != VERSION:
        raise ValueError("not a draft of this version")
    given = {name: item for name, item in value.items() if name != "draft"}
    empty = asdict(Draft(""))
    if set(given) != set(empty) or any(type(given[name]) is not type(empty[name]) for name in empty):
        raise ValueError("a draft with fields that are not known")
    if given["way"] not in WAYS or given["kind"] not in KINDS:
        raise ValueError("a draft of something that is not known")
    return Draft(**given)
