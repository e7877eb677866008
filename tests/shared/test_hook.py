"""The hook stands before real commits: what would be committed counts, and no other hook is touched."""

from __future__ import annotations

import os
import subprocess
import sys
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
    hurt = program_in_the_way(top)
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
    assert not hurt.exists()


def program_in_the_way(top: Path) -> Path:
    """Put into a repository what Python would run if it looked there for its modules; what it would leave behind."""
    hurt = top / "hurt"
    for name in ("arclore/__init__.py", "arclore/tui/__main__.py", "larkmoor/yaml.py", "larkmoor/numpy.py"):
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_text(f"open({str(hurt)!r}, 'w').close()\n", encoding="utf-8")
    return hurt


def hook_of(library: Path) -> Path:
    return library.parent / ".git" / "hooks" / "pre-commit"


def test_a_commit_without_the_library_passes_and_says_that_nothing_was_checked(library: Path, run: Run) -> None:
    top = library.parent
    run("library", "hook", library)
    git(top, "rm", "-rq", "--cached", library.name)
    (top / "range-map.txt").write_text("six bays\n", encoding="utf-8")
    git(top, "add", "range-map.txt")
    done = committed(top)
    assert done.returncode == 0
    assert done.stderr.splitlines() == ["arclore: the library larkmoor is not in this commit, so nothing was checked"]
    (top / library.name).rename(top / "elsewhere")
    (top / library.name).write_text("a file now\n", encoding="utf-8")
    git(top, "add", library.name)
    assert "not in this commit" in committed(top).stderr


def test_a_hook_whose_program_is_gone_says_what_to_do(library: Path, run: Run) -> None:
    run("library", "hook", library)
    text = hook_of(library).read_text(encoding="utf-8")
    hook_of(library).write_text(text.replace(sys.executable, "/gone/bin/python3"), encoding="utf-8")
    put(library, drill("larkmoor-brush"))
    git(library.parent, "add", ".")
    done = committed(library.parent)
    assert (done.returncode, len(done.stderr.splitlines())) == (1, 1)
    assert "gone from /gone/bin/python3" in done.stderr
    assert "arclore library hook" in done.stderr
    assert git(library.parent, "log", "--format=%s").split() == ["begin"]


def test_odd_names_of_folders_are_quoted_or_refused(make: Make, run: Run) -> None:
    git(make("tidewell").parent, "init", "-q")
    top = make("tidewell").parent
    odd = (top / "tidewell").rename(top / "a $(touch hurt) 'b' \x1b[31m\nc")
    commit(top, ORLA, "begin")
    assert run("library", "hook", odd).code == Exit.DONE
    git(top, "rm", "-rq", "--cached", odd.name)
    (top / "range-map.txt").write_text("six bays\n", encoding="utf-8")
    git(top, "add", "range-map.txt")
    told = committed(top).stderr
    assert (len(told.splitlines()), told.strip().isprintable()) == (1, True)
    assert not (top / "hurt").exists()
    unspoken = odd.rename(os.fsdecode(os.fsencode(top) + b"/tide\xff"))
    refused = run("library", "hook", unspoken)
    assert (refused.code, refused.out, len(refused.err.splitlines())) == (Exit.WRONG_USE, "", 1)


def test_another_hook_is_left_alone(library: Path, run: Run) -> None:
    path = hook_of(library)
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
    assert not hook_of(library).exists()


def test_outside_git_it_says_so(make: Make, run: Run) -> None:
    told = run("library", "hook", make("tidewell"))
    assert told.code == Exit.WRONG_USE
    assert "not in git" in told.err
