"""The command as a fixture."""

from __future__ import annotations

from pathlib import Path

import pytest
from arclore.tui.command import main

from tests.command.running import Ran, Run


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Call the command with these arguments; no library of the machine's own user gets in."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))

    def call(*arguments: str) -> Ran:
        capsys.readouterr()
        code = main(arguments)
        out, err = capsys.readouterr()
        return Ran(code, out, err)

    return call
