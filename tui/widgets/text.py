"""Text from data as content that is never parsed and holds nothing a terminal would act on."""

from __future__ import annotations

from collections.abc import Iterable

from arclore.engine.library.problems import printable
from textual.content import Content


def plain(text: object, style: str = "") -> Content:
    """The text on its own lines, literally; control characters are shown as their escapes."""
    return Content.styled("\n".join(printable(line) for line in str(text).split("\n")), style)


def lines(*parts: Content | str | None) -> Content:
    """Parts below each other; empty ones are left out, and " " makes an empty line."""
    shown = [plain(part) if isinstance(part, str) else part for part in parts if part is not None and len(part)]
    return Content("\n").join(shown)


def heading(text: str) -> Content:
    """A heading: bold and underlined, so that it stands out without colour."""
    return plain(text, "bold underline")


def points(texts: Iterable[str], mark: str = "- ") -> list[Content]:
    """Texts as a list."""
    return [plain(mark + text) for text in texts]
