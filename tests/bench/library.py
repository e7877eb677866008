"""A library of 10,000 entries: the whole check, cold and kept, search, two of them compared; a schema checker on it."""

from __future__ import annotations

import json
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from arclore.engine.library.folder import KIND_OF_FOLDER
from arclore.engine.library.schema import written_out
from arclore.engine.library.stack import load_layers
from arclore.tui.library_search import catalogue

from tests.library.grown import grow

ENTRIES = 10_000
ASKED = ("the ball starts on the far side", "grip", "path")


def run() -> list[str]:
    """Wall-clock times and the greatest memory of the check, in one run."""
    with tempfile.TemporaryDirectory() as folder:
        root = grow(Path(folder) / "grown", ENTRIES)
        check = [sys.executable, "-m", "arclore.tui", "library", "check", str(root)]
        cache = {**os.environ, "XDG_CACHE_HOME": folder}
        cold, warm = _timed(check, cache), _timed(check, cache)
        memory = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
        rows = [
            f"{ENTRIES} entries, all of `library check`: {cold:.1f} s, {warm:.2f} s when kept; {memory:.0f} MB",
            _searched(root),
            *_compared(root, Path(folder) / "changed", cache),
        ]
        if tool := shutil.which("check-jsonschema", path=str(Path(sys.executable).parent)):
            other = sum(_timed(command, cache) for command in _schema_alone(tool, root, Path(folder)))
            rows.append(f"check-jsonschema, the schemas alone: {other:.1f} s, {other / cold:.1f} times as long")
        else:
            rows.append("check-jsonschema is not there: pip install -e '.[bench]'")
    return rows


def _timed(command: list[str], environment: dict[str, str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=False)
    return time.perf_counter() - start


def _compared(root: Path, other: Path, environment: dict[str, str]) -> list[str]:
    """How much processor time it takes to compare the library with one in which an entry differs, first and again."""
    shutil.copytree(root, other)
    compare = [sys.executable, "-m", "arclore.tui", "library", "compare", str(root), str(other)]
    rows = []
    for kind, edit in CHANGES.items():
        path = next(path for path in sorted((other / f"{kind}s").glob("*.yaml")) if edit(path.read_text("utf-8")))
        was = path.read_text("utf-8")
        path.write_text(edit(was), "utf-8")
        first, again = _work(compare, environment), _work(compare, environment)
        path.write_text(was, "utf-8")
        rows.append(f"`library compare`, a changed {kind}: {first:.1f} s of processor time, then {again:.1f} s")
    return rows


def _work(command: list[str], environment: dict[str, str]) -> float:
    """Processor time (s), of all processes together: it hardly depends on what else runs."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=False)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _titled(text: str) -> str:
    return re.sub(r"^title: .*$", "title: another title", text, count=1, flags=re.MULTILINE)


def _resized(text: str) -> str:
    """The text of a cause with its first size changed; empty where it has none."""
    found = re.search(r"size: (-?[\d.]+)", text)
    return text.replace(found[0], f"size: {1.25 * float(found[1]):.3f}", 1) if found else ""


CHANGES = {"drill": _titled, "cause": _resized}


def _searched(root: Path) -> str:
    found = catalogue({key: document.value for key, document in load_layers([root]).documents.items()})
    start = time.perf_counter()
    for text in ASKED:
        found.search(text)
    return f"one search over them: {1000.0 * (time.perf_counter() - start) / len(ASKED):.0f} ms"


def _schema_alone(tool: str, root: Path, folder: Path) -> list[list[str]]:
    """One command for each folder of entries, with the kind's schema in one file, so that nothing is fetched."""
    commands = []
    for name, kind in KIND_OF_FOLDER.items():
        files = sorted(map(str, (root / name).glob("*.yaml"))) if (root / name).is_dir() else []
        if files:
            schema = {key: value for key, value in written_out(kind).items() if key != "$id"}
            path = folder / f"{kind}.json"
            path.write_text(json.dumps(schema), encoding="utf-8")
            commands.append([tool, "--schemafile", str(path), *files])
    return commands
