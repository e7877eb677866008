"""An argument parser whose complaints are one line with the nearest spelling, and which reads any number."""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from typing import Any, NoReturn

from arclore.engine.library.problems import nearest, printable, shortened
from arclore.tui.command.exits import WrongUseError

NUMBER = re.compile(r"[-+](?:\d+\.?\d*(?:e[-+]?\d+)?|\.\d+(?:e[-+]?\d+)?|inf(?:inity)?|nan)", re.IGNORECASE)


class Parser(argparse.ArgumentParser):
    """No abbreviations of flags, and ``WrongUseError`` in place of a page of usage."""

    def __init__(self, *args: Any, **options: Any) -> None:
        options.setdefault("allow_abbrev", False)
        options.setdefault("formatter_class", argparse.RawDescriptionHelpFormatter)
        super().__init__(*args, **options)

    def error(self, message: str) -> NoReturn:
        raise WrongUseError(f"{self.prog}: {shortened(message, 240)} (see {self.prog} --help)")

    def parse_known_args(self, args: Sequence[str] | None = None, namespace: Any = None) -> Any:  # type: ignore[override]
        """As the base, but an unknown flag is refused here, where the flags that it may mean are known."""
        found, rest = super().parse_known_args(args, namespace)
        if rest:
            known = [flag for action in self._actions for flag in action.option_strings]
            near = nearest(rest[0].partition("=")[0], known)
            what = "flag" if rest[0].startswith("-") else "argument"
            hint = f"nearest: {near}" if near else f"see {self.prog} --help"
            raise WrongUseError(f"{self.prog}: unknown {what} {shortened(rest[0], 60)} ({hint})")
        return found, rest


def numbers_bound(arguments: Sequence[str]) -> list[str]:
    """The arguments with signed numbers such as ``-1e-3`` bound to the flag before them.

    Otherwise they would be taken for flags.
    """
    bound: list[str] = []
    for argument in arguments:
        flag = bound[-1] if bound else ""
        if flag.startswith("--") and len(flag) > 2 and "=" not in flag and NUMBER.fullmatch(argument):
            bound[-1] = f"{flag}={argument}"
        else:
            bound.append(argument)
    return bound


def finite(text: str) -> float:
    """A finite number, for ``type=``."""
    try:
        value = float(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{shortened(text, 40)!r} is not a number") from None
    if value != value or value in (float("inf"), float("-inf")):
        raise argparse.ArgumentTypeError(f"{printable(text)} is not a finite number")
    return value


def whole(text: str) -> int:
    """A whole number, for ``type=``."""
    if not re.fullmatch(r"[-+]?[0-9]{1,9}", text):
        raise argparse.ArgumentTypeError(f"{shortened(text, 40)!r} is not a whole number")
    return int(text)
