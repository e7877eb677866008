"""What waits to be gone on with, in a line: unfinished lessons, drafts of entries."""

from __future__ import annotations

from collections.abc import Mapping

from arclore.tui.keys import key_for


def waiting_line(lessons: int, drafts: int, own: Mapping[str, str]) -> str:
    """What waits and the key that opens it; "" where nothing does. own: keys of one's own."""
    parts = []
    if lessons:
        parts.append(f"{_counted(lessons, 'unfinished lesson')} ({key_for('lessons', own)} opens)")
    if drafts:
        parts.append(f"{_counted(drafts, 'entry begun', 'entries begun')} ({key_for('write', own)} opens)")
    return f"Waiting: {' and '.join(parts)}." if parts else ""


def _counted(count: int, one: str, many: str = "") -> str:
    return f"1 {one}" if count == 1 else f"{count} {many or one + 's'}"
