"""An approval is of exact content: any byte of it drops the approval; layout, order and comments never do."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep.history import History, history_of
from arclore.engine.upkeep.statuses import statuses
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.shared.conftest import commit, git
from tests.shared.test_review import BRUSH, ORLA, PIERS, TODAY, judge, status_of

Approved = tuple[Path, History]
TYPED = """\
# as we do it on the lower range
schema: 1
kind: drill
id: larkmoor-brush
title: the club brushes the grass   # in summer
author: Orla Fenwick
cue: "brush it once"
steps:
  - Swing slowly, ten times.
  - Brush the same spot.
minutes: 8
dose: {sets: 2, repetitions: 10, with_ball: false}
"""


@pytest.fixture(scope="module")
def approved(tmp_path_factory: pytest.TempPathFactory) -> Approved:
    """A library whose one drill is approved as typed, and its history."""
    folder = tmp_path_factory.mktemp("approved") / "larkmoor"
    (folder / "drills").mkdir(parents=True)
    rest = {name: value for name, value in BRUSH.items() if f"\n{name}: " not in f"\n{TYPED}" and name != "steps"}
    text = TYPED + "".join(f"{name}: {json.dumps(value)}\n" for name, value in rest.items())
    (folder / "drills" / "larkmoor-brush.yaml").write_text(text, encoding="utf-8")
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    judge(folder, content=load_layers([folder]).drills["larkmoor-brush"])
    commit(folder, PIERS)
    assert status_of(folder).status == "approved"
    return folder, history_of(folder)


def read_again(approved: Approved, data: bytes) -> tuple[Any, str]:
    """The entry and its status with these bytes in its file, which is put back; None where it is not read."""
    folder, history = approved
    path = folder / "drills" / "larkmoor-brush.yaml"
    before = path.read_bytes()
    path.write_bytes(data)
    try:
        library = load_layers([folder])
        found, _ = statuses(library, folder, history, TODAY)
    finally:
        path.write_bytes(before)
    return library.drills.get("larkmoor-brush"), found[0].status if found else ""


@settings(max_examples=150, deadline=None)
@given(st.data(), st.sampled_from(["change", "insert", "delete"]))
def test_any_single_byte_of_content_drops_the_approval(approved: Approved, data: st.DataObject, way: str) -> None:
    text = (approved[0] / "drills" / "larkmoor-brush.yaml").read_bytes()
    at = data.draw(st.integers(0, len(text) - 1))
    byte = bytes([data.draw(st.one_of(st.integers(32, 126), st.integers(0, 255)))]) if way != "delete" else b""
    changed = text[:at] + byte + text[at + (way != "insert") :]
    entry, status = read_again(approved, changed)
    same_content = entry is not None and json.dumps(entry, sort_keys=True) == json.dumps(
        read_again(approved, text)[0], sort_keys=True
    )
    assert (status == "approved") == same_content


@settings(max_examples=60, deadline=None)
@given(st.data(), st.text(alphabet=st.characters(min_codepoint=32, max_codepoint=0x17F), max_size=40))
def test_no_comment_no_order_and_no_empty_line_does(approved: Approved, data: st.DataObject, note: str) -> None:
    text = (approved[0] / "drills" / "larkmoor-brush.yaml").read_text(encoding="utf-8")
    blocks = re.split(r"\n(?=[a-z#])", text.strip())
    notes = "".join(c for c in note if c.isprintable())
    ends = st.sampled_from(["", "\n", f"\n# {notes}", "\n\n\n", "\r"])
    changed = "\n".join(block + data.draw(ends) for block in data.draw(st.permutations(blocks))) + "\n"
    entry, status = read_again(approved, changed.encode())
    assert (entry is not None, status) == (True, "approved")
