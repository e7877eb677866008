"""Library folders made to do harm: each class yields names and what makes the folder; it is sound but for that."""

from __future__ import annotations

import itertools
import json
import os
import socket
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

from tests.library.test_hostile import FILES
from tests.shared.conftest import drill

Spoil = Callable[[Path], object]
Cases = Iterator[tuple[str, Spoil]]
PLACES = ("library.yaml", "sources.yaml", "drills/heath-b.yaml", "drills", "reviews", "reviews/a.yaml", "release.json")
HEAD = "schema: 1\nkind: library\nid: heath\ntitle: a heath\nversion: 1.0.0\n"


def sound(folder: Path) -> Path:
    """A library of one drill."""
    (folder / "drills").mkdir(parents=True)
    (folder / "library.yaml").write_text(HEAD, encoding="utf-8")
    text = json.dumps(drill("heath-a", author="Orla Fenwick"))
    (folder / "drills" / "heath-a.yaml").write_text(text, encoding="utf-8")
    return folder


def cleared(path: Path) -> Path:
    """The path with nothing there, ready for something else."""
    path.parent.mkdir(exist_ok=True)
    if path.is_dir() and not path.is_symlink():
        for inner in path.iterdir():
            inner.unlink()
        path.rmdir()
    path.unlink(missing_ok=True)
    return path


def links() -> Cases:
    outside = ("/etc/passwd", "/dev/zero", "/proc/self/environ", "../outside/secret.yaml", "../outside")
    targets = (*outside, ".", "nowhere", "")
    for place, target in itertools.product(PLACES, targets):

        def spoil(folder: Path, place: str = place, target: str = target) -> None:
            path = cleared(folder / place)
            path.symlink_to(target or path.name)  # an empty target: a link to itself

        yield f"{place} to {target}", spoil


def hard_links() -> Cases:
    for place in ("library.yaml", "drills/heath-b.yaml", "reviews/a.yaml"):
        yield place, lambda folder, place=place: os.link(
            folder.parent / "outside" / "secret.yaml", cleared(folder / place)
        )


def special_files() -> Cases:
    for place in PLACES:
        yield f"pipe {place}", lambda folder, place=place: os.mkfifo(cleared(folder / place))
        yield f"socket {place}", lambda folder, place=place: _socket(cleared(folder / place))
        yield f"folder {place}", lambda folder, place=place: cleared(folder / place).mkdir()
        yield f"no rights {place}", lambda folder, place=place: _locked(cleared(folder / place))


def _socket(path: Path) -> None:
    here = Path.cwd()
    os.chdir(path.parent)  # the path of a socket is short
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind(path.name)
    finally:
        os.chdir(here)


def _locked(path: Path) -> None:
    path.write_text(HEAD, encoding="utf-8")
    path.chmod(0)


def odd_names() -> Cases:
    names = (
        "heath-\x1b[31mred", "heath-\nline", "heath-\ttab", "heath-\x07bell", "heath-\u202eright",
        "heath-\u200bnothing", "heath-\u0430", "HEATH-A", "heath a", "-rf", "$(touch hurt)", "`touch hurt`",
        "; touch hurt", "%s%n", "..yaml", "con", "[@click=app.quit]", "a" * 240,
    )  # fmt: skip
    for place, name in itertools.product(("drills", "reviews", ""), names):

        def spoil(folder: Path, place: str = place, name: str = name) -> None:
            (folder / place).mkdir(exist_ok=True)
            (folder / place / f"{name}.yaml").write_text("a: 1\n", encoding="utf-8")

        yield f"{place}/{name!r}", spoil
    yield "bytes that are no letters", lambda folder: Path(
        os.fsdecode(os.fsencode(folder / "drills") + b"/heath-\xff\xfe.yaml")
    ).write_text("a: 1\n", encoding="utf-8")


def great_ones() -> Cases:
    """Files of a size that nothing must read whole, and more files or deeper folders than anyone writes."""
    for place in ("library.yaml", "sources.yaml", "drills/heath-b.yaml", "reviews/a.yaml", "release.json"):
        yield f"a terabyte in {place}", lambda folder, place=place: _sparse(cleared(folder / place), 10**12)
    yield "deep", lambda folder: _deep(folder / "drills")
    yield "many", lambda folder: [(folder / "drills" / f"heath-{n}.yaml").touch() for n in range(300)]
    yield "many reviews", lambda folder: _many(folder / "reviews")


def _sparse(path: Path, size: int) -> None:
    with path.open("wb") as file, suppress(OSError):
        file.truncate(size)


def _deep(folder: Path) -> None:
    for _ in range(40):
        folder /= "drills"
    folder.mkdir(parents=True)


def _many(folder: Path) -> None:
    folder.mkdir()
    for number in range(300):
        (folder / f"{number}.yaml").write_text("a: 1\n", encoding="utf-8")


def poisoned_files() -> Cases:
    """Content made to hurt in the places that are read besides the entries."""
    places = ("library.yaml", "sources.yaml", "reviews/a.yaml", "reviews/reviewers.yaml")
    for place, name in itertools.product(places, FILES):
        if len(FILES[name][0]) < 20_000 and len(name) % 2:  # every other one will do

            def spoil(folder: Path, place: str = place, name: str = name) -> None:
                cleared(folder / place).write_bytes(FILES[name][0])

            yield f"{name} in {place}", spoil


def hostile_records() -> Cases:
    for name, text in {
        "deep": "[" * 100_000,
        "number": "7",
        "text": '"files"',
        "no files": "{}",
        "files a text": '{"files": "abc"}',
        "rows of numbers": '{"files": [1]}',
        "writers a text": '{"files": [{"path": "a", "sha256": "b", "writers": "Orla"}]}',
        "writers numbers": '{"files": [{"path": "a", "sha256": "b", "writers": [1]}]}',
        "a path out": '{"files": [{"path": "../outside/secret.yaml", "sha256": "b", "writers": []}]}',
        "a device": '{"files": [{"path": "../../../../../../dev/zero", "sha256": "b", "writers": []}]}',
        "a path that is a list": '{"files": [{"path": [], "sha256": "b", "writers": []}]}',
        "a nul": '{"files": [{"path": "a\\u0000b", "sha256": "b", "writers": []}]}',
        "half a letter": '{"files": [{"path": "\\ud800", "sha256": "b", "writers": ["\\ud800"]}]}',
    }.items():
        yield name, lambda folder, text=text: (folder / "release.json").write_text(text, encoding="utf-8")


def hostile_git() -> Cases:
    """Folders whose git settings ask for a program to be run or another place to be read."""
    settings = {
        "fsmonitor": "[core]\n\tfsmonitor = touch ../hurt\n",
        "hooks": "[core]\n\thooksPath = ../outside\n",
        "pager": "[core]\n\tpager = touch ../hurt\n",
        "worktree": "[core]\n\tworktree = ../outside\n",
        "alias": "[alias]\n\tlog = !touch ../hurt\n",
        "filter": "[filter \"x\"]\n\tclean = touch ../hurt\n\tsmudge = touch ../hurt\n",
        "diff": "[diff]\n\texternal = touch ../hurt\n",
        "include": "[include]\n\tpath = /etc/passwd\n",
        "signing": "[gpg]\n\tprogram = touch ../hurt\n[log]\n\tshowSignature = true\n",
        "ssh signing": '[gpg "ssh"]\n\tprogram = touch ../hurt\n[log]\n\tshowSignature = true\n',
        "broken": "[core\n",
    }
    for name, text in settings.items():
        yield name, lambda folder, text=text: _git(folder, text)
    yield "points elsewhere", lambda folder: (folder / ".git").write_text("gitdir: ../outside\n", encoding="utf-8")
    yield "points to itself", lambda folder: (folder / ".git").write_text("gitdir: .git\n", encoding="utf-8")
    yield "is a link", lambda folder: (folder / ".git").symlink_to("/")
    yield "is a pipe", lambda folder: os.mkfifo(folder / ".git")
    yield "is empty", lambda folder: (folder / ".git").mkdir()


def _git(folder: Path, settings: str) -> None:
    inside = folder / ".git"
    for name in ("objects", "refs/heads"):
        (inside / name).mkdir(parents=True)
    (inside / "HEAD").write_text("ref: refs/heads/main\n", encoding="utf-8")
    head = "[core]\n\trepositoryformatversion = 0\n\tbare = false\n"
    (inside / "config").write_text(head + settings, encoding="utf-8")
    (folder / ".gitattributes").write_text("* filter=x diff=x\n", encoding="utf-8")


CLASSES: dict[str, Callable[[], Cases]] = {
    made.__name__: made
    for made in (
        links, hard_links, special_files, odd_names, great_ones, poisoned_files, hostile_records, hostile_git,
    )
}  # fmt: skip
