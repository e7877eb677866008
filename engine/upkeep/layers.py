"""Which libraries are laid over the built-in one: shared ones in the user's order, then the user's own.

The order is kept in one small file of the user's settings. ``folders`` is the one place where it is decided;
the command line and the desk both ask it.
"""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import platformdirs
from arclore.engine.library.atomic import write_text
from arclore.engine.library.folder import typed_path
from arclore.engine.library.problems import Problem, is_text, shortened
from arclore.engine.library.read import Document, read_yaml, shown
from arclore.engine.library.schema import check
from arclore.engine.library.stack import BUILT_IN, Library, load_layers, personal_folder
from arclore.engine.upkeep import git

MOST_LAYERS = 50
BUILT_IN_ID = "arclore"
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class LayerError(Exception):
    """A layer that can't be added or removed; the text is one line that says what to do."""


@dataclass(frozen=True)
class Layer:
    """A shared library: its name here, what its ids begin with, its folder, where it was cloned from."""

    name: str
    namespace: str
    folder: Path
    address: str = ""


def settings_file() -> Path:
    """The file that lists the shared libraries; it need not exist."""
    return Path(platformdirs.user_config_dir("arclore", appauthor=False)) / "layers.json"


def shared_home() -> Path:
    """The folder for clones and installed releases; it need not exist."""
    return Path(platformdirs.user_data_dir("arclore", appauthor=False)) / "shared"


def read_layers() -> tuple[list[Layer], list[Problem]]:
    """The shared libraries in order, with rows where their file can't be read; no file means none."""
    path = settings_file()
    if not path.exists():
        return [], []
    document, rows = read_yaml(path)
    if document is None:
        return [], rows
    rows += check(document, "layers")
    if rows:
        return [], sorted(rows)
    return [Layer(**{**row, "folder": Path(row["folder"])}) for row in document.value["layers"]], []


def folders() -> list[Path]:
    """The folders laid over the built-in library, lowest first: shared ones, then the coach's own if it is there.

    A shared folder that has gone is still listed, so that loading it makes a row that says so.
    """
    own = personal_folder()
    return [layer.folder for layer in read_layers()[0]] + ([own] if own.is_dir() else [])


def add(source: str, name: str = "", namespace: str = "") -> Layer:
    """Add a folder, or a git address which is cloned first, above the shared libraries there are.

    Raises LayerError, and leaves no clone behind, where the library can't be laid or its ids may clash.
    """
    layers = _sound_layers()
    if len(layers) >= MOST_LAYERS:
        raise LayerError(f"there are {MOST_LAYERS} shared libraries already: remove one first")
    local = typed_path(source)
    if git.is_bare(local):
        source = Path(os.path.realpath(local)).as_uri()
    elif local.is_dir():
        return _added(layers, Path(os.path.realpath(local)), name, namespace, "")
    if not git.is_address(source):
        raise LayerError(f"there is no folder {shortened(source, 80)!r}, and it is not a git address")
    target = _free_folder(shared_home() / _slug(name or source))
    try:
        git.clone(source, target)
        return _added(layers, target, name, namespace, source)
    except (git.GitError, LayerError) as error:
        shutil.rmtree(target, ignore_errors=True)
        raise LayerError(str(error)) from None


def remove(name: str) -> Layer:
    """Take a shared library off the list; its folder is left as it is. Raises LayerError for an unknown name."""
    layers = _sound_layers()
    gone = next((layer for layer in layers if layer.name == name), None)
    if gone is None:
        known = ", ".join(layer.name for layer in layers) or "there is none"
        raise LayerError(f"no shared library {shortened(name, 60)!r} (known: {known})")
    _write([layer for layer in layers if layer is not gone])
    return gone


def strangers(layers: Sequence[Layer], library: Library) -> list[Problem]:
    """Rows for entries a shared library adds under an id that is not in its namespace: ids of two may clash."""
    spaces = {layer.folder: layer.namespace for layer in layers}
    rows = []
    for (kind, name), folder in library.origin.items():
        document = library.documents[kind, name]
        space = spaces.get(folder)
        if space is None or document.base is not None or name.startswith(f"{space}-"):
            continue
        message = f"{kind} {name!r} is new here, but is not in the namespace {space!r}"
        rows.append(document.problem(("id",), "namespace", message, f"call it {space}-{name}"))
    return sorted(rows)


def load(layers: Sequence[Layer]) -> Library:
    """The built-in library, the given shared ones and the coach's own as one."""
    own = personal_folder()
    return load_layers([BUILT_IN, *(layer.folder for layer in layers), *([own] if own.is_dir() else [])])


def load_with(folder: Path) -> Library:
    """A library folder over what lies under it: the built-in one, and the shared ones laid before it.

    Under the coach's own lie all shared ones, under a folder that is not laid only the built-in one. ``folder``
    must be a resolved path.
    """
    if folder == Path(os.path.realpath(BUILT_IN)):
        return load_layers([folder])
    laid = [layer.folder for layer in read_layers()[0]]
    if folder in laid:
        laid = laid[: laid.index(folder)]
    elif folder != Path(os.path.realpath(personal_folder())):
        laid = []
    return load_layers([BUILT_IN, *laid, folder])


def _added(layers: list[Layer], folder: Path, name: str, namespace: str, address: str) -> Layer:
    own_id = library_id(folder)
    layer = Layer(name or own_id, namespace or own_id, folder, address)
    if not is_text(str(folder)):
        raise LayerError(f"the name of {shown(folder)} is not UTF-8, so no list can hold it: give it another name")
    for what in (layer.name, layer.namespace):
        if not _ID.fullmatch(what) or len(what) > 80:
            raise LayerError(f"{shortened(what, 60)!r} is no name: use lower-case words joined by hyphens")
    if folder in (Path(os.path.realpath(BUILT_IN)), Path(os.path.realpath(personal_folder()))):
        raise LayerError(f"{shown(folder)} is laid already: it is the built-in library or your own")
    for other in layers:
        if other.name == layer.name:
            raise LayerError(
                f"the name {layer.name!r} is taken: to put this in its place, first arclore library remove "
                f"{layer.name}; to have both, give another with --name"
            )
        if other.folder == folder:
            raise LayerError(f"{shown(folder)} is laid already, as {other.name!r}")
        if f"{other.namespace}-".startswith(f"{layer.namespace}-") or f"{layer.namespace}-".startswith(
            f"{other.namespace}-"
        ):
            raise LayerError(
                f"the namespaces {layer.namespace!r} and {other.namespace!r} overlap: give another with --namespace"
            )
    _write([*layers, layer])
    return layer


def library_id(folder: Path) -> str:
    """The id in a folder's ``library.yaml``. Raises LayerError where there is none that is sound."""
    return str(own_settings(folder)["id"])


def own_settings(folder: Path) -> dict[str, Any]:
    """What a folder's ``library.yaml`` says. Raises LayerError where there is none that is sound."""
    path = folder / "library.yaml"
    if not path.is_file() or path.is_symlink():
        raise LayerError(f"{shown(folder)} holds no library.yaml: write one with schema, kind, id, title, version")
    return sound_settings(*read_yaml(path))


def sound_settings(document: Document | None, rows: Sequence[Problem]) -> dict[str, Any]:
    """What a ``library.yaml`` says, as it was read. Raises LayerError where it is not sound."""
    rows = rows or (check(document, "library") if document else [])
    if document is None or rows:
        raise LayerError(rows[0].row())
    return document.value


def replaced_settings(folder: Path) -> list[str]:
    """The settings that a library's ``library.yaml`` puts in place of those below it; safety's stay."""
    document, _ = read_yaml(folder / "library.yaml")
    own = {"schema", "kind", "id", "title", "version", "notes", "signers", "safety"}
    return [] if document is None else sorted(set(document.value) - own)


def _sound_layers() -> list[Layer]:
    layers, rows = read_layers()
    if rows:
        raise LayerError(rows[0].row())
    return layers


def _write(layers: Sequence[Layer]) -> None:
    rows = [{key: str(value) for key, value in asdict(layer).items() if value} for layer in layers]
    write_text(settings_file(), json.dumps({"schema": 1, "kind": "layers", "layers": rows}, indent=1) + "\n")


def _slug(text: str) -> str:
    words = re.findall(r"[a-z0-9]+", text.lower().rstrip("/").removesuffix(".git").rsplit("/", 1)[-1])
    return "-".join(words)[:60] or "library"


def _free_folder(wanted: Path) -> Path:
    number, folder = 1, wanted
    while folder.exists():
        number += 1
        folder = wanted.with_name(f"{wanted.name}-{number}")
    return folder
