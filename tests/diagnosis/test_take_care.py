"""What is to be minded with a player stands in every answer, with every flag that a case can ask to spare."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from arclore.engine.diagnosis.triage import Bench, triage
from arclore.engine.library.stack import load_library

DEFINITIONS = Path(__file__).parents[2] / "schemas" / "definitions.schema.json"
FLAGS = json.loads(DEFINITIONS.read_text(encoding="utf-8"))["$defs"]["flag"]["enum"]
CASE = {"shots": [{"club": "driver", "start": "left", "curve": "right"}]}


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def test_every_flag_has_its_words_and_bodies_are_left_to_those_who_are_licensed(bench: Bench) -> None:
    minded = bench.library.settings["safety"]["by_flag"]
    assert set(minded) == set(FLAGS)
    deferring = ("licensed health professional", "midwife or doctor", "emergency number")
    bodies = {flag: text for flag, text in minded.items() if flag not in ("older-adult", "hard-mats")}
    assert [flag for flag, text in bodies.items() if not any(words in text for words in deferring)] == []


def test_an_answer_minds_what_the_case_asks_to_spare_and_nothing_else(bench: Bench) -> None:
    minded = bench.library.settings["safety"]["by_flag"]
    assert triage(CASE, bench)["take_care"] == []
    answer = triage({**CASE, "avoid": ["pregnancy", "junior"]}, bench)
    assert sorted(answer["take_care"]) == sorted([minded["pregnancy"], minded["junior"]])
    assert not set(bench.library.drills[answer["drills"][0]["id"]]["not_for"]) & {"pregnancy", "junior"}


def test_a_lesson_that_stops_minds_them_too(bench: Bench) -> None:
    stopped = triage({**CASE, "pain": True, "avoid": ["back-history"]}, bench)
    assert stopped["stop"]
    assert stopped["take_care"] == [bench.library.settings["safety"]["by_flag"]["back-history"]]
