"""Zip files made to do harm, by class: each class yields names and bytes, the same ones each time."""

from __future__ import annotations

import gzip
import hashlib
import io
import itertools
import json
import stat
import struct
import tarfile
import warnings
import zipfile
import zlib
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from tests.library.test_hostile import FILES
from tests.shared.test_archive import NAMES, member, packed

Cases = Iterator[tuple[str, bytes]]
START = (member("library.yaml"), b"schema: 1\nkind: library\nid: heath\ntitle: a heath\nversion: 1.0.0\n")
LOCAL, CENTRAL, END = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"
SOUND = packed([START, (member("drills/heath-a.yaml"), b"cue: brush it\n" * 20)])


def with_member(name: str, data: bytes = b"a: 1\n", **about: Any) -> bytes:
    return packed([START, (member(name, **about), data)])


def known_names() -> Cases:
    for name in NAMES:
        yield repr(name[:40]), with_member(name)


def climbing_names() -> Cases:
    """Ways up and out, in each way of writing a separator."""
    signs = ("/", "\\", "//", "/./", "%2f", "\u2215")
    for depth, sign, head in itertools.product((1, 2, 9), signs, ("", "drills", "C:")):
        yield f"{depth} {sign} {head}", with_member(head + sign + sign.join([".."] * depth) + sign + "hurt.yaml")


def odd_letters() -> Cases:
    """Names with characters that end, hide, turn or double a name."""
    controls = "\x00\x01\x07\x08\t\n\r\x1b\x7f\x85"
    hidden = "\xa0\xad\u0301\u200b\u200f\u2028\u202e\u2066\ufeff\uff0e\uff0f"
    for letter in f'{controls}{hidden}?*<>|":':
        yield f"U+{ord(letter):04X}", with_member(f"drills/heath-{letter}a.yaml")


def device_names() -> Cases:
    for stem in ("con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))):
        yield stem, with_member(f"drills/{stem}.yaml")


def special_files() -> Cases:
    kinds = (stat.S_IFLNK, stat.S_IFIFO, stat.S_IFSOCK, stat.S_IFCHR, stat.S_IFBLK, stat.S_IFDIR)
    for kind, target in itertools.product(kinds, (b"/etc/passwd", b"../../hurt")):
        yield f"{kind:o} {target!r}", with_member("drills/heath-a.yaml", target, mode=kind | 0o777)
    yield "marked a folder", with_member("drills/heath-a.yaml", attributes=0x10)


def packings() -> Cases:
    for method in (zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA):
        yield f"method {method}", with_member("drills/heath-a.yaml", method=method)
    for method in (1, 6, 9, 93, 95, 98, 99, 0xFFFF):
        yield f"claims method {method}", patched(SOUND, {CENTRAL: (10, "<H", method), LOCAL: (8, "<H", method)})


def flags() -> Cases:
    """Every mark of a file that no plain zip bears: encrypted, patched, masked, unknown ones."""
    for bit in (0, 4, 5, 6, 7, 8, 9, 10, 12, 13, 14, 15):
        yield f"flag {bit}", patched(SOUND, {CENTRAL: (8, "<H", 1 << bit), LOCAL: (6, "<H", 1 << bit)})


def several_at_once() -> Cases:
    """Names, kinds and packings that are each refused, put together by chance."""
    chance = Random(11)
    parts = ("..", "drills", "reviews", "C:", "", ".", "con", "heath", "~", "\u202e", "a\x00b", "HEATH", " ")
    kinds = (stat.S_IFREG, stat.S_IFLNK, stat.S_IFIFO, stat.S_IFDIR)
    for number in range(100):
        name = chance.choice(("/", "\\")).join(chance.choices(parts, k=chance.randint(2, 6)))
        method = chance.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2))
        data = chance.choice((b"a: 1\n", b"/etc/passwd", bytes(2_000), b"- \x1b[31m\n"))
        about = member(f"{name}/n{number}.py", mode=chance.choice(kinds) | 0o777, method=method)
        rows = [START, (about, data)]
        yield repr(about.filename), packed(rows if chance.random() < 0.5 else rows[::-1])


def clashes() -> Cases:
    """Two names for one place."""
    pairs = [
        ("drills/heath-a.yaml", "drills/heath-a.yaml"),
        ("drills/heath-a.yaml", "drills/HEATH-A.yaml"),
        ("drills/heath-a.yaml", "DRILLS/heath-a.yaml"),
        ("drills/heath-a.yaml", "drills/heath-a.YAML"),
        ("drills/heath-e.yaml", "drills/heath-\u00e9.yaml"),
        ("drills/heath-k.yaml", "drills/heath-\u212a.yaml"),
        ("library.yaml", "Library.yaml"),
        ("release.json", "release.json"),
    ]
    for one, other in pairs:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield f"{one} {other}", packed([START, (member(one), b"a: 1\n"), (member(other), b"a: 2\n")])


def hold_only(files: dict[str, bytes]) -> bool:
    """Whether these are files of the sound archive, each with its own content."""
    with zipfile.ZipFile(io.BytesIO(SOUND)) as sound:
        return all(data in {sound.read(name) for name in sound.namelist()} for data in files.values())


def patched(data: bytes, changes: dict[bytes, tuple[int, str, int]]) -> bytes:
    """The data with a number written at an offset from the last place of each mark."""
    out = bytearray(data)
    for mark, (at, form, value) in changes.items():
        struct.pack_into(form, out, out.rindex(mark) + at, value)
    return bytes(out)


def lies() -> Cases:
    """Headers that say something else than what is there."""
    for name, at, value in (
        ("sum", 16, 0xDEADBEEF),
        ("packed size", 20, 3),
        ("packed size", 20, 0x7FFFFFFF),
        ("size", 24, 1),
        ("size", 24, 0x7FFFFFFF),
        ("size", 24, 0xFFFFFFFF),
        ("offset", 42, 5),
        ("offset", 42, 0),
        ("offset", 42, 0x7FFFFFFF),
    ):
        yield f"{name} {value}", patched(SOUND, {CENTRAL: (at, "<L", value)})
    for name, at, form, value in (
        ("one file fewer", 10, "<H", 1),
        ("folder size", 12, "<L", 7),
        ("folder size", 12, "<L", 0x7FFFFFFF),
        ("folder offset", 16, "<L", 1),
        ("folder offset", 16, "<L", 0xFFFFFFFF),
        ("comment", 20, "<H", 999),
    ):
        yield f"{name} {value}", patched(SOUND, {END: (at, form, value)})
    yield "two names", SOUND.replace(b"heath-a.yaml", b"heath-b.yaml", 1)
    yield "local name climbs", SOUND.replace(b"drills/heath-a.yaml", b"../../../hurt-a.yaml"[:19], 1)
    yield "damaged data", SOUND.replace(b"heath-a.yaml", b"heath-a.yaml\xff", 1)


def bombs() -> Cases:
    for size in (1_000_001, 3_000_000):
        yield f"{size} zeros", with_member("drills/heath-a.yaml", b"\0" * size)
        data = with_member("drills/heath-a.yaml", b"\0" * size)
        yield f"{size} zeros, said to be 9", data.replace(struct.pack("<L", size), struct.pack("<L", 9))
    zeros = b"\0" * 999_999
    yield "a hundred of them", packed([START, *((member(f"drills/heath-{n}.yaml"), zeros) for n in range(101))])
    inner = with_member("drills/heath-a.yaml", zeros)
    for _ in range(4):
        inner = with_member("drills/heath-a.zip", inner)
    yield "zip in zip in zip", inner
    yield "all on one place", overlapping(300)
    yield "each in the one before", nested(60)


def overlapping(count: int) -> bytes:
    """Many names in the list of contents for one packed file (Fifield 2019, section 3)."""
    one = with_member("drills/heath-a.yaml", b"\0" * 900_000)
    first, end = one.index(CENTRAL), one.index(END)
    entry = one[one.rindex(CENTRAL) : end]
    rows = [entry.replace(b"heath-a", b"heath-%c%c" % (97 + n // 26, 97 + n % 26)) for n in range(count)]
    rows = [row[:28] + struct.pack("<H", 20) + row[30:] for row in rows]
    listed = b"".join(rows)
    tail = struct.pack("<4s4H2LH", END, 0, 0, count, count, len(listed), first, 0)
    return one[:first] + listed + tail


def nested(count: int) -> bytes:
    """Files each of which holds all that come after it, headers and all (Fifield 2019, section 4)."""
    inner, listed = b"a: 1\n", []
    for number in reversed(range(count)):
        name = b"drills/heath-%d.yaml" % number
        about = struct.pack("<5H3L2H", 20, 0, 0, 0, 33, zlib.crc32(inner), len(inner), len(inner), len(name), 0)
        inner = LOCAL + about + name + inner
        listed.append((len(inner), about, name))
    head, tail = CENTRAL + struct.pack("<H", 20), struct.pack("<3HL", 0, 0, 0, 0o100644 << 16)
    rows = b"".join(
        head + about + tail + struct.pack("<L", len(inner) - size) + name for size, about, name in reversed(listed)
    )
    return inner + rows + struct.pack("<4s4H2LH", END, 0, 0, count, count, len(rows), len(inner), 0)


def cut_short() -> Cases:
    for cut in range(4, len(SOUND) - 1, 9):
        yield f"at {cut}", SOUND[:cut]


def something_else() -> Cases:
    tar = io.BytesIO()
    with tarfile.open(fileobj=tar, mode="w") as file:
        about = tarfile.TarInfo("../../hurt.yaml")
        about.size = 4
        file.addfile(about, io.BytesIO(b"a: 1"))
    yield "tar", tar.getvalue()
    yield "gzip", gzip.compress(SOUND, mtime=0)
    yield "nothing", b""
    yield "text", b"this is no zip file\n" * 9
    yield "no members", packed([])
    yield "mark alone", LOCAL
    yield "end alone", END + bytes(18)
    yield "program before it", b"#!/bin/sh\n" + SOUND
    yield "page before it", b"<!doctype html><script>alert(1)</script>" + SOUND
    yield "itself twice", SOUND + SOUND
    yield "zeros", bytes(4096)


def recorded(contents: dict[str, bytes], **changes: Any) -> bytes:
    """A zip whose record fits its files, with these changes to the record."""
    rows = [
        {"path": name, "sha256": hashlib.sha256(data).hexdigest(), "writers": ["Orla Fenwick"]}
        for name, data in sorted(contents.items())
    ]
    record = {
        "schema": 1, "kind": "release", "id": "heath", "title": "a heath", "version": "1.0.0",
        "date": "2031-05-01", "least": "unreviewed", "entries": [], "files": rows, **changes,
    }  # fmt: skip
    text = json.dumps(record).encode()
    return packed([*((member(name), data) for name, data in contents.items()), (member("release.json"), text)])


def poisoned_entries() -> Cases:
    """Releases that are right in every digest, and hold a file made to hurt whoever reads it."""
    yield "a zip called an entry", recorded({"library.yaml": START[1], "drills/heath-a.yaml": SOUND})
    yield "empty files", recorded({"library.yaml": START[1], **{f"drills/heath-{n}.yaml": b"" for n in range(300)}})
    for name, (content, _) in FILES.items():
        if len(content) < 400_000:
            yield name, recorded({"library.yaml": START[1], "causes/heath-bad.yaml": content})
    for name in ("empty", "alias-bomb", "python-object", "deep-lists", "escape-byte"):
        content = FILES[name][0]
        yield f"library {name}", recorded({"library.yaml": content})
        yield f"sources {name}", recorded({"library.yaml": START[1], "sources.yaml": content})
        yield f"review {name}", recorded({"library.yaml": START[1], "reviews/a.yaml": content})


def lying_records() -> Cases:
    yield "no library in it", packed([(member("drills/heath-a.yaml"), b"a: 1\n")])
    yield "no record in it", SOUND
    files = {"library.yaml": START[1]}
    row = {"path": "drills/heath-a.yaml", "sha256": "0" * 64, "writers": []}
    digest = "sha256:" + "0" * 64
    own = {"path": "library.yaml", "sha256": "0" * 64, "writers": []}
    for name, changes in {
        "a file that is missing": {"files": [row]},
        "no file at all": {"files": []},
        "another content": {"files": [own]},
        "a path outside": {"files": [{**row, "path": "../../hurt"}]},
        "an entry that is missing": {
            "entries": [{"kind": "drill", "id": "heath-a", "status": "approved", "digest": digest}]
        },
        "another name": {"id": "links"},
        "another version": {"version": "2.0.0"},
        "a name that climbs": {"id": "../hurt"},
        "a version that climbs": {"version": "../../1"},
        "a date that is none": {"date": "2031-02-30"},
        "a field too many": {"run": "hurt"},
        "text for a list": {"files": "library.yaml"},
        "a number for text": {"title": 7},
        "a level that is none": {"least": "anything"},
        "a very long title": {"title": "a" * 5000},
        "a title that acts": {"title": "a \x1b[31m heath \u202e"},
    }.items():
        yield name, recorded(files, **changes)
    for name, text in {
        "not JSON": b"{",
        "a list": b"[]",
        "nothing": b"",
        "very deep": b"[" * 200_000,
        "deep and closed": b'{"a":' * 50_000 + b"1" + b"}" * 50_000,
        "no number": b'{"schema": NaN}',
        "long number": b'{"schema": ' + b"9" * 5000 + b"}",
        "not UTF-8": b'{"schema": "\xff"}',
        "UTF-16": '{"schema": 1}'.encode("utf-16"),
        "zeros": bytes(100),
    }.items():
        yield name, packed([START, (member("release.json"), text)])


def damaged() -> Cases:
    """Sound ones with a few bytes changed by chance; what can still be read must hold what it held."""
    chance = Random(7)
    for number in range(40):
        data = bytearray(SOUND)
        for _ in range(chance.randrange(1, 6)):
            data[chance.randrange(4, len(data))] = chance.randrange(256)
        yield f"number {number}", bytes(data)


READABLE = ("poisoned_entries", "lying_records", "damaged", "lies")
"""Classes whose archives may be read as such; of all others none is."""
CLASSES: dict[str, Callable[[], Cases]] = {
    made.__name__: made
    for made in (
        known_names, climbing_names, odd_letters, device_names, special_files, packings, flags, several_at_once,
        clashes, lies, bombs, cut_short, something_else, poisoned_entries, lying_records, damaged,
    )
}  # fmt: skip
