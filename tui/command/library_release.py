"""``arclore library release``, ``verify``, ``install``: a library as one file."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

from arclore.engine.library.problems import shortened
from arclore.engine.library.read import read_yaml
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.compare import opened
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.layers import LayerError, load_with
from arclore.engine.upkeep.release import Release, ReleaseError, handed_out, install, make, verify
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.library_layer import warn_of_settings
from arclore.tui.command.page import print_json, say

UNTOLD = (
    "the file is whole, but nothing shows who made it: ask its makers for their digest in another way than the file"
    " came, and verify with --digest DIGEST"
)


def run(given: argparse.Namespace) -> Exit:
    """Carry out one of the three; what is wrong with a release is a problem and leaves nothing behind."""
    try:
        place, release = {"release": _made, "verify": _verified, "install": _installed}[given.action](given)
    except ReleaseError as error:
        for row in error.rows:
            print(row.row(), file=sys.stderr)
        say(f"arclore library {given.action}: {error}")
        return Exit.PROBLEMS
    except (LayerError, GitError) as error:
        raise WrongUseError(f"arclore library {given.action}: {error}") from None
    except FileExistsError as error:
        there = f"{shortened(error.filename, 100)} is there already, and is not overwritten"
        raise WrongUseError(f"arclore library release: {there}: give another name with --to") from None
    record = release.record
    counts = dict(sorted(Counter(row["status"] for row in record["entries"]).items()))
    if given.json:
        about: dict[str, Any] = {key: record[key] for key in ("id", "title", "version", "date")}
        print_json({"place": str(place), **about, "digest": release.digest, "counts": counts})
    else:
        told = ", ".join(f"{count} {status}" for status, count in counts.items()) or "no entries"
        print(f"{record['id']} {record['version']} of {record['date']}: {told}")
        print(f"digest {release.digest}")
        print(f"{'laid from' if given.action == 'install' else 'in'} {place}")
    if given.action != "release" and not given.digest:
        say(UNTOLD)
    return Exit.DONE


def _made(given: argparse.Namespace) -> tuple[Path, Release]:
    folder = folder_of(given.folder, "release")
    library, history = load_with(folder), history_of(folder)
    target = Path(given.to) if given.to else Path(_file_name(folder))
    before = None if given.since is None else _before(given.since, folder)
    return target, make(folder, library, history, target, given.least, before, date.today())


def _before(since: str, folder: Path) -> tuple[str, Library]:
    """What the list of changes starts from: an earlier release, a folder or a revision; and how it is called."""
    if Path(since).is_file():
        return handed_out(verify(Path(since)))
    return since, opened(since, folder)


def _file_name(folder: Path) -> str:
    document, _ = read_yaml(folder / "library.yaml")
    about = document.value if document else {}
    return f"{about.get('id', 'library')}-{about.get('version', '0')}.zip".replace("/", "-")


def _verified(given: argparse.Namespace) -> tuple[Path, Release]:
    return Path(given.file), verify(Path(given.file), given.digest)


def _installed(given: argparse.Namespace) -> tuple[Path, Release]:
    layer, release = install(Path(given.file), given.digest, given.name or "")
    warn_of_settings(layer)
    return layer.folder, release
