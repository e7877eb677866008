"""Signed approvals: where a library names its signers, a review counts only if its own reviewer signed it.

``signers: NAME`` in a ``library.yaml`` names a file beside it, in the form of OpenSSH's allowed signers: one line a
person, an e-mail address and a public key. It holds for that library alone, so that no other layer can loosen it.
Git itself verifies the commits that brought a review; here only its words are turned into one line each. A release
carries no history: there its record says who signed.
"""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from arclore.engine.library.problems import Problem, shortened
from arclore.engine.library.read import shown
from arclore.engine.upkeep import git
from arclore.engine.upkeep.cache import NO_CACHE, Cache, user_cache
from arclore.engine.upkeep.changes import Change
from arclore.engine.upkeep.digest import digest_of_bytes
from arclore.engine.upkeep.history import History
from arclore.engine.upkeep.people import Person
from arclore.engine.upkeep.signers import SETTINGS_FILE, Signers, named_list, signers_of

_OLDEST_GIT = (2, 34)  # the first to verify SSH signatures
_FORMAT = "--format=%H%x02%G?%x02%GS%x02%GK"
_SAID = {
    "B": "its signature does not fit it",
    "N": "not signed with an SSH key",
    "U": "signed with a key that is not on the list of signers",
}


@dataclass(frozen=True)
class Signature:
    """Who signed, empty where nobody who is listed did, and why not, in words."""

    signer: str = ""
    why_not: str = ""


def demanded(folder: Path) -> bool:
    """Whether a library wants its reviews signed; one whose ``library.yaml`` can't be read may have wanted it."""
    path = folder / SETTINGS_FILE
    return (path.exists() or path.is_symlink()) and named_list(path) is not None


def signatures(
    folder: Path, history: History, paths: Iterable[str]
) -> tuple[dict[str, Signature] | None, list[Problem]]:
    """Who signed each of these files of a library folder, None where nobody has to, and rows about the list of signers.

    Paths are relative to the folder, and looked at only where signatures are wanted.
    """
    if history.kind != "git":
        return (_told(history, paths) if demanded(folder) else None), []
    files: list[str] = []
    try:
        signers = signers_of(folder, history.top, lambda commit, listed: _is_signed(folder, commit, listed))
        if signers is None and not demanded(folder):
            return None, []
        files = list(paths)
        return _by_git(folder, history, files, signers or Signers(b"")), _rows(folder, signers)
    except git.GitError as error:
        unknown = Signature(why_not=f"its signature can't be verified: {error}")
        return dict.fromkeys([*files, *paths], unknown), []


def _by_git(folder: Path, history: History, files: list[str], signers: Signers) -> dict[str, Signature]:
    commits = {path: history.commits[path] for path in files if path in history.commits}
    verified = _verified(folder, sorted(set(commits.values())), signers.listed) if commits else {}
    uncommitted = Signature(why_not="not committed")
    return {path: verified[commits[path]] if path in commits else uncommitted for path in files}


def _told(history: History, files: Iterable[str]) -> dict[str, Signature]:
    """What a release says of who signed."""
    unsigned = Signature(why_not="not signed, as the release tells it")
    signers = {path: history.signers.get(path) for path in files}
    return {path: Signature(signer) if signer else unsigned for path, signer in signers.items()}


def _is_signed(folder: Path, commit: str, listed: bytes) -> bool:
    return bool(_verified(folder, [commit], listed)[commit].signer)


def _rows(folder: Path, signers: Signers | None) -> list[Problem]:
    if signers is None or not signers.refused:
        return []
    commit = signers.refused[:10]
    message = f"the list of signers was changed in {commit}, which nobody on it signed: the old one counts"
    hint = "someone on the list has to sign a commit that changes it"
    return [Problem(shown(folder / SETTINGS_FILE), 1, 1, "unsigned-signers", message, hint)]


def signer_rows(folder: Path, changes: Sequence[Change]) -> list[Problem]:
    """A row where the list of signers was changed and nobody on it signed that. Raises GitError: see ``git``."""
    return _rows(folder, signers_of(folder, changes, lambda commit, listed: _is_signed(folder, commit, listed)))


def signed_by(signature: Signature, who: Person) -> str:
    """Why a signature is not this person's own, or nothing where it is: by address, or by name where it has none."""
    if signature.why_not:
        return signature.why_not
    own = who.email if "@" in signature.signer else who.name
    if own and own.casefold() == signature.signer.casefold():
        return ""
    return f"signed by {shortened(signature.signer, 80)}, not by its reviewer"


def _verified(folder: Path, commits: list[str], listed: bytes) -> dict[str, Signature]:
    """Whose signature each commit bears by a list of signers. Raises GitError where git can't say.

    A good one is kept: git takes long over each. A doubtful one is looked at again, for it may be doubted wrongly.
    """
    if not listed:
        raise git.GitError("the list of signers is not committed")
    if shutil.which("ssh-keygen") is None:
        raise git.GitError("ssh-keygen is not installed")
    version = git.text(None, "version")
    found = re.search(r"(\d+)\.(\d+)", version)
    if not found or (int(found[1]), int(found[2])) < _OLDEST_GIT:
        raise git.GitError("git 2.34 or newer is needed")
    cache, keys = _cache(folder), _keys(folder, commits, [version, digest_of_bytes(listed)])
    kept = {name: cache.found("signatures", key) for name, key in keys.items()}
    good = {name: Signature(signer) for name, signer in kept.items() if signer}
    asked = _by_ssh(folder, [name for name in commits if name not in good], listed)
    for name, signature in asked.items():
        if signature.signer and name in keys:
            cache.keep("signatures", keys[name], signature.signer)
    return {**good, **asked}


def _cache(folder: Path) -> Cache:
    """Where good signatures are kept; nowhere where git is told of keys that are no longer to be trusted."""
    revoked = git.text(folder, "config", "--default", "", "--get", "gpg.ssh.revocationFile").strip()
    return NO_CACHE if revoked else user_cache()


def _keys(folder: Path, commits: list[str], terms: list[str]) -> dict[str, list[str]]:
    """By what each commit's verdict is kept: by what it says, since what is filed under its name may be anything."""
    return {name: [*terms, digest_of_bytes(data)] for name, data in git.blobs(folder, commits).items()}


def _by_ssh(folder: Path, commits: list[str], listed: bytes) -> dict[str, Signature]:
    """What git says of each commit's signature."""
    if not commits:
        return {}
    with tempfile.TemporaryDirectory(prefix="arclore-") as place:
        allowed = Path(place) / "signers"
        allowed.write_bytes(listed)
        own = ("-c", "gpg.ssh.program=ssh-keygen", "-c", f"gpg.ssh.allowedSignersFile={allowed}")
        names = "".join(f"{name}\n" for name in commits).encode()
        told = git.git(folder, *own, *git.LOG, "--no-walk=unsorted", "--stdin", _FORMAT, data=names)
    rows = [row.split("\x02") for row in told.decode("utf-8", "replace").split("\n") if row]
    return {name: _signature(verdict, signer, key) for name, verdict, signer, key in rows}


def _signature(verdict: str, signer: str, key: str) -> Signature:
    if verdict == "G" and signer:
        return Signature(signer)
    named = f": {shortened(key, 60)}" if verdict == "U" and key else ""
    return Signature(why_not=_SAID.get(verdict, "its signature can't be verified") + named)
