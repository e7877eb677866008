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
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from arclore.engine.library.problems import shortened
from arclore.engine.library.read import read_yaml
from arclore.engine.upkeep import git
from arclore.engine.upkeep.history import History
from arclore.engine.upkeep.people import Person

SETTING = "signers"
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
    path = folder / "library.yaml"
    if not path.exists() and not path.is_symlink():
        return False
    document, _ = read_yaml(path)
    return document is None or SETTING in document.value


def signatures(folder: Path, history: History, paths: Iterable[str]) -> dict[str, Signature]:
    """Who signed each of these files of a library folder, by path relative to it."""
    files = list(paths)
    if history.kind == "release":
        unsigned = Signature(why_not="not signed, as the release tells it")
        return {path: _as_told(history.signers[path]) if path in history.signers else unsigned for path in files}
    if history.kind == "none":
        return dict.fromkeys(files, Signature(why_not="not signed: the library is not in git"))
    commits = {path: history.commits[path] for path in files if path in history.commits}
    try:
        verified = _verified(folder, sorted(set(commits.values()))) if commits else {}
    except git.GitError as error:
        return dict.fromkeys(files, Signature(why_not=f"its signature can't be verified: {error}"))
    uncommitted = Signature(why_not="not committed")
    return {path: verified[commits[path]] if path in commits else uncommitted for path in files}


def signed_by(signature: Signature, who: Person) -> str:
    """Why a signature is not this person's own, or nothing where it is: by address, or by name where it has none."""
    if signature.why_not:
        return signature.why_not
    own = who.email if "@" in signature.signer else who.name
    if own and own.casefold() == signature.signer.casefold():
        return ""
    return f"signed by {shortened(signature.signer, 80)}, not by its reviewer"


def _as_told(signer: str) -> Signature:
    return Signature(signer) if signer else Signature(why_not=_SAID["N"])


def _verified(folder: Path, commits: list[str]) -> dict[str, Signature]:
    """What git says of each commit's signature. Raises GitError where it can't say."""
    if shutil.which("ssh-keygen") is None:
        raise git.GitError("ssh-keygen is not installed")
    found = re.search(r"(\d+)\.(\d+)", git.text(None, "version"))
    if not found or (int(found[1]), int(found[2])) < _OLDEST_GIT:
        raise git.GitError("git 2.34 or newer is needed")
    with tempfile.TemporaryDirectory(prefix="arclore-") as place:
        allowed = Path(place) / "signers"
        allowed.write_bytes(_allowed_signers(folder))
        own = ("-c", "gpg.ssh.program=ssh-keygen", "-c", f"gpg.ssh.allowedSignersFile={allowed}")
        names = "".join(f"{name}\n" for name in commits).encode()
        told = git.git(folder, *own, "log", "--no-walk=unsorted", "--stdin", _FORMAT, data=names)
    rows = [row.split("\x02") for row in told.decode("utf-8", "replace").split("\n") if row]
    return {name: _signature(verdict, signer, key) for name, verdict, signer, key in rows}


def _signature(verdict: str, signer: str, key: str) -> Signature:
    if verdict == "G" and signer:
        return Signature(signer)
    named = f": {shortened(key, 60)}" if verdict == "U" and key else ""
    return Signature(why_not=_SAID.get(verdict, "its signature can't be verified") + named)


def _allowed_signers(folder: Path) -> bytes:
    """The list of signers as it was last committed. Raises GitError where there is none."""
    document, _ = read_yaml(folder / "library.yaml")
    name = document.value.get(SETTING) if document else None
    if not isinstance(name, str) or not name:
        raise git.GitError("library.yaml can't be read, so the list of signers is not known")
    try:
        return git.git(folder, "cat-file", "blob", f"HEAD:./{name}")
    except git.GitError:
        raise git.GitError(f"the list of signers, {shortened(name, 60)}, is not committed") from None
