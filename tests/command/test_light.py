"""Help and version come at once: nothing heavy is loaded for them."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

HEAVY = ("numpy", "scipy", "networkx", "textual", "jsonschema", "yaml", "aiohttp", "arclore.tui.desk")
LOADED = """
import json, sys
from arclore.tui.command import main
code = main({arguments!r})
print(json.dumps([int(code), sorted(set({heavy!r}) & set(sys.modules))]), file=sys.stderr)
"""


@pytest.mark.parametrize(
    "arguments",
    [
        ["--version"],
        ["--help"],
        ["triage", "--help"],
        ["predict", "--help"],
        ["setup", "--help"],
        ["library", "--help"],
        ["serve", "--help"],
    ],
    ids=" ".join,
)
def test_nothing_heavy_is_loaded(arguments: list[str]) -> None:
    script = LOADED.format(arguments=arguments, heavy=HEAVY)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=60)
    assert json.loads(done.stderr) == [0, []]
    assert done.stdout.strip()


def test_help_names_every_command_and_every_exit_code() -> None:
    done = subprocess.run([sys.executable, "-m", "arclore.tui", "--help"], capture_output=True, text=True, timeout=60)
    commands = ("triage", "predict", "setup", "library", "serve")
    for word in (*commands, "0 done", "1 problems", "2 wrong", "3 stopped", "130"):
        assert word in done.stdout
