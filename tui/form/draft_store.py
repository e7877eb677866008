"""Entries being written, on disk: one file a form, written whole at each pause, readable by this user only."""

from __future__ import annotations

import json
import os
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from arclore.engine.library.atomic import write_text
from arclore.tui.form.draft import Draft, from_json, to_json

MOST_BYTES = 4_000_000
MOST_OFFERED = 5


@dataclass(frozen=True)
class SavedDraft:
    """A draft found on disk."""

    path: Path
    when: datetime
    draft: Draft


class DraftStore:
    """Where one form keeps its draft. Two forms never write the same file."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = self.folder / f"{datetime.now():%Y%m%d-%H%M%S}-{os.getpid()}-{secrets.token_hex(3)}.json"
        self.ended = False

    def save(self, draft: Draft) -> None:
        """Write the draft; one without anything typed leaves no file. Raises OSError."""
        if self.ended:
            return
        if not draft.begun:
            self._drop()
            return
        if not self.folder.exists():
            self.folder.mkdir(parents=True, mode=0o700, exist_ok=True)
        self.folder.chmod(0o700)
        write_text(self.path, json.dumps(to_json(draft), ensure_ascii=False, allow_nan=False) + "\n", mode=0o600)

    def take_over(self, saved: SavedDraft) -> None:
        """Go on with a draft found on disk under this form's own name; the old file goes once ours is written."""
        self.save(saved.draft)
        saved.path.unlink(missing_ok=True)

    def end(self) -> None:
        """Forget the draft for good: it is saved in a library, or was thrown away. What comes to save it late is too
        late.
        """
        self.ended = True
        self._drop()

    def _drop(self) -> None:
        self.path.unlink(missing_ok=True)

    def found(self) -> list[SavedDraft]:
        """Drafts, newest first; a file that can't be read is passed over and left as it is."""
        paths = list(self.folder.glob("*.json")) if self.folder.is_dir() else []
        read = [saved for path in paths if path != self.path and (saved := _read(path)) is not None]
        return sorted(read, key=lambda saved: (saved.when, saved.path.name), reverse=True)[:MOST_OFFERED]


def _read(path: Path) -> SavedDraft | None:
    try:
        about = path.stat()
        if about.st_size > MOST_BYTES:
            return None
        draft = from_json(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, RecursionError):
        return None
    return SavedDraft(path, datetime.fromtimestamp(about.st_mtime), draft)
