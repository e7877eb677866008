"""Who wrote each file of a library folder, by git or by the record that came with a release."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

from arclore.engine.library.folder import KIND_OF_FOLDER, REVIEWS
from arclore.engine.upkeep import git
from arclore.engine.upkeep.people import Person, person

RECORD = "release.json"  # of an installed release, beside its library.yaml
_LOG = ("log", "--reverse", "-M", "-c", "--name-status", "--no-show-signature", "--no-ext-diff", "--no-textconv")
_TRAILERS = "%(trailers:key=Co-authored-by,valueonly,separator=%x02)"
_FORMAT = f"--format=%x01%an <%ae>%x02%aN <%aE>%x02{_TRAILERS}"


@dataclass(frozen=True)
class History:
    """What is known of a folder's files; paths are relative to it, with forward slashes.

    ``writers`` names everyone who ever changed a file. ``settled`` holds the files that stand as they were
    committed. ``kind`` is git, release or none. ``whole`` is False where the history was cut short.
    """

    kind: str = "none"
    writers: dict[str, frozenset[Person]] = field(default_factory=dict)
    settled: frozenset[str] = frozenset()
    whole: bool = True


def history_of(folder: Path) -> History:
    """The history of a library folder. Raises GitError where git is there and can't tell it."""
    record = folder / RECORD
    if record.is_file() and not record.is_symlink():
        return _released(record)
    root = git.top(folder)
    if root is None:
        return History()
    if not git.text(folder, "for-each-ref", "--count=1").strip() and not _has_head(folder):
        return History("git")
    prefix = git.text(folder, "rev-parse", "--show-prefix").rstrip("\n")
    everyone = _writers(git.text(folder, *_LOG, _FORMAT))
    mine = {path[len(prefix) :]: who for path, who in everyone.items() if path.startswith(prefix)}
    whole = git.text(folder, "rev-parse", "--is-shallow-repository").strip() == "false"
    return History("git", mine, _settled(folder), whole)


def me(folder: Path) -> Person | None:
    """Whom git takes for the user in this folder, or None where it has not been told."""
    try:
        name = git.text(folder, "config", "user.name").strip()
        email = git.text(folder, "config", "user.email").strip()
    except git.GitError:
        return None
    return Person(name, email) if name else None


def _has_head(folder: Path) -> bool:
    try:
        git.git(folder, "rev-parse", "--verify", "--quiet", "HEAD^{commit}")
    except git.GitError:
        return False
    return True


def _writers(log: str) -> dict[str, frozenset[Person]]:
    """Everyone who changed each path; a renamed file keeps those who wrote it under its old name."""
    writers: dict[str, frozenset[Person]] = defaultdict(frozenset)
    now: frozenset[Person] = frozenset()
    for line in log.splitlines():
        if line.startswith("\x01"):
            now = frozenset(person(text) for text in line[1:].split("\x02") if text.strip())
            continue
        change, *paths = line.split("\t")
        if not paths:
            continue
        old, new = paths[0], paths[-1]
        writers[new] = writers[new] | now | (writers[old] if change.startswith("R") else frozenset())
    return dict(writers)


def _settled(folder: Path) -> frozenset[str]:
    """The files that stand as in the last commit; computed here, for git's own way may run filters."""
    settled = set()
    for row in git.text(folder, "ls-tree", "-r", "-z", "HEAD", "--", ".").split("\0"):
        about, tab, path = row.partition("\t")
        if not tab or path.split("/")[0] not in (*KIND_OF_FOLDER, REVIEWS):
            continue
        file = folder / path
        name = about.split(" ")[2]
        if file.is_file() and not file.is_symlink() and name in _blob_names(file.read_bytes(), len(name)):
            settled.add(path)
    return frozenset(settled)


def _blob_names(data: bytes, length: int) -> tuple[str, str]:
    """The name git gives to this content, with its line ends as they are and as LF."""

    def named(content: bytes) -> str:
        made = hashlib.sha256 if length == 64 else hashlib.sha1
        return made(b"blob %d\0" % len(content) + content).hexdigest()

    return named(data), named(data.replace(b"\r\n", b"\n"))


def _released(record: Path) -> History:
    """The writers as the release's record tells them; a record that can't be read tells nothing."""
    try:
        files = json.loads(record.read_text(encoding="utf-8"))["files"]
        writers = {row["path"]: frozenset(map(person, row["writers"])) for row in files}
        digests = {row["path"]: row["sha256"] for row in files}
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return History("release", whole=False)
    folder = record.parent
    settled = {
        path
        for path, wanted in digests.items()
        if (folder / path).is_file() and hashlib.sha256((folder / path).read_bytes()).hexdigest() == wanted
    }
    return History("release", writers, frozenset(settled))
