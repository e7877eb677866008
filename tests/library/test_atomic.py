"""Files written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from arclore.engine.library.atomic import write_new, write_text


@pytest.mark.parametrize("links", [True, False])
def test_a_new_file_is_whole_and_one_that_is_there_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, links: bool
) -> None:
    if not links:
        monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError("no links here")))
    path = tmp_path / "drills" / "a.yaml"
    write_new(path, "one\n", 0o644)
    assert (path.read_text(encoding="utf-8"), path.stat().st_mode & 0o777) == ("one\n", 0o644)
    with pytest.raises(FileExistsError):
        write_new(path, "two\n")
    assert path.read_text(encoding="utf-8") == "one\n"
    write_text(path, "three\n")
    assert path.read_text(encoding="utf-8") == "three\n"
    assert [item.name for item in path.parent.iterdir()] == ["a.yaml"]
