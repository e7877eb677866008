"""A hook for git: a commit is refused while the library in it, as it would be committed, has problems."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

from arclore.engine.library.atomic import write_text
from arclore.engine.library.problems import is_text, printable
from arclore.engine.upkeep import git

MARK = "# Written by: arclore library hook"
_TEXT = """\
#!/bin/sh
{mark}
# A commit is refused while the library in it has problems. What is checked is what would be committed, not what else
# lies in the folder. To commit once without it: git commit --no-verify
set -eu
if ! {program} --version >/dev/null 2>&1; then
  printf '%s\\n' {gone} >&2
  exit 1
fi
staged=$(mktemp -d)
trap 'rm -rf "$staged"' EXIT
git checkout-index --all --prefix="$staged/"
if ! [ -d "$staged"/{inside} ]; then
  printf '%s\\n' {nothing} >&2
  exit 0
fi
GIT_DIR=$(git rev-parse --absolute-git-dir)
GIT_WORK_TREE=$staged
export GIT_DIR GIT_WORK_TREE
unset GIT_INDEX_FILE GIT_PREFIX
cd "$staged"/{inside}
{program} library check --cases .
"""
_GONE = (
    "arclore: the commit is refused, for the Arclore that checked it is gone from {place}: write this hook anew with "
    "arclore library hook, or commit once with --no-verify"
)
_NOTHING = "arclore: the library {inside} is not in this commit, so nothing was checked"


class HookError(Exception):
    """A hook that can't be written; the text is one line that says what to do."""


def hook_text(folder: Path) -> str:
    """The hook for the library in a folder of a git working tree. Raises HookError where there is none."""
    inside = folder.resolve().relative_to(_top(folder)).as_posix()
    if not is_text(inside):
        raise HookError(f"the name of the folder {inside} is not UTF-8, so no hook can name it: give it another name")
    words = {
        "inside": inside,
        "gone": _GONE.format(place=printable(sys.executable)),
        "nothing": _NOTHING.format(inside=printable(inside)),
    }
    # -P: what stands in the library is never taken for a part of the program
    program = shlex.join([sys.executable, "-P", "-m", "arclore.tui"])
    return _TEXT.format(mark=MARK, program=program, **{name: shlex.quote(word) for name, word in words.items()})


def write_hook(folder: Path) -> Path:
    """Write the hook where git looks for it, and return its path.

    Raises HookError where there is no working tree, or a hook that this did not write, and leaves that as it is.
    """
    text = hook_text(folder)
    try:
        path = _hooks(folder) / "pre-commit"
    except git.GitError as error:
        raise HookError(str(error)) from None
    if path.is_symlink() or (path.exists() and MARK not in path.read_bytes().decode("utf-8", "replace").splitlines()):
        raise HookError(f"{path} is there already and not of this program's making: see --print, and add to it by hand")
    write_text(path, text, 0o755)
    return path


def _top(folder: Path) -> Path:
    try:
        top = git.top(folder)
    except git.GitError as error:
        raise HookError(str(error)) from None
    if top is None:
        raise HookError(f"{folder} is not in git, so there is no commit to stand before: git init {folder}")
    return top.resolve()


def _hooks(folder: Path) -> Path:
    """The folder in which git looks for hooks: a setting of its own, else one in the repository."""
    *chosen, _ = git.text(folder, "config", "--null", "--type=path", "--get-all", "core.hooksPath").split("\0")[:-1]
    if chosen:  # the last one is what every call of git from here sets
        return _top(folder) / chosen[-1]
    return (folder / git.text(folder, "rev-parse", "--git-common-dir").rstrip("\n")).resolve() / "hooks"
