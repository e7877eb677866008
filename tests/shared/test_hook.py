"""The hook stands before real commits: what would be committed counts, and no other hook is touched."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put

ORLA = "Orla Fenwick <orla@larkmoor.example>"


@pytest.fixture
def library(make: Make) -> Path:
    """A library in a folder of a repository that holds other things too."""
    folder = make("place with spaces/larkmoor")
    text = (folder / "library.yaml").read_text(encoding="utf-8")
    (folder / "library.yaml").write_text(text.replace("place with spaces/", ""), encoding="utf-8")
    top = folder.parent
    git(top, "init", "-q")
    commit(top, ORLA, "begin")
    return folder


def committed(top: Path) -> subprocess.CompletedProcess[str]:
    """Commit what is staged, as a person would."""
    who = ("-c", "user.name=Orla Fenwick", "-c", "user.email=orla@larkmoor.example")
    command = ["git", *who, "commit", "-q", "-m", "a drill"]
    return subprocess.run(command, cwd=top, capture_output=True, text=True, encoding="utf-8", timeout=300)


def test_a_commit_is_refused_for_what_is_staged(library: Path, run: Run) -> None:
    top = library.parent
    told = run("library", "hook", library)
    assert (told.code, told.err) == (Exit.DONE, "")
    assert run("library", "hook", library).code == Exit.DONE  # its own hook it may write again
    sound = drill("larkmoor-brush")
    put(library, {**sound, "for": {"causes": ["no-such-cause"]}})
    git(top, "add", ".")
    put(library, sound)  # mended in the folder alone
    refused = committed(top)
    assert refused.returncode == 1
    rows = [line for line in refused.stderr.splitlines() if "no-such-cause" in line]
    assert rows and rows[0].startswith("drills/larkmoor-brush.yaml:")
    assert git(top, "log", "--format=%s").split() == ["begin"]
    git(top, "add", ".")
    put(library, {**sound, "for": {"causes": ["no-such-cause"]}})  # spoiled in the folder alone
    assert committed(top).returncode == 0
    assert git(top, "log", "--format=%s").splitlines() == ["a drill", "begin"]


def test_another_hook_is_left_alone(library: Path, run: Run) -> None:
    path = library.parent / ".git" / "hooks" / "pre-commit"
    path.parent.mkdir(exist_ok=True)
    path.write_text("#!/bin/sh\nmake check\n", encoding="utf-8")
    told = run("library", "hook", library)
    assert (told.code, told.out) == (Exit.WRONG_USE, "")
    assert str(path) in told.err and "--print" in told.err and told.err.count("\n") == 1
    assert path.read_text(encoding="utf-8") == "#!/bin/sh\nmake check\n"
    assert run("library", "hook", library, "--print").out.startswith("#!/bin/sh\n")


def test_it_is_written_where_git_looks_for_it(library: Path, run: Run) -> None:
    git(library, "config", "core.hooksPath", "our hooks")
    assert run("library", "hook", library).code == Exit.DONE
    assert (library.parent / "our hooks" / "pre-commit").stat().st_mode & 0o777 == 0o755
    assert not (library.parent / ".git" / "hooks" / "pre-commit").exists()


def test_outside_git_it_says_so(make: Make, run: Run) -> None:
    told = run("library", "hook", make("tidewell"))
    assert told.code == Exit.WRONG_USE
    assert "not in git" in told.err
