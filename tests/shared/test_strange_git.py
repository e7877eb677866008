"""Repositories whose own settings bid git run a program: git alone runs it, Arclore never has it run."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep import git as safely
from arclore.engine.upkeep.compare import opened
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.layers import LayerError, add, remove
from arclore.engine.upkeep.statuses import statuses
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import commit, drill, git, put
from tests.shared.strange_folders import sound
from tests.shared.test_review import ORLA, PIERS, TODAY, judge

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="the traps are shell scripts"),
    pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed"),
]
NOTHING = "4b825dc642cb6eb9a060e54bf8d69288fbee4904"  # how git names a tree without files
LAZY = '[core]\n\trepositoryformatversion = 1\n[extensions]\n\tpartialClone = far\n[remote "far"]\n\tpromisor = true\n'
WEIGHED = "TRAP\n[log]\n\tshowSignature = true\n"
SEALS = {"PGP SIGNATURE": "gpg", "SSH SIGNATURE": "ssh", "SIGNED MESSAGE": "x509"}
TRAPS = {  # by what each does: the settings, and the git command that walks into them
    "status asks a program": ("[core]\n\tfsmonitor = TRAP\n", "status"),
    "hooks": ("[core]\n\thooksPath = HOOKS\n", "checkout -q HEAD"),
    "files go through a program": ('[filter "x"]\n\tclean = TRAP; cat\n\tsmudge = TRAP; cat\n', "add --renormalize ."),
    "files are shown by a program": ('[diff "x"]\n\ttextconv = TRAP; cat\n', "log -p -- library.yaml"),
    "differences are shown by a program": ("[diff]\n\texternal = TRAP\n", f"diff {NOTHING} HEAD -- library.yaml"),
    "a program weighs PGP signatures": ("[gpg]\n\tprogram = " + WEIGHED, "log -1 gpg"),
    "a program weighs SSH signatures": (
        '[gpg "ssh"]\n\tallowedSignersFile = /dev/null\n\tprogram = ' + WEIGHED, "log -1 ssh"
    ),
    "a program weighs X.509 signatures": ('[gpg "x509"]\n\tprogram = ' + WEIGHED, "log -1 x509"),
    "what is missing comes from a program": (LAZY + "\turl = .\n\tuploadpack = TRAP;\n", "cat-file -p MISSING"),
    "what is missing comes by ssh": (
        LAZY + "\turl = ssh://far/x\n[core]\n\tsshCommand = TRAP\n", "cat-file -p MISSING"
    ),
    "what is missing comes by a helper": (
        LAZY + "\turl = ext::TRAP\n[protocol]\n\tallow = always\n", "cat-file -p MISSING"
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def sealed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with a history, an index, commits that bear every kind of signature, and one content missing."""
    folder = sound(tmp_path_factory.mktemp("sealed") / "heath")
    (folder / ".gitattributes").write_text("* filter=x diff=x\n", encoding="utf-8")
    with (folder / "library.yaml").open("a", encoding="utf-8") as file:
        file.write("signers: allowed_signers\n")
    (folder / "allowed_signers").write_text("orla@larkmoor.example ssh-ed25519 AAAA\n", encoding="utf-8")
    git(folder, "init", "-q")
    commit(folder, ORLA)
    put(folder, entry := drill("heath-a", author="Orla Fenwick", minutes=9))
    commit(folder, ORLA)
    judge(folder, PIERS, "comment", entry)
    commit(folder, PIERS)
    for seal, name in SEALS.items():
        head, _, message = git(folder, "cat-file", "commit", "HEAD").partition("\n\n")
        lines = f"gpgsig -----BEGIN {seal}-----\n \n AAAA\n -----END {seal}-----"
        made = subprocess.run(
            ["git", "-C", str(folder), "hash-object", "-w", "-t", "commit", "--stdin"],
            input=f"{head}\n{lines}\n\n{message}", capture_output=True, text=True, timeout=30, check=True,
        )  # fmt: skip
        git(folder, "update-ref", f"refs/tags/{name}", made.stdout.strip())
    gone = git(folder, "rev-parse", "HEAD~2:drills/heath-a.yaml").strip()
    (folder / ".git" / "objects" / gone[:2] / gone[2:]).unlink()
    return folder


def trapped(sealed: Path, place: Path, settings: str) -> tuple[Path, Path]:
    """A copy of the library with these settings, and the file that stands once a trap has been sprung."""
    folder = Path(shutil.copytree(sealed, place / "heath", symlinks=True))
    hurt, hooks = place / "hurt", place / "hooks"
    trap = place / "trap"
    trap.write_text(f"#!/bin/sh\n: > '{hurt}'\nexit 1\n", encoding="utf-8")
    trap.chmod(0o755)
    hooks.mkdir()
    for name in ("post-checkout", "post-index-change", "pre-commit", "reference-transaction", "post-rewrite"):
        shutil.copy(trap, hooks / name)
    with (folder / ".git" / "config").open("a", encoding="utf-8") as file:
        file.write(settings.replace("TRAP", str(trap)).replace("HOOKS", str(hooks)))
    return folder, hurt


@pytest.fixture(params=TRAPS)
def trap(request: pytest.FixtureRequest, sealed: Path, tmp_path: Path) -> Iterator[tuple[Path, Path, str]]:
    settings, walks_in = TRAPS[request.param]
    gone = git(sealed, "rev-parse", "HEAD~2:drills/heath-a.yaml").strip()
    seal = walks_in.rpartition(" ")[2]
    git(sealed, "reset", "-q", "--soft", seal if seal in SEALS.values() else "ssh")
    folder, hurt = trapped(sealed, tmp_path, settings)
    yield folder, hurt, walks_in.replace("MISSING", gone)


def test_no_reading_of_a_library_walks_into_a_trap(trap: tuple[Path, Path, str], run: Run) -> None:
    folder, hurt, walks_in = trap
    said = []
    try:
        statuses(load_layers([folder]), folder, history_of(folder), TODAY)
    except safely.GitError as error:
        said.append(str(error))
    told = run("library", "hook", folder)
    assert told.code in (Exit.DONE, Exit.WRONG_USE)
    said += told.err.splitlines()
    for revision in ("HEAD", "HEAD~2"):
        try:
            assert opened(revision, folder).drills
        except LayerError as error:
            said.append(str(error))
    for source in (str(folder), (folder / ".git").as_uri()):
        try:
            layer = add(source)
            remove(layer.name)
        except LayerError as error:
            said.append(str(error))
    assert not hurt.exists()
    assert all(line.isprintable() and len(line) <= 400 for line in said)
    subprocess.run(["git", *walks_in.split()], cwd=folder, capture_output=True, timeout=30, check=False)
    assert hurt.exists(), "the trap is none"
