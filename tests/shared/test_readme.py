"""What the README tells an academy to type, typed word by word: by three people, each in a place of their own."""

from __future__ import annotations

import re
import shlex
import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.cache import Cache
from arclore.engine.upkeep.effects import effects
from arclore.tui.command import library_compare
from arclore.tui.command.exits import Exit

from tests.command.running import Run

README = Path(__file__).parents[2] / "README.md"
SECTION = re.compile(r"## Running a shared library\n(.*?)\n## ", re.DOTALL)
BLOCK = re.compile(r"```sh\n(.*?)```", re.DOTALL)


class Person:
    """Someone at a place of their own, whom git knows there."""

    def __init__(self, run: Run, place: Path, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
        self.run, self.place, self.name, self.monkeypatch = run, place / name, name, monkeypatch
        self.place.mkdir()
        settings = f"[user]\n\tname = {name} Fenwood\n\temail = {name}@larkmoor.example\n[commit]\n\tgpgsign = false\n"
        (self.place / ".gitconfig").write_text(settings, encoding="utf-8")

    def types(self, block: str, **words: str) -> str:
        """Type a block, with what it leaves open; returns what was answered."""
        self.monkeypatch.setenv("HOME", str(self.place))
        self.monkeypatch.chdir(self.place)
        for word, meant in words.items():
            block = block.replace(word, meant)
        answered = ""
        for line in block.replace("\\\n", " ").strip().splitlines():
            for command in line.split(" && "):
                answered += self._type(command)
        return answered

    def _type(self, command: str) -> str:
        if command.startswith("arclore "):
            done = self.run(*shlex.split(command, comments=True)[1:])
            assert done.code == Exit.DONE, (command, done.out, done.err)
            return done.out
        told = subprocess.run(command, shell=True, capture_output=True, text=True, timeout=30, check=False)
        assert told.returncode == 0, (command, told.stderr)
        return told.stdout


def of_two_cases(a: Library, b: Library, cache: Cache, processes: int, most: float) -> Any:
    """What a change does to answers, of two cases only, for time's sake."""
    few = (replace(library, cases=dict(list(library.cases.items())[:2])) for library in (a, b))
    return effects(*few, cache, processes, most)


def test_the_readme_for_an_academy_word_by_word(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    section = SECTION.search(README.read_text(encoding="utf-8"))
    assert section
    begin, write, review, hand_out, install, build = BLOCK.findall(section[1])
    assert "arclore library check --cases ." in build
    monkeypatch.setattr(library_compare, "effects", of_two_cases)
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _: "yes")
    academy, orla, piers, zoe = (Person(run, tmp_path, name, monkeypatch) for name in ("ines", "orla", "piers", "zoe"))
    address = str(tmp_path / "larkmoor.git")

    academy.types(begin, ADDRESS=address)
    assert "0 problems" in orla.types(write, ADDRESS=address)
    seen = piers.types(review, ADDRESS=address)
    assert "larkmoor-rope-outside: unreviewed\n  waits for a review by anyone but orla Fenwood" in seen
    told = academy.types(hand_out)
    assert "1 approved" in told
    assert (academy.place / "wall.pdf").read_bytes().startswith(b"%PDF")
    assert "approved by piers Fenwood" in (academy.place / "cards.html").read_text(encoding="utf-8")
    digest = re.search(r"digest (sha256:\w+)", told)
    assert digest
    (zoe.place / "larkmoor-0.1.0.zip").write_bytes((academy.place / "larkmoor-0.1.0.zip").read_bytes())
    shown = zoe.types(install, DIGEST=digest[1])
    assert "title   [larkmoor, line 4]" in shown
    assert "a rope lies outside the ball" in shown
