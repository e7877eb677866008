"""The desk on the real engine and in a real terminal: a whole lesson, mirrored hands, kill, start, quit."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.lesson_store import Store
from arclore.tui.screens.what_if import WhatIfScreen
from arclore.tui.thinker import Thinker
from textual.widgets import Static

from tests.desk.fakes import column_text, keys, settled, shown
from tests.desk.terminal import Terminal

RUN = "import sys; from arclore.tui.desk import run; sys.exit(run())"
SHARED = Thinker()
"""One reading of the library for all tests here."""

WHO = "1 1 1 1 {hand} 1 enter 1 enter"
MIRROR = {"1": "3", "3": "1"}


def real_desk(folder: Path) -> Desk:
    app = Desk(store=Store(folder))
    app.thinker = app.lesson_screen.thinker = SHARED
    return app


async def lesson(folder: Path, size: tuple[int, int], typed: str) -> tuple[Desk, str, str]:
    """A lesson by these keys: the app, what the ranking showed, what the explanation showed."""
    app = real_desk(folder)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        await keys(pilot, typed)
        await keys(pilot, "r")
        ranking = shown(app)
        await keys(pilot, "e")
        return app, ranking, shown(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_whole_lesson_by_keys_alone(tmp_path: Path, size: tuple[int, int]) -> None:
    app = real_desk(tmp_path)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        assert "painful" in shown(app)
        await keys(pilot, WHO.format(hand=1) + " 1 5 3 6 enter 1 5")
        screen = app.lesson_screen
        answer = screen.flow.answer
        assert answer is not None
        assert screen.told == ""
        assert screen.flow.current == f"check:{answer['next_checks'][0]['id']}"
        assert answer["causes"][0]["probability"] >= answer["causes"][1]["probability"]
        assert all(part in " ".join(shown(app).split()) for part in ("Next check:", "Caution"))
        await keys(pilot, "e")
        text = " ".join(shown(app).split())
        assert "The geometry" in text
        await keys(pilot, "d")
        assert "Pass mark" in shown(app)
        assert "Caution" in shown(app)


@pytest.mark.parametrize(
    ("clubs", "typed", "shots"),
    [
        ("9", "1 2 3 enter 3 1 5", [{"club": "chip", "contact": ["top"], "turf": ["deep"], "finish": "short"}]),
        ("a", "2 2 2 enter 2 1 5", [{"club": "sand", "contact": ["fat"], "turf": ["after"], "finish": "short"}]),
        ("b", "3 2 1 enter 4 5", [{"club": "putt", "start": "right", "contact": ["clean"]}]),
    ],
)
async def test_short_shots_are_asked_about_in_their_own_words(
    tmp_path: Path, clubs: str, typed: str, shots: list[dict[str, Any]]
) -> None:
    """From the sand and on the green the questions are others, and so are the pictures and what can be tried."""
    app = real_desk(tmp_path)
    async with app.run_test(size=(80, 30)) as pilot:
        await settled(pilot)
        await keys(pilot, "1 1 1 1 1 1 enter " + clubs + " enter " + typed)
        screen = app.lesson_screen
        assert screen.told == ""
        assert screen.asked is not None
        for wanted, seen in zip(shots, screen.asked["shots"], strict=True):
            assert wanted.items() <= seen.items()
        assert ("putt-pace-varies" in screen.asked.get("present", ())) == (clubs == "b")
        assert screen.flow.answer is not None and screen.flow.answer["causes"]
        await keys(pilot, "p")
        drawn = str(app.lesson_screen.query_one("#picture", Static).content)
        second = {"9": "Face-on", "a": "went into the sand", "b": "The putt, the hole up the page"}[clubs]
        assert "From above" in drawn and second in drawn
        await keys(pilot, "i 5 right right")
        dial = {"9": "face", "a": "low point against the body", "b": "speed of the head"}[clubs]
        assert isinstance(app.screen, WhatIfScreen) and len(app.screen.settings) == 1
        assert dial in " ".join(column_text(app).split())
        assert not app._notifications


async def test_a_left_handers_lesson_is_the_mirror_of_a_right_handers(tmp_path: Path) -> None:
    one, _, right = await lesson(tmp_path / "a", (80, 44), WHO.format(hand=1) + " 1 5")
    two, _, left = await lesson(tmp_path / "b", (80, 44), WHO.format(hand=2) + " 3 1")
    a, b = one.lesson_screen.flow.answer, two.lesson_screen.flow.answer
    assert a is not None
    assert b is not None
    assert [c["id"] for c in a["causes"]] == [c["id"] for c in b["causes"]]
    assert [c["probability"] for c in a["causes"]] == [c["probability"] for c in b["causes"]]
    swapped = left.replace("left", "*").replace("right", "left").replace("*", "right")
    # an interval is told from its low end, so its two ends change places
    assert sorted(re.findall(r"[\w.]+", swapped)) == sorted(re.findall(r"[\w.]+", right))


async def test_words_of_the_library_become_evidence_only_when_accepted(tmp_path: Path) -> None:
    app = real_desk(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, WHO.format(hand=1) + " w s l i c e enter")
        assert app.lesson_screen.flow.case == {
            "handed": "right", "level": "novice", "shots": [{"club": "driver"}], "pain": False
        }  # fmt: skip
        await keys(pilot, "1 escape")
        case: Any = app.lesson_screen.flow.case
        assert case["shots"] == [{"club": "driver", "curve": "right", "bend": "strong"}]


def test_a_club_that_words_only_name_is_not_asked_about() -> None:
    proposals, pain = SHARED.proposals("his driver starts left, irons go left", "right")
    assert [(found["club"], found["outcome"]) for found in proposals] == [
        ("driver", {"start": "toward"}),
        ("mid-iron", {"finish": "toward"}),
    ]
    assert not pain


async def test_words_of_pain_raise_the_safety_question(tmp_path: Path) -> None:
    app = real_desk(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        await keys(pilot, WHO.format(hand=1) + " w m y space b a c k space h u r t s enter")
        assert app.lesson_screen.flow.current == "safety:words"
        assert app.lesson_screen.flow.case is None


def test_nothing_heavy_is_loaded_before_the_first_frame() -> None:
    code = (
        "import sys, asyncio, arclore.tui.desk as d, arclore.tui.screens.lesson as l\n"
        "async def main():\n"
        "    seen = []\n"
        "    l.LessonScreen.load = lambda self: seen.append('loads')\n"
        "    app = d.Desk()\n"
        "    async with app.run_test(size=(80, 24)) as pilot:\n"
        "        await pilot.pause()\n"
        "    print(seen, [m for m in ('numpy', 'scipy', 'networkx', 'jsonschema', 'yaml') if m in sys.modules])\n"
        "asyncio.run(main())\n"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert out.stdout.strip() == "['loads'] []"


def test_the_first_frame_comes_at_once(tmp_path: Path) -> None:
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import textual.app"], check=True, timeout=60)
    base = time.perf_counter() - began
    began = time.perf_counter()
    with Terminal(RUN, tmp_path) as terminal:
        terminal.wait_for(b"undo")
        taken = time.perf_counter() - began
    # other work on the machine slows the two unevenly; by itself the desk took 0.48 s where the limit was 0.8 s
    assert taken < 2 * (1.5 * base + 0.5)


def test_a_killed_desk_offers_its_lesson_again(tmp_path: Path) -> None:
    with Terminal(RUN, tmp_path) as terminal:
        terminal.wait_for(b"painful")
        terminal.type("1")
        terminal.wait_for(b"numbness")
        terminal.type("1")
        terminal.wait_for(b"chest")
        terminal.signal(signal.SIGKILL)
    files = list((tmp_path / "arclore" / "lessons").glob("*.json"))
    assert [json.loads(file.read_text(encoding="utf-8"))["done"] for file in files] == [2]
    with Terminal(RUN, tmp_path) as terminal:
        terminal.wait_for(b"2 answers")
        terminal.type("1")
        terminal.wait_for(b"chest")
        terminal.type("q")
        assert terminal.ended(10) == 0


def test_quitting_while_a_ranking_runs_takes_less_than_two_seconds(tmp_path: Path) -> None:
    slow = (
        "import time, arclore.tui.thinker as t\n"
        "def answers(self, case, wanted):\n    time.sleep(30)\n"
        "t.Thinker.answers = answers\n" + RUN
    )
    with Terminal(slow, tmp_path) as terminal:
        terminal.wait_for(b"painful")
        for then in (b"numbness", b"chest", b"operation", b"stand", b"along", b"hold today"):
            terminal.type("1")
            terminal.wait_for(then)
        terminal.type("\r")
        terminal.wait_for(b"Which clubs")
        terminal.type("1\r")
        terminal.wait_for(b"start")
        time.sleep(0.3)
        began = time.perf_counter()
        terminal.type("q")
        assert terminal.ended(10) == 0
        assert time.perf_counter() - began < 2.0


def test_a_polite_kill_leaves_the_terminal_as_it_was(tmp_path: Path) -> None:
    with Terminal(RUN, tmp_path) as terminal:
        terminal.wait_for(b"painful")
        os.kill(terminal.pid, signal.SIGTERM)
        assert terminal.ended(10) == 130
        assert b"\x1b[?1049l" in terminal.seen  # back from the alternate screen (xterm control sequences)


@pytest.mark.parametrize(("sent", "code"), [("\x03", 130), ("q", 0)])
def test_leaving_gives_the_code_of_the_command_line(tmp_path: Path, sent: str, code: int) -> None:
    with Terminal(RUN, tmp_path) as terminal:
        terminal.wait_for(b"painful")
        terminal.type(sent)
        assert terminal.ended(10) == code
        assert b"Traceback" not in terminal.seen
