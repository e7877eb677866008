"""Who may sign: the list that a library names, guarded by those on it.

The first list that is committed is taken as it is. From then on whoever changes it, or what ``library.yaml`` says of
it, must be on the list that stands and sign the commit; until someone on it does, the list that stood before counts.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from arclore.engine.library.read import read_yaml
from arclore.engine.upkeep import git
from arclore.engine.upkeep.changes import Change, stands

SETTING = "signers"  # in library.yaml: the name of the file beside it
SETTINGS_FILE = "library.yaml"
Signed = Callable[[str, bytes], bool]


@dataclass(frozen=True)
class Signers:
    """The list that counts, and the last commit that tried to change it and was not signed by anyone on it."""

    listed: bytes
    refused: str = ""


def named_list(settings: str | Path) -> str | None:
    """The list that a ``library.yaml``, or the text of one, names, None where it names none.

    What can't be read may have named one: its list has no name.
    """
    document, _ = read_yaml(settings)
    if document is None:
        return ""
    if SETTING not in document.value:
        return None
    name: Any = document.value[SETTING]
    return name if isinstance(name, str) else ""


def signers_of(folder: Path, changes: Sequence[Change], signed: Signed) -> Signers | None:
    """The signers of a library folder by the changes of the files at its top, or None where it never named any.

    ``signed`` tells whether a commit is signed by someone on a list. Raises GitError where it can't tell.
    """
    texts = _contents(folder, [change for change in changes if SETTINGS_FILE in (change.old, change.new)])
    names = {SETTINGS_FILE, *filter(None, map(named_list, (_text(data) for data in texts.values())))}
    of_these = [change for change in changes if {change.old, change.new} & names]
    data = _contents(folder, of_these)
    files: dict[str, bytes] = {}
    standing: tuple[str, bytes] | None = None
    wanted: tuple[str, bytes] | None = None
    refused = ""
    for commit, together in groupby(of_these, key=lambda change: change.commit):
        for change in together:
            files.pop(change.old if change.renamed else change.new, None)
            if stands(change.after):
                files[change.new] = data.get(change.after, b"")
        wanted = _wanted(files)
        if wanted == standing:
            refused = ""
        elif standing is None:
            standing = wanted if wanted and wanted[1] else None
        elif signed(commit, standing[1]):
            standing, refused = wanted, ""
        else:
            refused = commit
    if standing is None:
        return Signers(b"") if wanted else None
    return Signers(standing[1], refused)


def _wanted(files: dict[str, bytes]) -> tuple[str, bytes] | None:
    """The name and content of the list that these files ask for."""
    name = named_list(_text(files[SETTINGS_FILE])) if SETTINGS_FILE in files else None
    return None if name is None else (name, files.get(name, b""))


def _contents(folder: Path, changes: Sequence[Change]) -> dict[str, bytes]:
    names = [change.after for change in changes if stands(change.after)]
    return git.blobs(folder, names) if names else {}


def _text(data: bytes) -> str:
    return data.decode("utf-8", "replace")
