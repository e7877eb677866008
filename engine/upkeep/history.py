"""Who wrote each file of a library folder, by git or by the record that came with a release.

A commit that changes only the layout or the comments of an entry writes none of its content, and so makes nobody
its author; a review is judged as it stands, so that every commit of it counts.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import KIND_OF_FOLDER, REVIEWS
from arclore.engine.library.read import MAX_BYTES, read_yaml
from arclore.engine.upkeep import git
from arclore.engine.upkeep.digest import digest
from arclore.engine.upkeep.people import Person, person

MOST_RECORD_BYTES = 20_000_000
RECORD = "release.json"  # of an installed release, beside its library.yaml
_PARTS = (*KIND_OF_FOLDER, REVIEWS)
_LOG = ("log", "--reverse", "-M", "-c", "--raw", "--no-abbrev", "--no-show-signature", "--no-ext-diff", "--no-textconv")
_TRAILERS = "%(trailers:key=Co-authored-by,valueonly,unfold,separator=%x02)"
_FORMAT = f"--format=%x01%H%x02%an <%ae>%x02%aN <%aE>%x02{_TRAILERS}"


@dataclass(frozen=True)
class History:
    """What is known of a folder's files; paths are relative to it, with forward slashes.

    ``writers`` names everyone who ever changed a file's content. ``settled`` holds the files that stand as they
    were committed. ``kind`` is git, release or none. ``whole`` is False where the history was cut short.
    ``commits`` are the names of the commits that changed a file; ``signers`` says who signed it, as a release
    tells it.
    """

    kind: str = "none"
    writers: dict[str, frozenset[Person]] = field(default_factory=dict)
    settled: frozenset[str] = frozenset()
    whole: bool = True
    commits: dict[str, tuple[str, ...]] = field(default_factory=dict)
    signers: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Change:
    """What one commit did to one file: its path before and after, and the names of its contents.

    Paths are relative to the library folder. ``before`` has a name for each parent of the commit.
    """

    commit: str
    people: frozenset[Person]
    old: str
    new: str
    before: tuple[str, ...]
    after: str
    renamed: bool


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
    changes = changes_of(folder)
    writers, commits = _writers(changes, digests_of(folder, changes))
    whole = git.text(folder, "rev-parse", "--is-shallow-repository").strip() == "false"
    return History("git", writers, _settled(folder), whole, commits)


def changes_of(folder: Path) -> list[Change]:
    """What each commit did to the files of a folder in git, in order; none where nothing is committed."""
    if not _has_head(folder):
        return []
    prefix = git.text(folder, "rev-parse", "--show-prefix").rstrip("\n")
    found = (change for change in _changes(git.text(folder, *_LOG, _FORMAT)) if change.new.startswith(prefix))
    return [
        replace(each, old=each.old.removeprefix(prefix), new=each.new.removeprefix(prefix)) for each in found
    ]


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


def _changes(log: str) -> Iterable[Change]:
    """Each change of a file in the order of the commits; a merge counts where its result is that of no parent."""
    commit, people = "", frozenset[Person]()
    for line in log.split("\n"):
        if line.startswith("\x01"):
            commit, *texts = line[1:].split("\x02")
            people = frozenset(person(text) for text in texts if text.strip())
        elif line.startswith(":"):
            about, *paths = line.split("\t")
            parents = len(about) - len(about.lstrip(":"))
            words = about.lstrip(":").split(" ")
            names = words[parents + 1 : -1]
            renamed = parents == 1 and words[-1].startswith("R")
            yield Change(commit, people, paths[0], paths[-1], tuple(names[:-1]), names[-1], renamed)


def _writers(
    changes: Iterable[Change], digests: dict[str, str]
) -> tuple[dict[str, frozenset[Person]], dict[str, tuple[str, ...]]]:
    """Everyone who wrote each path, and the commits of it; a renamed file keeps those of its old name."""
    writers: dict[str, frozenset[Person]] = defaultdict(frozenset)
    commits: dict[str, tuple[str, ...]] = defaultdict(tuple)
    for each in changes:
        earlier = writers[each.old] if each.renamed else frozenset[Person]()
        content = digests.get(each.after)
        same_content = content is not None and content in [digests.get(name) for name in each.before]
        writers[each.new] |= earlier if same_content else earlier | each.people
        commits[each.new] += (*(commits[each.old] if each.renamed else ()), each.commit)
    return dict(writers), dict(commits)


def digests_of(folder: Path, changes: Iterable[Change]) -> dict[str, str]:
    """The digest of each content that an entry had before or after a change; what can't be read has none."""
    names = [
        name
        for each in changes
        if is_entry(each.new) and any(map(stands, each.before))
        for name in (*each.before, each.after)
        if stands(name)
    ]
    return contents(folder, names)


def contents(folder: Path, names: Iterable[str]) -> dict[str, str]:
    """The digest of each content by its name in git; what can't be read as an entry has none."""
    wanted = [name for name in names if stands(name)]
    read = ((name, _read(data)) for name, data in (git.blobs(folder, wanted).items() if wanted else ()))
    return {name: digest(value) for name, value in read if value is not None}


def is_entry(path: str) -> bool:
    """Whether a path relative to a library folder is that of an entry."""
    kind, _, name = path.partition("/")
    return kind in KIND_OF_FOLDER and "/" not in name


def stands(name: str) -> bool:
    """Whether a content's name is one: git writes zeros for a file that is not there."""
    return bool(name.strip("0"))


def _read(data: bytes) -> dict[str, Any] | None:
    if len(data) > MAX_BYTES:
        return None
    try:
        document, _ = read_yaml(data.decode("utf-8"))
    except UnicodeDecodeError:
        return None
    return None if document is None else document.value


def _settled(folder: Path) -> frozenset[str]:
    """The files that stand as in the last commit; computed here, for git's own way may run filters."""
    settled = set()
    for row in git.text(folder, "ls-tree", "-r", "-z", "HEAD", "--", ".").split("\0"):
        about, tab, path = row.partition("\t")
        if not tab or path.split("/")[0] not in _PARTS:
            continue
        name = about.split(" ")[2]
        data = _file(folder / path)
        if data is not None and name in _blob_names(data, len(name)):
            settled.add(path)
    return frozenset(settled)


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


def _released(record: Path) -> History:
    """The writers as the release's record tells them; a record that can't be read tells nothing."""
    try:
        files = json.loads((_file(record) or b"").decode("utf-8"))["files"]
        writers = {row["path"]: frozenset(map(person, row["writers"])) for row in files}
        signers = {row["path"]: str(row["signer"]) for row in files if "signer" in row}
        digests = {row["path"]: row["sha256"] for row in files}
        inside = {path: _file(record.parent / path) for path in digests if path.split("/")[0] in _PARTS}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return History("release", whole=False)
    settled = {
        path for path, data in inside.items() if data is not None and hashlib.sha256(data).hexdigest() == digests[path]
    }
    return History("release", writers, frozenset(settled), signers=signers)
