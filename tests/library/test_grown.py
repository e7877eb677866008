"""The grown library, which scale is measured on: as sound as what it was grown from."""

from __future__ import annotations

from pathlib import Path

from arclore.engine.library.graph import build_graph
from arclore.engine.library.stack import BUILT_IN, load_layers
from arclore.engine.upkeep.audit import audit

from tests.library.grown import grow

COUNT = 760  # one of each kind at the least


def test_nothing_is_wrong_with_what_was_grown(tmp_path: Path) -> None:
    root = grow(tmp_path / "grown", COUNT)
    library = load_layers([BUILT_IN, root])
    grown = [kind for (kind, _), origin in library.origin.items() if origin == root]
    assert len(grown) == COUNT
    assert {"check", "drill", "cause", "symptom"} <= {*grown}
    found = audit(library)
    assert [row.row() for row in (*library.problems, *build_graph(library)[1], *found.errors)] == []
    assert not [row for row in found.hints if row.code == "near-duplicate"]
