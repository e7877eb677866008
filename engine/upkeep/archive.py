"""Zip files from strangers: judged whole before one byte is written, and by what they hold, not what they claim.

Only the few paths that a library has are let in, so that no trick with paths is left to look for.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import stat
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path

from arclore.engine.library.folder import KIND_OF_FILE, KIND_OF_FOLDER, REVIEWS
from arclore.engine.library.problems import shortened
from arclore.engine.library.read import MAX_BYTES, shown
from arclore.engine.upkeep.history import MOST_RECORD_BYTES, RECORD

CHANGES = "CHANGES.md"
MOST_ZIP_BYTES = 50_000_000
MOST_BYTES = 100_000_000  # unpacked, all files
MOST_FILES = 20_000
_PLAIN_FLAGS = 0x080E  # how hard it was packed, sizes told afterwards, names in UTF-8
_SPECIAL = "|".join(map(re.escape, (RECORD, CHANGES, *KIND_OF_FILE)))
_PATH = re.compile(
    rf"(?:{_SPECIAL}|(?:{'|'.join(KIND_OF_FOLDER)})/[a-z0-9]+(?:-[a-z0-9]+)*\.yaml|{REVIEWS}/[a-z0-9]+(?:[.-][a-z0-9]+)*\.yaml)",
    re.ASCII,
)
_DEVICES = re.compile(
    r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])\.", re.IGNORECASE
)  # names that some systems open as devices
_MADE = (2020, 1, 1, 0, 0, 0)  # one moment for all, so that equal contents make equal files


class ArchiveError(Exception):
    """A zip file that is refused; the text is one line."""


def allowed(path: str) -> bool:
    """Whether a path is one that a library has."""
    return len(path) <= 200 and bool(_PATH.fullmatch(path)) and not _DEVICES.match(path.rpartition("/")[2])


def read_archive(path: Path) -> dict[str, bytes]:
    """The files of a zip by path. Raises ArchiveError for anything but a plain zip of a library's files."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # before it is opened: a pipe would be waited for
            raise ArchiveError(f"{shown(path)} is not a regular file")
        with path.open("rb") as file:
            if os.fstat(file.fileno()).st_size > MOST_ZIP_BYTES:
                raise ArchiveError(f"{shown(path)} has more than {MOST_ZIP_BYTES:,} bytes")
            if file.read(4) != b"PK\x03\x04":
                raise ArchiveError(f"{shown(path)} is not a zip file")
            with zipfile.ZipFile(file) as archive:
                _plain(archive, os.fstat(file.fileno()).st_size)
                return _contents(archive)
    except OSError as error:
        raise ArchiveError(f"{shown(path)} can't be read: {error.strerror or error}") from None
    except (zipfile.BadZipFile, zlib.error, EOFError, struct.error) as error:
        raise ArchiveError(f"{shown(path)} is a damaged zip file: {shortened(error, 100)}") from None
    except (RuntimeError, ValueError, OverflowError, MemoryError) as error:
        raise ArchiveError(f"{shown(path)} can't be unpacked: {shortened(error, 100)}") from None


def write_archive(path: Path, files: Mapping[str, bytes]) -> None:
    """Write files as a zip; an existing file is not overwritten (FileExistsError), a failed one not left behind."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name in sorted(files):
            about = zipfile.ZipInfo(name, _MADE)
            about.compress_type, about.external_attr, about.create_system = zipfile.ZIP_DEFLATED, 0o100644 << 16, 3
            archive.writestr(about, files[name])
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as file:
        try:
            file.write(packed.getvalue())
        except BaseException:
            path.unlink(missing_ok=True)
            raise


def unpack(files: Mapping[str, bytes], target: Path) -> None:
    """Write the files of a read archive into a new folder, whole or not at all.

    Raises ArchiveError where the folder is there, or a path is not a library's.
    """
    if not all(map(allowed, files)):
        raise ArchiveError("a file is not part of a library")
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    work = Path(tempfile.mkdtemp(prefix=".install-", dir=target.parent))
    try:
        for name, data in files.items():
            place = work / name
            place.parent.mkdir(exist_ok=True)
            place.write_bytes(data)
        if os.path.lexists(target):
            raise ArchiveError(f"{shown(target)} is there already, and is not overwritten")
        work.rename(target)
    except BaseException:
        shutil.rmtree(work, ignore_errors=True)
        raise


def _plain(archive: zipfile.ZipFile, length: int) -> None:
    """Refuse an archive with something before its first file, or whose files lie over each other."""
    members = archive.infolist()
    if members and min(each.header_offset for each in members) > 0:
        raise ArchiveError("something stands before its first file")
    if sum(each.compress_size for each in members) > length:
        raise ArchiveError("its files are said to be larger than it is")


def _contents(archive: zipfile.ZipFile) -> dict[str, bytes]:
    members = archive.infolist()
    if len(members) > MOST_FILES:
        raise ArchiveError(f"it holds more than {MOST_FILES:,} files")
    if sum(member.file_size for member in members) > MOST_BYTES:
        raise ArchiveError(f"it unpacks to more than {MOST_BYTES:,} bytes")
    seen: set[str] = set()
    for member in members:
        name = shortened(member.orig_filename, 80)
        if member.filename != member.orig_filename or not allowed(member.filename):
            raise ArchiveError(f"it holds {name!r}, which is no file of a library")
        if member.filename in seen:
            raise ArchiveError(f"it holds {name!r} twice")
        seen.add(member.filename)
        if stat.S_IFMT(member.external_attr >> 16) not in (0, stat.S_IFREG) or member.external_attr & 0x10:
            raise ArchiveError(f"it holds {name!r}, which is not a regular file")
        if member.flag_bits & ~_PLAIN_FLAGS or member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise ArchiveError(f"it holds {name!r}, encrypted or packed in a way that is not used here")
    return _unpacked(archive, members)


def _unpacked(archive: zipfile.ZipFile, members: list[zipfile.ZipInfo]) -> dict[str, bytes]:
    """The bytes of each member, counted as they come."""
    files: dict[str, bytes] = {}
    total = 0
    for member in members:
        most = MOST_RECORD_BYTES if member.filename in (RECORD, CHANGES) else MAX_BYTES
        with archive.open(member) as file:
            data = file.read(most + 1)
        total += len(data)
        if len(data) > most or total > MOST_BYTES:
            raise ArchiveError(f"it holds {member.filename!r}, which is too large")
        files[member.filename] = data
    return files
