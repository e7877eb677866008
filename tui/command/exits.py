"""How a command ends, and the one exception by which it ends early."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """Exit codes of every command."""

    DONE = 0
    PROBLEMS = 1  # problems were found in what was read
    WRONG_USE = 2  # the command line asks for something that makes no sense
    SAFETY_STOP = 3  # pain or another safety sign: nothing was ranked
    INTERRUPTED = 130


class WrongUseError(Exception):
    """A command line that can't be carried out; its text is the one line the person gets."""
