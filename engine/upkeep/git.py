"""Git, called so that a stranger's repository can make it run nothing and follow nothing."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Sequence
from pathlib import Path

from arclore.engine.library.problems import shortened

SECONDS = 120
_QUIET = (
    *("-c", "core.fsmonitor=false", "-c", f"core.hooksPath={os.devnull}", "-c", "core.symlinks=false"),
    *("-c", "protocol.ext.allow=never", "-c", "core.quotePath=false"),
    *("-c", "gpg.program=false", "-c", "gpg.x509.program=false"),
)
LOG = ("log", "--encoding=UTF-8", "--no-show-signature", "--no-ext-diff", "--no-textconv")  # whatever is set elsewhere
_ADDRESS = re.compile(r"(?:https?|ssh|git|file)://[^\s]+|[\w.-]+@[\w.-]+:[^\s]+|[^\s]+\.git/?", re.ASCII)


class GitError(Exception):
    """Git could not do it; the text is one line."""


def is_address(text: str) -> bool:
    """Whether the text is spelt as an address that git can clone; flags and commands in disguise are not."""
    return not text.startswith("-") and "::" not in text and bool(_ADDRESS.fullmatch(text))


def is_bare(folder: Path) -> bool:
    """Whether a folder is a repository without files of its own, from which others clone."""
    return (folder / "HEAD").is_file() and all((folder / name).is_dir() for name in ("objects", "refs"))


def git(folder: Path | None, *arguments: str, data: bytes | None = None, reach: str = "nowhere") -> bytes:
    """The output of a git command in a folder. Raises GitError where git is missing or fails.

    ``reach``: the kinds of address it may ask, joined by colons. Else none: a folder's settings may bid git get what
    the folder lacks from an address, by a program of their choice.
    """
    place = () if folder is None else ("-C", str(folder))
    environment = {
        **os.environ,
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_ALLOW_PROTOCOL": reach,
        "GIT_NO_LAZY_FETCH": "1",
        "GIT_OPTIONAL_LOCKS": "0",
        "LC_ALL": "C",
    }
    command = ["git", "--no-pager", "--no-replace-objects", *_QUIET, *place, *arguments]
    try:
        done = subprocess.run(command, input=data, capture_output=True, env=environment, timeout=SECONDS)
    except FileNotFoundError:
        raise GitError("git is not installed") from None
    except subprocess.TimeoutExpired:
        raise GitError(f"git took more than {SECONDS} seconds") from None
    if done.returncode:
        raise GitError(shortened(_reason(done.stderr.decode("utf-8", "replace")), 200))
    return done.stdout


def _reason(said: str) -> str:
    """Why git failed: the first line that is not about something else, with the one after it where it leads to it."""
    lines = [line.strip() for line in said.splitlines()]
    told = [line for line in lines if line and not line.lower().startswith(("warning:", "hint:"))]
    first = " ".join(told[: 2 if told and told[0].endswith(":") else 1])
    return re.sub(r"^(?:fatal|error): ", "", first) or "git failed"


def text(folder: Path | None, *arguments: str) -> str:
    """The output of a git command as text, bytes that are not UTF-8 replaced."""
    return git(folder, *arguments).decode("utf-8", "replace")


def clone(address: str, target: Path) -> None:
    """Clone an address into a new folder: links become plain files, submodules are left. Raises GitError."""
    if not is_address(address):
        raise GitError(f"{shortened(address, 80)!r} is not an address that git can clone safely")
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    plain: Sequence[str] = ("--no-recurse-submodules", "--config", "core.symlinks=false", "--template=")
    git(None, "clone", "--quiet", *plain, "--", address, str(target), reach="file:git:http:https:ssh")


def top(folder: Path) -> Path | None:
    """The root of the working tree that a folder stands in, or None outside git.

    Raises GitError where git is there and can't or won't read it: its history must not be taken for none.
    """
    try:
        return Path(os.fsdecode(git(folder, "rev-parse", "--show-toplevel")).rstrip("\n"))
    except GitError:
        if any(os.path.lexists(place / ".git") for place in (folder, *folder.parents)):
            raise
        return None


def files_at(folder: Path, revision: str, wanted: re.Pattern[str], most_bytes: int) -> dict[str, bytes]:
    """What the files of a folder held at a revision, by their paths in it, those alone whose path fits.

    Links, submodules and files above ``most_bytes`` are left out. Raises GitError for an unknown revision, or one of
    which git has not all contents.
    """
    try:
        commit = text(folder, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}").strip()
    except GitError:
        raise GitError(f"it is no revision of {folder}") from None
    chosen: list[tuple[str, str]] = []
    for row in text(folder, "ls-tree", "-r", "-l", "-z", commit, "--", ".").split("\0"):
        about, _, path = row.partition("\t")
        mode, _, name, size = about.split() if about else ("", "", "", "")
        if mode not in ("100644", "100755") or not wanted.fullmatch(path):
            continue
        if not size.isdigit():
            raise GitError(f"git lacks what {shortened(path, 80)} held then")
        if int(size) <= most_bytes:
            chosen.append((name, path))
    data = blobs(folder, [name for name, _ in chosen])
    return {path: data[name] for name, path in chosen}


def blobs(folder: Path, names: Sequence[str]) -> dict[str, bytes]:
    """The contents of objects by their names; those that git does not have are left out."""
    wanted = list(dict.fromkeys(names))
    data = git(folder, "cat-file", "--batch", data="".join(f"{name}\n" for name in wanted).encode())
    found, at = {}, 0
    for name in wanted:
        end = data.index(b"\n", at)
        about = data[at:end].split(b" ")
        at = end + 1
        if len(about) == 3:  # name, type, length; else it is missing
            found[name] = data[at : at + int(about[2])]
            at += int(about[2]) + 1
    return found
