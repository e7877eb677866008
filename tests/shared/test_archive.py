"""Zip files made to do harm: each is refused with one line, and nothing is written."""

from __future__ import annotations

import io
import os
import random
import stat
import struct
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from arclore.engine.upkeep import archive
from arclore.engine.upkeep.archive import ArchiveError, allowed, read_archive, unpack, write_archive
from hypothesis import given, settings
from hypothesis import strategies as st

SOUND = {
    "library.yaml": b"id: x\n",
    "drills/a-b.yaml": b"cue: brush it\n" * 40,
    "reviews/drill.a-b.001.orla.yaml": b"a: 1\n",
}
NAMES = [
    "../library.yaml",
    "../../etc/passwd",
    "/etc/passwd",
    "//host/share/a.yaml",
    "C:/a.yaml",
    "C:a.yaml",
    "drills/../a.yaml",
    "drills/..",
    "drills/../../a.yaml",
    "./library.yaml",
    "drills/./a.yaml",
    "drills//a.yaml",
    "/drills/a.yaml",
    "drills\\a.yaml",
    "..\\a.yaml",
    "drills/a\\..\\b.yaml",
    "drills/",
    "drills",
    "drills/a",
    "drills/a.yml",
    "drills/A.yaml",
    "Drills/a.yaml",
    "drills/a.yaml/",
    "drills/a.yaml ",
    " drills/a.yaml",
    "drills/a.yaml.",
    "drills/.a.yaml",
    "drills/-a.yaml",
    "drills/a.yaml\n",
    "drills/a\x00.yaml",
    "drills/a.yaml\x00.png",
    "drills/a\u202e.yaml",
    "drills/\u0430.yaml",
    "drills/a b.yaml",
    "drills/deep/a.yaml",
    "drills/con.yaml",
    "drills/nul.yaml",
    "drills/com1.yaml",
    "drills/a.py",
    "setup.py",
    "__init__.py",
    ".git/config",
    ".git/hooks/post-checkout",
    ".gitattributes",
    "reviews/../library.yaml",
    "reviews/a/b.yaml",
    "reviews/.yaml",
    "library.yml",
    "LIBRARY.YAML",
    "release.json/x",
    "drills/" + "a" * 300 + ".yaml",
    "a/" * 3000 + "a.yaml",
    "~/a.yaml",
    "drills/%2e%2e%2fa.yaml",
    "drills/a.yaml:stream",
    "drills/$HOME.yaml",
    "file:///etc/passwd",
    "drills/*.yaml",
    "sources.yaml/..",
    "cases/a..yaml",
    "reviews/a..b.yaml",
    "words/a--b.yaml",
    "",
    ".",
    "..",
    "-rf",
    "drills/|sh.yaml",
]


def packed(members: list[tuple[zipfile.ZipInfo, bytes]]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for about, data in members:
            file.writestr(about, data)
    return out.getvalue()


def member(name: str, mode: int = 0o100644, method: int = zipfile.ZIP_DEFLATED, attributes: int = 0) -> zipfile.ZipInfo:
    about = zipfile.ZipInfo("x")
    about.filename = about.orig_filename = name
    about.external_attr, about.compress_type, about.create_system = mode << 16 | attributes, method, 3
    return about


def hostile() -> Iterator[tuple[str, bytes]]:
    """Every hostile archive with its name."""
    start = (member("library.yaml"), b"id: x\n")
    for name in NAMES:
        yield f"path {name[:30]!r}", packed([start, (member(name), b"a: 1\n")])
    for kind in (stat.S_IFLNK, stat.S_IFIFO, stat.S_IFSOCK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFDIR):
        yield f"mode {kind:o}", packed([start, (member("drills/a.yaml", kind | 0o777), b"/etc/passwd")])
    yield "folder bit", packed([start, (member("drills/a.yaml", attributes=0x10), b"")])
    for method in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        yield f"method {method}", packed([start, (member("drills/a.yaml", method=method), b"a: 1\n")])
    with pytest.warns(UserWarning, match="Duplicate"):
        twice = packed([start, start])
    yield "twice", twice
    bomb = packed([start, (member("drills/a.yaml"), b"\0" * 3_000_000)])
    yield "one large file", bomb
    size = struct.pack("<L", 3_000_000)
    yield "a size that lies", bomb.replace(size, struct.pack("<L", 100))
    yield "a size that boasts", packed([start]).replace(struct.pack("<L", 6), b"\xff\xff\xff\x7f")
    flagged = bytearray(packed([start]))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        flagged[flagged.index(mark) + at] |= 1
    yield "encrypted", bytes(flagged)
    sound = packed([start, (member("drills/a.yaml"), b"cue: brush it\n" * 20)])
    yield "two names", sound.replace(b"drills/a.yaml", b"drills/b.yaml", 1)
    yield "something before it", b"#!/bin/sh\n" + sound
    yield "something else", b"not a zip file at all"
    yield "empty", b""
    yield "no members", packed([])
    yield "gzip", b"\x1f\x8b\x08" + sound
    for cut in range(4, len(sound) - 1, 7):
        yield f"cut at {cut}", sound[:cut]


HOSTILE = list(hostile())


@pytest.fixture
def zip_file(tmp_path: Path) -> Path:
    return tmp_path / "x.zip"


def test_there_are_plenty_of_them() -> None:
    assert len(HOSTILE) >= 100
    assert len({data for _, data in HOSTILE}) == len(HOSTILE)


@pytest.mark.parametrize(("name", "data"), HOSTILE, ids=[name for name, _ in HOSTILE])
def test_a_hostile_archive_is_refused_in_one_line(zip_file: Path, name: str, data: bytes) -> None:
    zip_file.write_bytes(data)
    with pytest.raises(ArchiveError) as told:
        read_archive(zip_file)
    text = str(told.value)
    assert text.isprintable()
    assert len(text) < 400
    assert [path.name for path in zip_file.parent.iterdir()] == ["x.zip"]


def test_a_sound_one_comes_back_as_it_was_and_is_the_same_each_time(zip_file: Path) -> None:
    write_archive(zip_file, SOUND)
    assert read_archive(zip_file) == SOUND
    again = zip_file.with_name("y.zip")
    write_archive(again, dict(reversed(SOUND.items())))
    assert again.read_bytes() == zip_file.read_bytes()
    with pytest.raises(FileExistsError):
        write_archive(zip_file, {})
    assert read_archive(zip_file) == SOUND


def test_too_many_and_too_much_are_refused(zip_file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_archive(zip_file, SOUND)
    for name, limit in (("MOST_FILES", 2), ("MOST_BYTES", 100), ("MOST_ZIP_BYTES", 100), ("MAX_BYTES", 20)):
        with monkeypatch.context() as patched:
            patched.setattr(archive, name, limit)
            with pytest.raises(ArchiveError):
                read_archive(zip_file)


def test_what_unpacks_to_too_much_is_refused_before_it_is_unpacked(
    zip_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_archive(zip_file, SOUND)
    monkeypatch.setattr(archive, "MOST_BYTES", 100)
    monkeypatch.setattr(archive, "_unpacked", lambda *_: pytest.fail("it was unpacked"))
    with pytest.raises(ArchiveError, match="unpacks to more than 100 bytes"):
        read_archive(zip_file)


@pytest.mark.skipif(sys.platform == "win32", reason="pipes are made here")
def test_what_is_no_regular_file_is_refused_and_no_pipe_is_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.zip"
    os.mkfifo(pipe)
    held = os.open(pipe, os.O_RDWR)  # so that a reader would not wait for ever if it opened it
    os.write(held, b"PK\x03\x04")
    try:
        for path in (pipe, tmp_path, Path("/dev/null")):
            with pytest.raises(ArchiveError, match="is not a regular file"):
                read_archive(path)
    finally:
        os.close(held)
    with pytest.raises(ArchiveError, match="can't be read"):
        read_archive(tmp_path / "missing.zip")


PACKED = packed([(member(name), data) for name, data in SOUND.items()])


@settings(max_examples=400, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(PACKED) - 1), st.integers(0, 255)), min_size=1, max_size=3))
def test_no_changed_byte_gets_anything_else_in(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[int, int]]
) -> None:
    data = bytearray(PACKED)
    for at, byte in changes:
        data[at] = byte
    path = tmp_path_factory.getbasetemp() / f"fuzz-{random.getrandbits(64):x}.zip"
    path.write_bytes(data)
    try:
        files = read_archive(path)
    except ArchiveError:
        return
    finally:
        path.unlink()
    assert all(map(allowed, files))
    assert set(files.values()) <= set(SOUND.values())


def test_unpacking_never_overwrites_and_leaves_nothing_half_done(tmp_path: Path) -> None:
    target = tmp_path / "new"
    unpack(SOUND, target)
    assert {str(path.relative_to(target)): path.read_bytes() for path in target.rglob("*.yaml")} == SOUND
    for files, place in ((SOUND, target), ({"../x": b""}, tmp_path / "other")):
        with pytest.raises(ArchiveError):
            unpack(files, place)
    assert [path.name for path in tmp_path.iterdir()] == ["new"]
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ArchiveError):
        unpack(SOUND, tmp_path / "link")
    assert not (tmp_path / "elsewhere").exists()
