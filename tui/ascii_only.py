"""Terminals that show nothing but ASCII: how they are told, and every other character as its nearest sign.

Importing this module loads nothing heavy: the desk asks before its first frame.
"""

from __future__ import annotations

import os
import sys
import unicodedata
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from rich.cells import cell_len

if TYPE_CHECKING:
    from textual.driver import Driver

SIGNS = {
    sign: plain
    for plain, signs in {
        "-": "─━═‐‑–—−·▔▁▂",
        "|": "│┃║▏▎▍▌▋▊▉▐▕",
        "+": "┌┐└┘├┤┬┴┼┏┓┗┛┣┫┳┻╋╭╮╰╯",
        "#": "▃▄▅▆▇█▀",
        "~": "…",
        '"': "“”„«»",
        "'": "‘’",
        "*": "✓•★",
        "x": "×",
        "^": "↑",
        "v": "↓",
        "<": "←",
        ">": "→",
    }.items()
    for sign in signs
}


def can_show_braille(encoding: str | None, environment: Mapping[str, str]) -> bool:
    """Whether the terminal shows more than ASCII, by the stream's encoding and the locale it was started in.

    Python reads and writes UTF-8 even where the locale is C, and may have set LC_CTYPE to C.UTF-8 itself, so
    that one value tells nothing unless LANG bears it out.
    """
    if "utf" not in (encoding or "").lower() or environment.get("TERM") in ("linux", "dumb"):
        return False
    character = environment.get("LC_CTYPE", "")
    spoken = environment.get("LC_ALL") or ("" if character == "C.UTF-8" else character) or environment.get("LANG", "")
    return "utf" in spoken.lower()


def ascii_only() -> bool:
    """Whether this terminal shows nothing but ASCII."""
    stream = sys.__stdout__
    return not can_show_braille(stream.encoding if stream else None, os.environ)


def in_ascii(text: str) -> str:
    """The text in ASCII, every sign as wide as it was, so that columns stay where they are."""
    return text if text.isascii() else "".join(map(_sign, text))


@cache
def _sign(character: str) -> str:
    if character.isascii() or character in SIGNS:
        return SIGNS.get(character, character)
    letter = unicodedata.normalize("NFKD", character)[0]
    cells = cell_len(character)
    return letter if letter.isascii() and cells == 1 else "?" * cells


def plainly(driver: type[Driver]) -> type[Driver]:
    """This driver, writing ASCII alone."""

    class Plain(driver):  # type: ignore[valid-type, misc]
        def write(self, data: str) -> None:
            super().write(in_ascii(data))

    return Plain
