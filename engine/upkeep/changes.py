"""What each commit did to the files of a library folder, and what the contents it left say."""

from __future__ import annotations

from collections.abc import Iterable, Set
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import KIND_OF_FOLDER, REVIEWS
from arclore.engine.library.read import MAX_BYTES, read_yaml
from arclore.engine.upkeep import git
from arclore.engine.upkeep.digest import digest_without
from arclore.engine.upkeep.people import Person, person

PARTS = (*KIND_OF_FOLDER, REVIEWS)
_LOG = (*git.LOG, "--reverse", "-M", "-l1000", "-c", "--raw", "--no-abbrev")
_TRAILERS = "%(trailers:key=Co-authored-by,valueonly,unfold,separator=%x02)"
_FORMAT = f"--format=%x01%H%x02%cn <%ce>%x02%an <%ae>%x02%aN <%aE>%x02{_TRAILERS}"


@dataclass(frozen=True)
class Change:
    """What one commit did to one file: its path before and after, and the names of its contents.

    Paths are relative to the library folder. ``people`` wrote it, ``committer`` brought it in. ``before`` has a name
    for each parent of the commit.
    """

    commit: str
    people: frozenset[Person]
    committer: Person
    old: str
    new: str
    before: tuple[str, ...]
    after: str
    renamed: bool


def changes_of(folder: Path) -> list[Change]:
    """What each commit did to the files of a folder in git, in order; none where nothing is committed."""
    if not _has_head(folder):
        return []
    prefix = git.text(folder, "rev-parse", "--show-prefix").rstrip("\n")
    found = (change for change in _changes(git.text(folder, *_LOG, _FORMAT)) if change.new.startswith(prefix))
    return [
        replace(each, old=each.old.removeprefix(prefix), new=each.new.removeprefix(prefix)) for each in found
    ]


def last_commit(folder: Path) -> dict[str, str]:
    """The name of the content that each entry and review has in the last commit, if there is one."""
    if not _has_head(folder):
        return {}
    names = {}
    for row in git.text(folder, "ls-tree", "-r", "-z", "HEAD", "--", ".").split("\0"):
        about, tab, path = row.partition("\t")
        if tab and path.split("/")[0] in PARTS:
            names[path] = about.split(" ")[2]
    return names


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


def contents(folder: Path, names: Iterable[str], without: Set[str] = frozenset()) -> dict[str, str]:
    """The digest of each content by its name in git, these fields aside; what can't be read as an entry has none."""
    wanted = [name for name in names if stands(name)]
    read = ((name, _read(data)) for name, data in (git.blobs(folder, wanted).items() if wanted else ()))
    return {name: digest_without(value, without) for name, value in read if value is not None}


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


def _has_head(folder: Path) -> bool:
    try:
        git.git(folder, "rev-parse", "--verify", "--quiet", "HEAD^{commit}")
    except git.GitError:
        return False
    return True


def _changes(log: str) -> Iterable[Change]:
    """Each change of a file in the order of the commits; a merge counts where its result is that of no parent."""
    commit, people, committer = "", frozenset[Person](), Person("")
    for line in log.split("\n"):
        if line.startswith("\x01"):
            commit, brought, *texts = line[1:].split("\x02")
            committer = person(brought)
            people = frozenset(person(text) for text in texts if text.strip())
        elif line.startswith(":"):
            about, *paths = line.split("\t")
            parents = len(about) - len(about.lstrip(":"))
            words = about.lstrip(":").split(" ")
            names = words[parents + 1 : -1]
            renamed = parents == 1 and words[-1].startswith("R")
            yield Change(commit, people, committer, paths[0], paths[-1], tuple(names[:-1]), names[-1], renamed)
