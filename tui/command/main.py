"""The command ``arclore``: reads the arguments, hands over to one command, says how it ended.

Nothing heavy is imported before a command is known: help and version come at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module, metadata
from pathlib import Path
from typing import Any

from arclore.engine.library.problems import shortened
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.page import say
from arclore.tui.command.parser import Parser, numbers_bound

COMMANDS = ("triage", "predict", "setup", "library", "lessons", "serve")
FRAMES = "200"  # a second at most: what changes is seen one of these later, and most of them draw nothing
ABOUT = """\
A golf coach's knowledge base and decision engine. Alone it opens the desk;
the commands below print plain text, or one JSON object with --json."""
ENDING = "exit codes: 0 done, 1 problems found, 2 wrong use, 3 stopped for safety, 130 interrupted"


def main(arguments: Sequence[str] | None = None) -> int:
    """Carry out one command line and return its exit code; never raises for anything the person typed."""
    _ready_streams()
    try:
        code = _carried_out(sys.argv[1:] if arguments is None else list(arguments))
        sys.stdout.flush()
    except WrongUseError as problem:
        say(problem)
        return Exit.WRONG_USE
    except KeyboardInterrupt:
        return Exit.INTERRUPTED
    except BrokenPipeError:  # whoever read has read enough
        _forget_output()
        return Exit.DONE
    except OSError as problem:
        _forget_output()
        say(f"{shortened(problem.filename or 'the output', 120)}: {problem.strerror}")
        return Exit.PROBLEMS
    return code


def _ready_streams() -> None:
    """Output that can't fail for a character the terminal lacks, nor for a stream that is closed."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 (lives to the end)
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def _forget_output() -> None:
    """Drop what is still buffered, so that nothing complains of it when the program ends."""
    with suppress(OSError):  # where it is no file
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _carried_out(arguments: list[str]) -> int:
    try:
        given = _parser().parse_args(numbers_bound(arguments))
    except SystemExit as end:  # --help and --version have said what they had to
        return int(end.code or 0)
    if given.command is None:
        return _desk()
    return int(given.run(given))


def _parser() -> Parser:
    parser = Parser(prog="arclore", description=ABOUT, epilog=ENDING)
    parser.add_argument("--version", action=_Version, nargs=0, help="print the version and stop")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser)
    for name in COMMANDS:
        module: Any = import_module(f"arclore.tui.command.{name}_flags")
        own = commands.add_parser(name, help=module.HELP, description=module.ABOUT, epilog=ENDING)
        module.add_flags(own)
    return parser


class _Version(argparse.Action):
    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        print(f"arclore {metadata.version('arclore')}")
        parser.exit()


def _desk() -> int:
    """Open the desk, which needs a terminal on both sides."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise WrongUseError("the desk needs a terminal; without one use: arclore triage CASE.yaml")
    if os.environ.get("TERM") == "dumb":
        raise WrongUseError("this terminal (TERM=dumb) cannot show the desk; use: arclore triage CASE.yaml")
    for name in ("COLUMNS", "LINES"):  # where a shell exports them they would stand for the window, and it may change
        os.environ.pop(name, None)
    os.environ.setdefault("TEXTUAL_FPS", FRAMES)  # read once, when the framework is imported
    desk: Any = import_module("arclore.tui.desk")
    return int(desk.run() or Exit.DONE)
