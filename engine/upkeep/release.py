"""A library as one file to hand out: the entries that have come far enough, what changed, and a digest of it all.

The record in it (``release.json``) tells each file's digest and writers, so that an approval can be judged where
the git history is not at hand. It is a statement of whoever made the release: compare the digest with one that was
told another way.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import REVIEWERS, REVIEWS
from arclore.engine.library.graph import build_graph
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import Document, read_yaml, shown
from arclore.engine.library.schema import check
from arclore.engine.library.stack import BUILT_IN, Key, Library, load_layers
from arclore.engine.upkeep.archive import CHANGES, ArchiveError, read_archive, unpack, write_archive
from arclore.engine.upkeep.compare import differences
from arclore.engine.upkeep.comparison import markdown
from arclore.engine.upkeep.digest import canonical, digest_of_bytes
from arclore.engine.upkeep.history import RECORD, History, history_of_release
from arclore.engine.upkeep.layers import BUILT_IN_ID, Layer, LayerError, add, shared_home
from arclore.engine.upkeep.statuses import STATUSES, Status, own_problems, path_in_layer, statuses

SCHEMA = "release"


class ReleaseError(Exception):
    """A release that can't be made, trusted or installed; ``rows`` say what is wrong in its entries."""

    def __init__(self, message: str, rows: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.rows = list(rows)


@dataclass(frozen=True)
class Release:
    """A release as read: its record, its files by path, and the digest of all of them."""

    record: dict[str, Any]
    files: dict[str, bytes]
    digest: str


def make(
    folder: Path,
    library: Library,
    history: History,
    target: Path,
    least: str,
    before: tuple[str, Library] | None,
    today: date,
) -> Release:
    """Write a zip of a library's entries that stand at ``least`` or further, and of the retired ones.

    ``before`` is what the change list starts from and its name, None for a first release. Raises ReleaseError where
    the library has no sound library.yaml, or what is left does not stand by itself; FileExistsError for an existing
    ``target``.
    """
    settings = _settings(folder)
    found, rows = statuses(library, folder, history, today)
    rows += own_problems(library, folder)
    if rows:
        raise ReleaseError("the library has problems", rows)
    if not history.whole:
        raise ReleaseError("its history is cut short, so its authors are not known: fetch it whole")
    chosen = [status for status in found if far_enough(status, least)]
    files = {name: _lf(folder / name) for name in ("library.yaml", "sources.yaml") if (folder / name).is_file()}
    files |= _waivers(library, folder, {(status.kind, status.id) for status in chosen})
    for status in chosen:
        document = library.documents[status.kind, status.id]
        if not _settled(path_in_layer(document), history):
            raise ReleaseError(f"{status.kind} {status.id} is not committed as it stands: commit it first")
        files[path_in_layer(document)] = _lf(document.path)
        for path in (each.review.path for each in status.reviews):
            if _settled(path, history):
                files[path] = _lf(folder / path)
    listed = f"{REVIEWS}/{REVIEWERS}"
    if (folder / listed).is_file():
        files[listed] = _lf(folder / listed)
    after = _alone(files)
    name, start = before or ("nothing", None)
    about = {"a": name, "b": f"{settings['id']} {settings['version']}", "cases": None}
    changed = differences(start, after) if start else _all_new(after)
    changes = markdown({**about, **changed})
    files[CHANGES] = changes.encode()
    judged = [each for status in chosen for each in status.reviews]
    told: dict[str, dict[str, str]] = {each.review.path: {"signer": each.signer} for each in judged if each.signer}
    for path, carrier in history.carriers.items():
        told.setdefault(path, {})["carrier"] = str(carrier)
    record = {
        "schema": 1,
        "kind": SCHEMA,
        "id": settings["id"],
        "title": settings["title"],
        "version": settings["version"],
        "date": today.isoformat(),
        "least": least,
        "entries": [
            {"kind": each.kind, "id": each.id, "status": each.status, "digest": each.digest} for each in chosen
        ],
        "files": [
            {**_file(name, files[name], history), **told.get(name, {})}
            for name in sorted(files)
        ],
    }
    files[RECORD] = (json.dumps(record, indent=1, ensure_ascii=True, allow_nan=False) + "\n").encode()
    write_archive(target, files)
    return Release(record, files, content_digest(files))


def verify(path: Path, wanted: str = "") -> Release:
    """Read a release and judge it: every file as recorded, none besides, entries sound, statuses as it says.

    ``wanted`` is the digest that was told another way. Raises ReleaseError for the first thing that is wrong.
    """
    try:
        files = read_archive(path)
    except ArchiveError as error:
        raise ReleaseError(str(error)) from None
    record = _record(files)
    release = Release(record, files, content_digest(files))
    if wanted and wanted != release.digest:
        raise ReleaseError(f"its digest is {release.digest}, not the one that was told: do not install it")
    recorded = {row["path"]: row["sha256"] for row in record["files"]}
    for name in sorted({*recorded, *files} - {RECORD}):
        if name not in files or name not in recorded:
            raise ReleaseError(f"{name} is {'not recorded' if name in files else 'missing'}")
        if hashlib.sha256(files[name]).hexdigest() != recorded[name]:
            raise ReleaseError(f"{name} is not as recorded")
    _judged(files, record)
    return release


def handed_out(release: Release) -> tuple[str, Library]:
    """The name of a release and the library that it holds, over the built-in one."""
    return f"{release.record['id']} {release.record['version']}", _alone(release.files)


def install(path: Path, wanted: str = "", name: str = "") -> tuple[Layer, Release]:
    """Verify a release, unpack it into the user's data and lay it over the shared libraries there are.

    One that was unpacked before, and stands as it was, is laid again. Raises ReleaseError; nothing is left behind then.
    """
    release = verify(path, wanted)
    target = shared_home() / f"{release.record['id']}-{release.record['version']}"
    there = _stands_as(release.files, target)
    try:
        if not there:
            unpack(release.files, target)
    except ArchiveError as error:
        if not os.path.lexists(target):
            raise ReleaseError(str(error)) from None
        what = f"{release.record['id']} {release.record['version']} is there already, and holds something else"
        hint = "ask its makers to raise the version, or take that folder away first if it is no longer laid"
        raise ReleaseError(f"{what} ({shown(target)}): {hint}") from None
    try:
        return add(str(target), name), release
    except LayerError as error:
        if not there:
            shutil.rmtree(target, ignore_errors=True)
        raise ReleaseError(str(error)) from None


def _stands_as(files: Mapping[str, bytes], folder: Path) -> bool:
    """Whether a folder holds these files as they are, and no others."""
    if not folder.is_dir() or folder.is_symlink():
        return False
    things = (path for path in folder.rglob("*") if path.is_symlink() or not path.is_dir())
    found = {path.relative_to(folder).as_posix(): path for path in things}
    return set(found) == set(files) and all(
        not path.is_symlink() and path.is_file() and path.read_bytes() == files[name] for name, path in found.items()
    )


def content_digest(files: Mapping[str, bytes]) -> str:
    """One digest of all files by path, whatever the packing."""
    digests = {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}
    return digest_of_bytes(canonical(digests).encode())


def far_enough(status: Status, least: str) -> bool:
    """Whether an entry stands at ``least`` or further; a retired one always does."""
    return status.status == "retired" or STATUSES.index(status.status) >= STATUSES.index(least)


def _waivers(library: Library, folder: Path, chosen: Set[Key]) -> dict[str, bytes]:
    """The file of those waivers of a library that are about the chosen entries; no file where there are none."""
    rows = [row for layer, document in library.waivers if layer == folder for row in document.value["waivers"]]
    kept = [row for row in rows if (row["kind"], row["entry"]) in chosen]
    value = {"schema": 1, "kind": "waivers", "waivers": kept}
    return {"waivers.yaml": (json.dumps(value, indent=1, ensure_ascii=False) + "\n").encode()} if kept else {}


def _settled(path: str, history: History) -> bool:
    return history.kind == "none" or path in history.settled


def _settings(folder: Path) -> dict[str, Any]:
    document, rows = read_yaml(folder / "library.yaml")
    rows = rows or (check(document, "library") if document else [])
    if document is None or rows:
        raise ReleaseError("the library needs a sound library.yaml with id, title and version", rows)
    return document.value


def _lf(path: Path) -> bytes:
    if path.is_symlink():
        raise ReleaseError(f"{path} is a link, which is not followed")
    return path.read_bytes().replace(b"\r\n", b"\n")


def _all_new(library: Library) -> dict[str, list[dict[str, Any]]]:
    """The entries of the highest layer as a list of changes in which each is new."""
    highest = {key: library.documents[key] for key, origin in library.origin.items() if origin != BUILT_IN}
    return differences(Library(), Library(documents=highest))


def _below(settings: Mapping[str, Any]) -> list[Path]:
    return [] if settings["id"] == BUILT_IN_ID else [BUILT_IN]


def _alone(files: Mapping[str, bytes]) -> Library:
    """The library of these files over the built-in one. Raises ReleaseError where it does not stand by itself."""
    with tempfile.TemporaryDirectory(prefix="arclore-") as place:
        folder = Path(place).resolve() / "library"
        return _sound(files, folder)


def _sound(files: Mapping[str, bytes], folder: Path) -> Library:
    try:
        unpack(files, folder)
    except ArchiveError as error:
        raise ReleaseError(str(error)) from None
    library = load_layers([*_below(_settings(folder)), folder])
    rows = [*library.problems, *build_graph(library)[1]]
    if rows:
        raise ReleaseError("what would be handed out does not stand by itself", rows)
    return library


def _judged(files: Mapping[str, bytes], record: Mapping[str, Any]) -> None:
    """Raise ReleaseError where the entries are unsound, or have not come as far as the record says."""
    with tempfile.TemporaryDirectory(prefix="arclore-") as place:
        folder = Path(place).resolve() / "library"
        library = _sound(files, folder)
        settings = _settings(folder)
        if any(settings[key] != record[key] for key in ("id", "title", "version")):
            raise ReleaseError("its record and its library.yaml name two libraries")
        found, rows = statuses(library, folder, history_of_release(folder), date.fromisoformat(record["date"]))
        if rows:
            raise ReleaseError("it holds spoiled reviews", rows)
        said = {(row["kind"], row["id"]): row for row in record["entries"]}
        for status in found:
            row = said.pop((status.kind, status.id), None)
            if row is None or row["digest"] != status.digest or row["status"] != status.status:
                raise ReleaseError(f"{status.kind} {status.id} is {status.status}, which is not what its record says")
        if said:
            raise ReleaseError(f"{' '.join(min(said))} is recorded, and missing")


def _record(files: Mapping[str, bytes]) -> dict[str, Any]:
    try:
        value = json.loads(files[RECORD].decode("utf-8"))
    except KeyError:
        raise ReleaseError(f"it holds no {RECORD}: it is no release") from None
    except (ValueError, RecursionError):
        raise ReleaseError(f"its {RECORD} is not JSON") from None
    if not isinstance(value, dict):
        raise ReleaseError(f"its {RECORD} is not an object")
    rows = check(Document(Path(RECORD), value, {}), SCHEMA)
    if rows:
        raise ReleaseError(f"its {RECORD} is out of shape", rows)
    return value


def _file(name: str, data: bytes, history: History) -> dict[str, Any]:
    writers = sorted(map(str, history.writers.get(name, ())))
    return {"path": name, "sha256": hashlib.sha256(data).hexdigest(), "writers": writers}
