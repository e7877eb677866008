"""Plain text for people: paragraphs wrapped at the terminal's width, data made harmless, numbers readable."""

from __future__ import annotations

import json
import os
import shutil
import sys
import textwrap
from typing import Any

from arclore.engine.library.problems import printable

NARROWEST, WIDEST = 24, 100  # columns; longer lines are hard to read
BOLD, PLAIN = "\x1b[1m", "\x1b[0m"


def say(text: object) -> None:
    """One line of talk on stderr."""
    told = printable(text)
    print(told if told.startswith("arclore") else f"arclore: {told}", file=sys.stderr)


def print_json(value: Any) -> None:
    """One JSON object on stdout: plain ASCII, so that it survives any terminal; NaN is refused."""
    print(json.dumps(value, indent=1, allow_nan=False))


class Page:
    """Lines being written. Every text that comes in is data: what a terminal would act on is escaped."""

    def __init__(self, width: int | None = None, bold: bool | None = None, units: str = "metric") -> None:
        self.units = units
        columns = shutil.get_terminal_size((80, 24)).columns if width is None else width
        self.width = min(max(columns, NARROWEST), WIDEST)
        self.bold = (sys.stdout.isatty() and "NO_COLOR" not in os.environ) if bold is None else bold
        self.lines: list[str] = []

    def heading(self, text: str) -> None:
        """A line of its own after an empty one, bold where the terminal can show it."""
        if self.lines:
            self.lines.append("")
        for line in self._wrapped(text, "", ""):
            self.lines.append(f"{BOLD}{line}{PLAIN}" if self.bold else line)

    def paragraph(self, text: str, indent: int = 0, mark: str = "") -> None:
        """Wrapped text; ``mark`` hangs before its first line."""
        first = " " * indent + mark
        self.lines += self._wrapped(text, first, " " * len(first))

    def literal(self, text: str) -> None:
        """One line that is not wrapped, for drawings and columns."""
        self.lines.append(printable(text))

    def _wrapped(self, text: str, first: str, rest: str) -> list[str]:
        return textwrap.wrap(
            printable(text),
            self.width,
            initial_indent=first,
            subsequent_indent=rest,
            break_on_hyphens=False,
        ) or [first.rstrip()]

    def show(self) -> None:
        """All lines to stdout."""
        print("\n".join(self.lines))


def in_hundred(chance: float) -> str:
    """A chance as "14 in 100", its ends said as what they are."""
    if chance < 0.005:
        return "under 1 in 100"
    if chance > 0.995:
        return "over 99 in 100"
    return f"{round(100 * chance)} in 100"


def number(value: float, digits: int = 1) -> str:
    """A number with so many decimals, half away from zero, and never a negative zero."""
    scaled = abs(value) * 10**digits + 0.5 + 1e-9
    shown = int(scaled) / 10**digits
    return f"{-shown if value < 0 and shown else shown:.{digits}f}"


def side(value: float, minus: str, plus: str, unit: str, zero: str, digits: int = 1) -> str:
    """A signed number in words, ``zero`` where it rounds to nothing."""
    shown = number(abs(value), digits)
    return zero if float(shown) == 0 else f"{shown} {unit} {plus if value > 0 else minus}"


def between(low: float, high: float, minus: str, plus: str, unit: str, zero: str) -> str:
    """An interval of a signed quantity in words: ``minus`` and ``plus`` name the sides of zero."""
    a, b = int(number(low, 0)), int(number(high, 0))
    if a == b:
        return zero if a == 0 else f"about {abs(a)} {unit} {plus if a > 0 else minus}"
    if a < 0 < b:
        return f"somewhere from {-a} {unit} {minus} to {b} {unit} {plus}"
    near, far = sorted((abs(a), abs(b)))
    side = plus if b > 0 else minus
    return f"up to {far} {unit} {side}" if near == 0 else f"{near} to {far} {unit} {side}"


def counted(count: float, noun: str) -> str:
    """A count with its noun, in the plural where there is not just one."""
    shown = number(count, 0 if count == int(count) else 1)
    return f"{shown} {noun}" + ("" if shown == "1" else "s")


def listed(items: list[str], last: str = "and") -> str:
    """Items as a spoken list."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def sentence(clause: str) -> str:
    """A clause with a capital at its start and a full stop at its end."""
    clause = clause.strip()
    return clause[:1].upper() + clause[1:] + ("" if clause.endswith((".", "!", "?")) else ".")
