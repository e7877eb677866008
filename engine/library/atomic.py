"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_text(path: Path, text: str, mode: int = 0o600) -> None:
    """Write UTF-8 text so that a reader, or a crash, meets the old file or the new one and never a part.

    Missing folders are made for this user only. Raises OSError where the file can't be written; the old
    file is then untouched and nothing is left beside it.
    """
    _make_folders(path.parent)
    handle, temporary = tempfile.mkstemp(prefix=f".{path.name[:80]}.", suffix=".tmp", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(mode)
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
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
