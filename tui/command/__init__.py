"""The command line of Arclore."""

from arclore.tui.command.main import main

__all__ = ["main"]
