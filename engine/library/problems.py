"""Problems as rows: what is wrong, where, and what to do about it.

Nothing that reads a library raises for bad content; it returns these rows, and a caller prints them.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

ROW_LENGTH = 300  # characters; a longer row hides its neighbours
PATH_LENGTH = 120


def printable(text: object) -> str:
    """The text with every character that a terminal would act on, or not show, written as its escape.

    Control characters, line ends, direction overrides, zero-width and odd space characters become ``\\x1b``,
    ``\\n``, ``\\u202e`` and so on. The result is one line; split a longer text into lines first.
    """
    text = str(text)
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def is_text(name: str) -> bool:
    """Whether a name from the file system is text: a name of bytes that are not UTF-8 can be written in no file."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)


def shortened(text: object, length: int) -> str:
    """The printable text, cut to ``length`` characters, the last one an ellipsis where something was cut."""
    shown = printable(str(text)[: length + 1])
    return shown if len(shown) <= length else shown[: length - 1] + "…"


def nearest(word: object, known: Iterable[str]) -> str | None:
    """The known spelling closest to ``word``, or None where none is close; ties go to the first in order."""
    if not isinstance(word, str) or len(word) > 100:
        return None
    spelled = word.strip().lower().replace("_", "-")
    by_spelling: dict[str, str] = {}
    for name in sorted(known):
        by_spelling.setdefault(name.lower().replace("_", "-"), name)
    close = difflib.get_close_matches(spelled, by_spelling, n=1, cutoff=0.6)
    return by_spelling[close[0]] if close else None


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in one place; rows sort by path, line, column.

    ``line`` and ``column`` count from 1. ``code`` is a stable name for programs, ``hint`` says what to do,
    ``entry`` is the id of the entry and ``field`` the dotted path of the field, where they are known.
    """

    path: str
    line: int
    column: int
    code: str
    message: str
    hint: str = ""
    entry: str = ""
    field: str = ""

    def row(self) -> str:
        """``path:line:column: code: message (hint)`` on one line of at most 300 characters."""
        path = printable(self.path)
        if len(path) > PATH_LENGTH:
            path = "…" + path[1 - PATH_LENGTH :]
        head = f"{path}:{self.line}:{self.column}: {self.code}: "
        room = ROW_LENGTH - len(head)
        hint = f" ({shortened(self.hint, room // 2)})" if self.hint else ""
        return head + shortened(self.message, room - len(hint)) + hint
