"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def write_text(path: Path, text: str, mode: int = 0o600, lasting: bool = True) -> None:
    """Write UTF-8 text so that a reader, or a crash, meets the old file or the new one and never a part.

    Missing folders are made for this user only. ``lasting``: a power cut right after it does not undo it, which takes
    the disk's time. Raises OSError where the file can't be written; the old file is then untouched and nothing is left
    beside it.
    """
    with _written(path, text, mode, lasting) as temporary:
        temporary.replace(path)


def write_new(path: Path, text: str, mode: int = 0o600) -> None:
    """The same for a file that must not be there yet: raises FileExistsError, and leaves the other one as it is."""
    with _written(path, text, mode, lasting=True) as temporary:
        try:
            os.link(temporary, path)  # the one call that names a whole file and refuses a name that is taken
        except FileExistsError:
            raise
        except OSError:  # a file system without such links
            if path.exists():
                raise FileExistsError(f"{path} is there already") from None
            temporary.replace(path)


@contextmanager
def _written(path: Path, text: str, mode: int, lasting: bool) -> Iterator[Path]:
    """The text in a file beside the path, whole, and on the disk where it is to last; it is gone afterwards."""
    _make_folders(path.parent)
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:80]}.", suffix=".tmp", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            if lasting:
                os.fsync(file.fileno())
        Path(temporary).chmod(mode)
        yield Path(temporary)
    finally:
        Path(temporary).unlink(missing_ok=True)
    if lasting:
        _sync_folder(path.parent)


def _make_folders(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folders(folder.parent)
    folder.mkdir(mode=0o700, exist_ok=True)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system can open folders."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
