"""An invented club's library in a home of its own, and git that knows nobody."""

from __future__ import annotations

import copy
import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library import stack
from arclore.tui.command import main

from tests.command.running import Ran, Run
from tests.library.conftest import FOLDERS, Entry, sound_entry

Make = Callable[..., Path]
READ: dict[str, Any] = {}  # the built-in library as laid


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Call the command with these arguments, in a home where there is nothing yet."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))

    def call(*arguments: object) -> Ran:
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return Ran(code, out, err)

    return call


@pytest.fixture(autouse=True)
def built_in_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Lay the built-in library from memory after the first time; reading it is tested elsewhere."""
    lay = stack._Stack.lay

    def laid(self: Any, layer: Path) -> None:
        kept = ("documents", "origin", "settings", "sources", "problems", "waivers")
        if layer != stack.BUILT_IN or self.documents:
            lay(self, layer)
        elif READ:
            for name in kept:
                setattr(self, name, copy.copy(READ[name]))
        else:
            lay(self, layer)
            READ.update({name: copy.copy(getattr(self, name)) for name in kept})

    monkeypatch.setattr(stack._Stack, "lay", laid)


def put(folder: Path, *entries: Entry) -> Path:
    """Write entries into a library folder (JSON is YAML)."""
    for entry in entries:
        path = folder / FOLDERS[entry["kind"]] / f"{entry.get('id') or entry['amends']}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(entry, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return folder


def drill(name: str, **fields: Any) -> Entry:
    """A sound drill for a cause of the built-in library."""
    return sound_entry("drill", name, **{"for": {"causes": ["stands-too-close"]}, **fields})


@pytest.fixture
def make(tmp_path: Path) -> Make:
    """Make a library folder with its library.yaml and these entries."""

    def maker(name: str, *entries: Entry, version: str = "1.0.0", title: str = "Larkmoor Hollow's library") -> Path:
        folder = tmp_path / name
        folder.mkdir(parents=True, exist_ok=True)
        text = f"schema: 1\nkind: library\nid: {name}\ntitle: {title}\nversion: {version}\n"
        (folder / "library.yaml").write_text(text, encoding="utf-8")
        return put(folder, *entries)

    return maker


def git(folder: Path, *arguments: str, who: str = "", fails: bool = False) -> str:
    """A git command in a folder, by ``Name <email>``; no settings of the machine get in."""
    name, _, email = who.rstrip(">").partition(" <")
    own = ["-c", f"user.name={name}", "-c", f"user.email={email}"] if who else []
    safe = ["-c", "commit.gpgsign=false", "-c", "init.defaultBranch=main", "-c", "core.autocrlf=false"]
    done = subprocess.run(
        ["git", "-C", str(folder), *safe, *own, *arguments], capture_output=True, text=True, timeout=30, check=not fails
    )
    return done.stdout


def commit(folder: Path, who: str, message: str = "change") -> None:
    """Commit everything in the folder, as this person."""
    git(folder, "add", "-A", ".")
    git(folder, "commit", "-q", "-m", message, who=who)
