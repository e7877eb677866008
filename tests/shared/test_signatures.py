"""Signed approvals, verified through git: who signed, or in one line why it does not count."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep import signatures as signed
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.layers import replaced_settings
from arclore.engine.upkeep.statuses import statuses
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, commit, drill, git, put
from tests.shared.test_review import BRUSH, NADIA, ORLA, PIERS, TODAY, judge, status_of

pytestmark = pytest.mark.skipif(shutil.which("ssh-keygen") is None, reason="ssh-keygen is not installed")


@dataclass(frozen=True)
class Keys:
    """Throwaway keys by person."""

    folder: Path

    def make(self, who: str) -> str:
        """The path of the person's key, made when first asked for."""
        path = self.folder / who.partition(" ")[0].lower()
        if not path.exists():
            made = ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "throwaway", "-f", str(path)]
            subprocess.run(made, check=True, timeout=20)
        return str(path)

    def line(self, who: str) -> str:
        """The person's line in a list of allowed signers."""
        public = Path(self.make(who) + ".pub").read_text(encoding="utf-8").split()
        return f"{who.partition(' <')[2].rstrip('>')} {public[0]} {public[1]}\n"

    def commit(self, folder: Path, who: str, key_of: str = "") -> None:
        """Commit everything, signed with the key of this person or of another one."""
        git(folder, "add", "-A", ".")
        key = self.make(key_of or who)
        own = ("-c", "gpg.format=ssh", "-c", f"user.signingkey={key}", "-c", "gpg.ssh.program=ssh-keygen")
        git(folder, *own, "commit", "-q", "-S", "-m", "signed", who=who)


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Keys:
    return Keys(tmp_path_factory.mktemp("keys"))


@pytest.fixture
def library(make: Make, keys: Keys) -> Path:
    """A library that demands signatures and lists those of Piers and Orla."""
    folder = make("larkmoor", BRUSH)
    with (folder / "library.yaml").open("a", encoding="utf-8") as file:
        file.write("signers: allowed_signers\n")
    (folder / "allowed_signers").write_text(keys.line(PIERS) + keys.line(ORLA), encoding="utf-8")
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    judge(folder)
    return folder


def why(folder: Path) -> str:
    return status_of(folder).reviews[0].why_not


def test_an_approval_signed_by_its_reviewer_counts_and_says_by_whom(run: Run, library: Path, keys: Keys) -> None:
    keys.commit(library, PIERS)
    status = status_of(library)
    assert (status.status, why(library), status.reviews[0].signer) == ("approved", "", "piers@larkmoor.example")
    told = run("library", "status", library, "--json").json
    validator("library-status").validate(told)
    assert told["entries"][0]["reviews"][0]["signer"] == "piers@larkmoor.example"
    assert "signed by piers@larkmoor.example" in run("library", "status", library).out


@pytest.mark.parametrize("verdict", ["B", "U", "X", "Y", "R", "E", "N", ""])
def test_only_a_good_signature_names_its_signer(verdict: str) -> None:
    assert signed._signature("G", "orla@larkmoor.example", "SHA256:x").signer == "orla@larkmoor.example"
    doubtful = signed._signature(verdict, "orla@larkmoor.example", "SHA256:x")
    assert (doubtful.signer, bool(doubtful.why_not)) == ("", True)


def test_what_is_not_signed_by_its_reviewer_does_not_count(library: Path, keys: Keys) -> None:
    commit(library, PIERS)
    assert (status_of(library).status, why(library)) == ("in-review", "not signed with an SSH key")
    git(library, "reset", "-q", "--soft", "HEAD^")
    keys.commit(library, PIERS, key_of=NADIA)
    assert why(library).startswith("signed with a key that is not on the list of signers: SHA256:")
    git(library, "reset", "-q", "--soft", "HEAD^")
    keys.commit(library, PIERS, key_of=ORLA)
    assert why(library) == "signed by orla@larkmoor.example, not by its reviewer"


def test_git_is_asked_once_for_a_good_signature_and_again_for_a_doubtful_one(
    library: Path, keys: Keys, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(library.parent / "kept"))  # what other tests kept is not asked of
    keys.commit(library, PIERS)
    asked: list[str] = []
    ask = signed._by_ssh
    monkeypatch.setattr(signed, "_by_ssh", lambda at, names, by: asked.extend(names) or ask(at, names, by))
    brought = git(library, "rev-parse", "HEAD").strip()
    for _ in range(2):
        assert status_of(library).status == "approved"
    assert asked == [brought]
    git(library, "config", "gpg.ssh.revocationFile", str(library.parent / "revoked"))
    (library.parent / "revoked").write_text(keys.line(PIERS).partition(" ")[2], encoding="utf-8")
    assert (status_of(library).status, asked) == ("in-review", [brought] * 2)
    git(library, "config", "--unset", "gpg.ssh.revocationFile")
    git(library, "reset", "-q", "--soft", "HEAD^")
    keys.commit(library, PIERS, key_of=NADIA)
    asked.clear()
    for _ in range(2):
        assert why(library).startswith("signed with a key that is not on the list of signers")
    assert len(asked) == 2


def test_a_good_signature_is_kept_for_what_the_commit_says_not_for_its_name(
    library: Path, keys: Keys, monkeypatch: pytest.MonkeyPatch
) -> None:
    keys.commit(library, PIERS)
    assert status_of(library).status == "approved"
    asked: list[str] = []
    read = signed.git.blobs
    monkeypatch.setattr(signed, "_by_ssh", lambda at, names, by: asked.extend(names) or {})
    status_of(library)
    assert not asked
    name = git(library, "rev-parse", "HEAD").strip()
    forged = {name: read(library, [name])[name] + b"and more"}
    monkeypatch.setattr(signed.git, "blobs", lambda at, names: forged if [*names] == [name] else read(at, names))
    with pytest.raises(KeyError):  # here nobody tells of it
        status_of(library)
    assert asked == [name]


def test_a_signature_moved_onto_another_commit_does_not_count(library: Path, keys: Keys) -> None:
    keys.commit(library, PIERS)
    text = git(library, "cat-file", "commit", "HEAD")
    forged = text.replace("\n\nsigned", "\n\nsigned by somebody")
    done = subprocess.run(
        ["git", "-C", str(library), "hash-object", "-t", "commit", "-w", "--stdin"],
        input=forged, capture_output=True, text=True, check=True, timeout=30,
    )  # fmt: skip
    git(library, "reset", "-q", "--soft", done.stdout.strip())
    assert (status_of(library).status, why(library)) == ("in-review", "its signature does not fit it")


def test_the_commit_that_brought_it_as_it_stands_is_the_one_that_counts(library: Path, keys: Keys) -> None:
    commit(library, PIERS)
    path = next((library / "reviews").iterdir())
    text = path.read_text(encoding="utf-8")
    path.write_text(text + "# looked at again\n", encoding="utf-8")
    keys.commit(library, PIERS)
    assert why(library) == ""
    path.write_text(text, encoding="utf-8")
    keys.commit(library, PIERS)
    assert why(library) == "not signed with an SSH key"


def test_the_list_of_signers_counts_as_committed_and_a_pattern_is_nobody(library: Path, keys: Keys) -> None:
    keys.commit(library, PIERS)
    listed = library / "allowed_signers"
    text = listed.read_text(encoding="utf-8")
    listed.write_text(text.replace("piers@", "quentin@"), encoding="utf-8")
    assert why(library) == ""
    keys.commit(library, ORLA)
    assert why(library) == "signed by quentin@larkmoor.example, not by its reviewer"
    listed.write_text(text.replace("piers@", "*@"), encoding="utf-8")
    keys.commit(library, ORLA)
    assert why(library) == "signed by *@larkmoor.example, not by its reviewer"
    listed.unlink()
    keys.commit(library, ORLA)
    assert why(library) == "its signature can't be verified: the list of signers is not committed"


def test_only_someone_on_the_list_changes_the_list_or_lifts_the_demand(run: Run, library: Path, keys: Keys) -> None:
    def seen() -> tuple[str, list[str]]:
        found, rows = statuses(load_layers([library]), library, history_of(library), TODAY)
        return found[0].status, [row.code for row in rows]

    shutil.rmtree(library / "reviews")
    judge(library, NADIA)
    keys.commit(library, NADIA)
    assert seen() == ("in-review", [])
    listed, settings_file = library / "allowed_signers", library / "library.yaml"
    text, settings = listed.read_text(encoding="utf-8"), settings_file.read_text(encoding="utf-8")
    listed.write_text(text + keys.line(NADIA), encoding="utf-8")
    commit(library, NADIA)
    assert seen() == ("in-review", ["unsigned-signers"])
    assert "unsigned-signers" in run("library", "check", library).out
    keys.commit(put(library, drill("larkmoor-sweep")), NADIA)
    listed.write_text(text + keys.line(NADIA) + "# and again\n", encoding="utf-8")
    keys.commit(library, NADIA)
    assert seen() == ("in-review", ["unsigned-signers"]), "nobody signs themselves on"
    settings_file.write_text(settings.replace("signers: allowed_signers\n", ""), encoding="utf-8")
    commit(library, NADIA)
    assert seen() == ("in-review", ["unsigned-signers"])
    (library / "other").write_text(keys.line(NADIA), encoding="utf-8")
    settings_file.write_text(settings.replace("allowed_signers", "other"), encoding="utf-8")
    keys.commit(library, NADIA)
    assert seen() == ("in-review", ["unsigned-signers"])
    listed.write_text(text, encoding="utf-8")
    settings_file.write_text(settings, encoding="utf-8")
    commit(library, NADIA)
    assert seen() == ("in-review", []), "all is as it was"
    listed.write_text(text + keys.line(NADIA), encoding="utf-8")
    keys.commit(library, ORLA)
    assert seen() == ("approved", []), "now Orla has signed her on"
    settings_file.write_text(settings.replace("signers: allowed_signers\n", ""), encoding="utf-8")
    keys.commit(library, NADIA)
    commit(put(library, drill("larkmoor-rake")), PIERS)
    assert seen() == ("approved", [])
    assert not signed.demanded(library)


def test_where_nothing_can_verify_nothing_counts(
    library: Path, keys: Keys, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    keys.commit(library, PIERS)
    listed = library / "allowed_signers"
    listed.write_text(listed.read_text(encoding="utf-8") + "# ours\n", encoding="utf-8")
    keys.commit(library, ORLA)
    with monkeypatch.context() as patched:
        patched.setattr(signed.shutil, "which", lambda _: None)
        assert why(library) == "its signature can't be verified: ssh-keygen is not installed"
    with monkeypatch.context() as patched:
        patched.setattr(signed, "_OLDEST_GIT", (99, 0))
        assert why(library) == "its signature can't be verified: git 2.34 or newer is needed"
    history = history_of(library)
    with monkeypatch.context() as patched:
        patched.setenv("PATH", str(tmp_path))
        patched.setattr(signed.shutil, "which", lambda _: "/ssh-keygen")
        found, _ = statuses(load_layers([library]), library, history, TODAY)
        assert found[0].reviews[0].why_not == "its signature can't be verified: git is not installed"
    shutil.rmtree(library / ".git")
    assert why(library) == "the library is not in git, so nobody can tell who gave it"


def test_a_spoiled_library_file_loosens_nothing(library: Path) -> None:
    commit(library, PIERS)
    for text in ("signers: [", "signers:\n", "\x00"):
        (library / "library.yaml").write_text(text, encoding="utf-8")
        assert signed.demanded(library)
        found, _ = statuses(load_layers([library]), library, history_of(library), TODAY)
        assert found[0].status == "in-review"


def test_no_other_layer_loosens_or_tightens_it(library: Path, make: Make, keys: Keys) -> None:
    commit(library, PIERS)
    over, under = make("stonebeck", drill("stonebeck-rake")), make("heath", drill("heath-rake"))
    layers = load_layers([under, library, over])
    assert statuses(layers, library, history_of(library), TODAY)[0][0].status == "in-review"
    assert [signed.demanded(folder) for folder in (under, library, over)] == [False, True, False]
    assert replaced_settings(library) == []


def test_a_release_tells_who_signed_and_a_record_that_does_not_counts_for_nothing(
    run: Run, library: Path, keys: Keys, tmp_path: Path
) -> None:
    shutil.rmtree(library / "reviews")
    judge(library, date="2026-01-02", expires="2090-01-02")
    keys.commit(library, PIERS)
    path = tmp_path / "larkmoor.zip"
    made = run("library", "release", library, "--to", path, "--json")
    assert made.json["counts"] == {"approved": 1}, made.err
    done = run("library", "install", path, "--json")
    assert done.code == Exit.DONE, done.err
    place = Path(done.json["place"])
    told = run("library", "status", place, "--json").json["entries"][0]
    assert (told["status"], told["reviews"][0]["signer"]) == ("approved", "piers@larkmoor.example")
    record = place / "release.json"
    record.write_text(record.read_text(encoding="utf-8").replace('"signer"', '"sealer"'), encoding="utf-8")
    told = run("library", "status", place, "--json").json["entries"][0]
    assert (told["status"], told["reviews"][0]["why_not"]) == ("in-review", "not signed, as the release tells it")


def test_the_name_of_the_list_is_a_plain_one(make: Make, run: Run) -> None:
    for name in ("../signers", "/etc/passwd", "a/b", ".git", "signers.yaml", "-x", ""):
        folder = put(make("larkmoor"), BRUSH)
        text = (folder / "library.yaml").read_text(encoding="utf-8")
        (folder / "library.yaml").write_text(f"{text}signers: '{name}'\n", encoding="utf-8")
        assert [row.field for row in load_layers([folder]).problems] == ["signers"]
        make("larkmoor")
