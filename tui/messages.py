"""What the workers say to the screens. A worker never touches a widget: it posts one of these."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from arclore.tui.thinker import Safety
from textual.message import Message


class SafetyReady(Message):
    """The safety questions are known."""

    def __init__(self, safety: Safety) -> None:
        super().__init__()
        self.safety = safety


class LibraryReady(Message):
    """The library is read; so many of its files have problems."""

    def __init__(self, problems: int) -> None:
        super().__init__()
        self.problems = problems


class WriteWanted(Message):
    """An entry is to be written; ``entry``: the one that is read, which may be copied or changed."""

    def __init__(self, handed: str, entry: Mapping[str, Any] | None = None) -> None:
        super().__init__()
        self.handed = handed
        self.entry = entry


class EntrySaved(Message):
    """An entry was saved in this file."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path


class Ranked(Message):
    """The engine's answer to the case with this serial number: whole, or the ranking alone."""

    def __init__(self, serial: int, answer: dict[str, Any]) -> None:
        super().__init__()
        self.serial = serial
        self.answer = answer

    @property
    def whole(self) -> bool:
        """Whether its causes come with their reasons."""
        return all("because" in cause for cause in self.answer["causes"])


class Proposed(Message):
    """What words may mean, and whether they speak of pain."""

    def __init__(self, words: str, proposals: list[dict[str, Any]], pain: bool) -> None:
        super().__init__()
        self.words = words
        self.proposals = proposals
        self.pain = pain


class EngineFailed(Message):
    """Something the engine was asked went wrong; serial -1 where it was no case."""

    def __init__(self, what: str, serial: int = -1) -> None:
        super().__init__()
        self.what = what
        self.serial = serial
