"""Who wrote each file of a library folder, by git or by the record that came with a release.

A commit that changes only the layout or the comments of an entry writes none of its content, and so makes nobody
its author. A review is by whoever brought it as it stands.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from arclore.engine.upkeep import git
from arclore.engine.upkeep.changes import PARTS, Change, changes_of, digests_of, last_commit
from arclore.engine.upkeep.kept_reviews import kept_reviews, spoiled_reviews
from arclore.engine.upkeep.layers import shared_home
from arclore.engine.upkeep.people import Person, person

MOST_RECORD_BYTES = 20_000_000
RECORD = "release.json"  # of an installed release, beside its library.yaml


@dataclass(frozen=True)
class History:
    """What is known of a folder's files; paths are relative to it, with forward slashes.

    ``writers`` names everyone who ever changed a file's content. ``settled`` holds the files that stand as they
    were committed. ``kind`` is git, release or none. ``whole`` is False where the history was cut short.
    The rest is of reviews: ``commits`` names the one that brought a review as it stands, ``carriers`` who brought it in
    for another, ``signers`` who signed it, as a release tells it, ``spoiled`` why it is not as its reviewer left it.
    ``top`` holds the changes of files at the top of the folder.
    """

    kind: str = "none"
    writers: dict[str, frozenset[Person]] = field(default_factory=dict)
    settled: frozenset[str] = frozenset()
    whole: bool = True
    commits: dict[str, str] = field(default_factory=dict)
    carriers: dict[str, Person] = field(default_factory=dict)
    signers: dict[str, str] = field(default_factory=dict)
    spoiled: dict[str, str] = field(default_factory=dict)
    top: tuple[Change, ...] = ()


def history_of(folder: Path) -> History:
    """The history of a library folder. Raises GitError where git is there and can't tell it.

    A record is taken at its word only where a release was verified and installed: anyone can put one in a folder.
    """
    if _installed(folder):
        return history_of_release(folder)
    root = git.top(folder)
    if root is None:
        return History()
    changes = changes_of(folder)
    if not changes:
        return History("git")
    now = last_commit(folder)
    kept = kept_reviews(changes, now)
    brought = {path: each.now for path, each in kept.items() if each.now}
    return History(
        "git",
        {**_writers(changes, digests_of(folder, changes)), **{path: each.people for path, each in brought.items()}},
        frozenset(path for path, name in now.items() if _is(folder / path, name)),
        git.text(folder, "rev-parse", "--is-shallow-repository").strip() == "false",
        {path: each.commit for path, each in brought.items()},
        {path: each.committer for path, each in brought.items() if each.committer not in each.people},
        spoiled=spoiled_reviews(folder, kept),
        top=tuple(each for each in changes if "/" not in each.new or "/" not in each.old),
    )


def me(folder: Path) -> Person | None:
    """Whom git takes for the user in this folder, or None where it has not been told."""
    try:
        name = git.text(folder, "config", "user.name").strip()
        email = git.text(folder, "config", "user.email").strip()
    except git.GitError:
        return None
    return Person(name, email) if name else None


def _writers(changes: Iterable[Change], digests: dict[str, str]) -> dict[str, frozenset[Person]]:
    """Everyone who wrote each path; a renamed file keeps those who wrote it under its old name."""
    writers: dict[str, frozenset[Person]] = defaultdict(frozenset)
    for each in changes:
        earlier = writers[each.old] if each.renamed else frozenset[Person]()
        content = digests.get(each.after)
        same_content = content is not None and content in [digests.get(name) for name in each.before]
        writers[each.new] |= earlier if same_content else earlier | each.people
    return dict(writers)


def _is(path: Path, name: str) -> bool:
    """Whether a file has the content of this name; computed here, for git's own way may run filters."""
    data = _file(path)
    return data is not None and name in _blob_names(data, len(name))


def _file(path: Path) -> bytes | None:
    """The content of a file of decent size, or None; no link is followed, no pipe waited for."""
    try:
        if path.is_symlink() or not path.is_file():
            return None
        with path.open("rb") as file:
            data = file.read(MOST_RECORD_BYTES + 1)
    except (OSError, ValueError):
        return None
    return data if len(data) <= MOST_RECORD_BYTES else None


def _blob_names(data: bytes, length: int) -> tuple[str, str]:
    """The name git gives to this content, with its line ends as they are and as LF."""

    def named(content: bytes) -> str:
        made = hashlib.sha256 if length == 64 else hashlib.sha1
        return made(b"blob %d\0" % len(content) + content).hexdigest()

    return named(data), named(data.replace(b"\r\n", b"\n"))


def _installed(folder: Path) -> bool:
    """Whether a folder is where a release was installed, and not a clone."""
    home = Path(os.path.realpath(shared_home()))
    return Path(os.path.realpath(folder)).parent == home and not os.path.lexists(folder / ".git")


def history_of_release(folder: Path) -> History:
    """The history of a release's files as its record tells it; a record that can't be read tells nothing."""
    try:
        files = json.loads((_file(folder / RECORD) or b"").decode("utf-8"))["files"]
        writers = {row["path"]: frozenset(map(person, row["writers"])) for row in files}
        signers = {row["path"]: str(row["signer"]) for row in files if "signer" in row}
        carriers = {row["path"]: person(row["carrier"]) for row in files if "carrier" in row}
        digests = {row["path"]: row["sha256"] for row in files}
        inside = {path: _file(folder / path) for path in digests if path.split("/")[0] in PARTS}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return History("release", whole=False)
    settled = {
        path for path, data in inside.items() if data is not None and hashlib.sha256(data).hexdigest() == digests[path]
    }
    return History("release", writers, frozenset(settled), carriers=carriers, signers=signers)
