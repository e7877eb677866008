"""Where the files of a library stand: one folder a kind, one entry a file."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from arclore.engine.library.once import Once
from arclore.engine.library.problems import Problem, nearest, shortened
from arclore.engine.library.read import Document, shown

MAX_FILES = 50_000  # of one library
KIND_OF_FOLDER = {
    "clubs": "club",
    "symptoms": "symptom",
    "causes": "cause",
    "checks": "check",
    "drills": "drill",
    "words": "words",
    "cases": "case",
}
KIND_OF_FILE = {"library.yaml": "library", "sources.yaml": "source", "waivers.yaml": "waivers"}
REVIEWS = "reviews"  # approvals, read by those who judge them
REVIEWERS = "reviewers.yaml"  # among them: whose approvals count


def typed_path(text: str | Path) -> Path:
    """A path as a person types it: ~ is a home, where there is one of that name; else it is taken as it stands."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        return Path(text)


@dataclass(frozen=True)
class Tree:
    """A library folder that does not stand on the disk, such as a revision of one.

    root: how rows name the folder. files: what its files hold, by their paths in it; each must be in its place.
    """

    root: Path
    files: Mapping[str, bytes]


Place = Path | Tree  # where a library stands


def read_folder(place: Place, once: Once) -> tuple[list[Document], list[Problem]]:
    """Read every file of a library folder; files out of place are rows, and no link is followed.

    Documents come in order of path, rows sorted. Names that begin with a dot, the folder of reviews, and
    texts beside ``library.yaml`` that are not YAML (a README, a licence) are left alone.
    """
    root = place.root if isinstance(place, Tree) else Path(os.path.realpath(place))
    documents: list[Document] = []
    problems: list[Problem] = []
    for number, (path, found) in enumerate(_files(place) if isinstance(place, Tree) else _entries(root)):
        if number >= MAX_FILES:
            problems.append(
                Problem(shown(root), 1, 1, "too-many", f"more than {MAX_FILES:,} files", "split it")
            )
            break
        if isinstance(found, Problem):
            problems.append(found)
            continue
        document, rows = once.read(path, found)
        problems += rows
        if document is not None:
            documents.append(document)
    return documents, sorted(problems)


def _files(tree: Tree) -> Iterator[tuple[Path, bytes]]:
    for name in sorted(tree.files):
        yield tree.root / name, tree.files[name]


def _entries(root: Path) -> Iterator[tuple[Path, Problem | None]]:
    """Each file of the folder in order of name, with a row where it is not an entry."""
    for item in _listed(root):
        path = Path(item.path)
        if item.is_symlink():
            yield path, _stray(path, "link", "a link, which is not followed", "put the file itself here")
        elif item.is_dir(follow_symlinks=False):
            if item.name in KIND_OF_FOLDER:
                yield from _kind_folder(path)
            elif item.name != REVIEWS:
                hint = (
                    f"nearest: {nearest(item.name, KIND_OF_FOLDER) or 'one of ' + ', '.join(KIND_OF_FOLDER)}"
                )
                yield path, _stray(path, "folder", f"unknown folder {shortened(item.name, 40)}", hint)
        elif item.name in (*KIND_OF_FOLDER, REVIEWS):
            yield path, _stray(path, "folder", "not a folder", "only a folder has this name")
        elif item.name in KIND_OF_FILE:
            yield path, None
        elif path.suffix.lower() in (".yaml", ".yml"):
            hint = f"only {', '.join(KIND_OF_FILE)} stand here; entries stand in the folder of their kind"
            yield path, _stray(path, "stray", "a YAML file out of place", hint)


def _kind_folder(folder: Path) -> Iterator[tuple[Path, Problem | None]]:
    for item in _listed(folder):
        path = Path(item.path)
        if item.is_symlink():
            yield path, _stray(path, "link", "a link, which is not followed", "put the file itself here")
        elif item.is_dir(follow_symlinks=False):
            yield path, _stray(path, "nested", "a folder inside a folder of entries", "move its files up")
        elif path.suffix == ".yaml":
            yield path, None
        elif path.suffix.lower() in (".yaml", ".yml"):
            yield path, _stray(path, "suffix", f"the name ends in {path.suffix}", "end it in .yaml")
        else:
            yield path, _stray(path, "stray", "not an entry", "only .yaml files stand here")


def _listed(folder: Path) -> list[os.DirEntry[str]]:
    """What the folder holds, hidden names left out except hidden YAML, in order of name."""
    with os.scandir(folder) as found:
        items = [item for item in found if not item.name.startswith(".") or item.name.endswith(".yaml")]
    return sorted(items, key=lambda item: item.name)


def _stray(path: Path, code: str, message: str, hint: str) -> Problem:
    return Problem(shown(path), 1, 1, code, message, hint)
