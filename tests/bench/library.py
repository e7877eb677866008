"""Reading a library: strict YAML, schema and text checks and the graph, against the plain libraries alone."""

from __future__ import annotations

import json
import shutil
import tempfile
import time
from pathlib import Path

import yaml
from arclore.engine.library.graph import build_graph
from arclore.engine.library.stack import BUILT_IN, load_layers
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

SCHEMAS = BUILT_IN.parent / "schemas"
ENTRIES = 500


def run() -> list[str]:
    """The time of both on the same 500 entries, copies of built-in ones, and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        count = _copies(root)
        load_layers([root])  # imports, schemas and the disk's cache
        start = time.process_time()
        library = load_layers([root])
        build_graph(library)
        ours = time.process_time() - start
        start = time.process_time()
        _plainly(root)
        plain = time.process_time() - start
    return [
        f"{count} entries read, checked and graphed: {ours:.2f} s",
        f"pyyaml's pure safe loader and jsonschema alone: {plain:.2f} s, {plain / ours:.1f} times as long",
    ]


def _copies(root: Path) -> int:
    count = 0
    for kind in ("symptoms", "causes", "checks", "drills"):
        (root / kind).mkdir()
        for path in sorted((BUILT_IN / kind).glob("*.yaml"))[: ENTRIES // 4]:
            shutil.copy(path, root / kind)
            count += 1
    return count


def _plainly(root: Path) -> None:
    schemas = {path.stem.split(".")[0]: json.loads(path.read_text(encoding="utf-8")) for path in SCHEMAS.glob("*.json")}
    registry: Registry[object] = Registry().with_resources(
        (schema["$id"], Resource.from_contents(schema)) for schema in schemas.values() if "$id" in schema
    )
    validators = {kind: Draft202012Validator(schema, registry=registry) for kind, schema in schemas.items()}
    for path in sorted(root.glob("*/*.yaml")):
        value = yaml.safe_load(path.read_text(encoding="utf-8"))
        list(validators[value["kind"]].iter_errors(value))
