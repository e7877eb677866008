"""Terminals that show little: ASCII alone, no screen at all, and windows that change their size."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from arclore.tui.ascii_only import in_ascii
from rich.cells import cell_len

from tests.command.running import program
from tests.desk.terminal import Terminal

RUN = "import sys; from arclore.tui.command import main; sys.exit(main([]))"
ROOT = Path(__file__).parents[2]
PLAIN = ({"LC_ALL": "C", "PYTHONUTF8": "0"}, {"LC_ALL": "C", "TERM": "linux"})


def test_every_sign_is_plain_and_as_wide_as_it_was() -> None:
    for character in map(chr, (*range(0xA0, 0x10000), *range(0x1F000, 0x1FB00))):
        if not 0xD800 <= ord(character) < 0xE000:
            plain = in_ascii(character)
            assert plain.isascii() and len(plain) == cell_len(character), hex(ord(character))
    assert in_ascii("│ Zażółć ─ “so” … ✓") == '| Zaz??c - "so" ~ *'.replace("??", "o?")


@pytest.mark.parametrize("environment", PLAIN, ids=str)
def test_the_desk_writes_ascii_alone_where_no_more_is_shown(tmp_path: Path, environment: dict[str, str]) -> None:
    with Terminal(RUN, tmp_path, **environment) as terminal:
        terminal.wait_for(b"painful")
        for then in (b"numbness", b"chest", b"operation", b"stand"):
            terminal.type("1")
            terminal.wait_for(then)
        terminal.type("?")
        terminal.wait_for(b"Keys")
        terminal.type("\x1b")
        terminal.wait_for(b"right-handed")
        terminal.type("q")
        assert terminal.ended(10) == 0
    assert b"----------" in terminal.seen
    assert terminal.seen.isascii()
    assert b"\\u" not in terminal.seen


def test_a_terminal_without_a_screen_gets_one_line(tmp_path: Path) -> None:
    with Terminal(RUN, tmp_path, TERM="dumb") as terminal:
        assert terminal.ended(10) == 2
        terminal.wait_for(b"arclore triage")
    assert terminal.seen.count(b"\n") == 1
    assert b"\x1b" not in terminal.seen


def test_a_command_writes_ascii_alone_where_no_more_is_shown() -> None:
    done = program("triage", "kb/cases/driver-away-irons-toward.yaml", cwd=ROOT, env={**os.environ, **PLAIN[0]})
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert "\\u" not in done.stdout


def test_a_window_that_changes_its_size_loses_nothing(tmp_path: Path) -> None:
    with Terminal(RUN, tmp_path, COLUMNS="80", LINES="24") as terminal:
        terminal.wait_for(b"painful")
        terminal.type("1")
        terminal.wait_for(b"numbness")
        for columns, rows in ((100, 30), (160, 50), (80, 24)):
            terminal.resize(40, 12)
            terminal.wait_for(b"needs 80 x 24")
            terminal.type("1")  # of a question that cannot be seen
            terminal.rest(0.3)
            terminal.resize(columns, rows)
            terminal.wait_for(b"numbness")
        terminal.type("1")
        terminal.wait_for(b"chest")
        terminal.type("q")
        assert terminal.ended(10) == 0
    (path,) = (tmp_path / "arclore" / "lessons").glob("*.json")
    assert json.loads(path.read_text(encoding="utf-8"))["events"] == [["safety:0", "no"], ["safety:1", "no"]]
