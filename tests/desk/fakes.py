"""A small engine in place of the real one, so that most tests of the desk turn on the desk alone.

Its answers are checked against the schema of the real engine's answers, so that the two cannot drift apart.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import jsonschema
from arclore.engine.library.read import read_yaml
from arclore.engine.library.stack import BUILT_IN
from arclore.tui.desk import Desk
from arclore.tui.thinker import Safety, Thinker
from referencing import Registry, Resource

SCHEMAS = BUILT_IN.parent / "schemas"
HOSTILE = "[@click=app.quit]go[/] [/x] [red]x \x1b[31m[#1] a‮b"
LITERAL = r"[@click=app.quit]go[/] [/x] [red]x \x1b[31m[#1] a\u202eb"
"""What must be on the screen for HOSTILE: every character literally, what a terminal acts on as its escape."""


def valid(value: Any, schema: str, pointer: str = "") -> None:
    """Raise where the value breaks a schema of the project."""
    registry: Any = Registry()
    for path in SCHEMAS.glob("*.schema.json"):
        registry = Resource.from_contents(json.loads(path.read_text(encoding="utf-8"))) @ registry
    found = json.loads((SCHEMAS / f"{schema}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator({"$ref": found["$id"] + pointer}, registry=registry).validate(value)


def cause(name: str, probability: float, stage: str = "set-up", title: str = "") -> dict[str, Any]:
    """A ranked cause."""
    return {
        "id": name,
        "title": title or f"the {name} of the test",
        "family": "stance-width",
        "stage": stage,
        "probability": probability,
        "geometry": {
            "verdict": "agrees",
            "bits": 1.5,
            "text": "with the driver it would give club path -4 to -1 deg",
            "path_deg": [-4.0, -1.0],
            "low_point_cm": [-2.0, 3.0],
        },
        "because": [{"finding": "driver: start left", "bits": 1.2}],
    }


def check_row(causes: Sequence[dict[str, Any]] = (), title: str = "the feet are looked at") -> dict[str, Any]:
    """A check on offer: one of its results leaves the first cause in the lead."""
    leads = [{name: row[name] for name in ("id", "title", "probability")} for row in causes[:1]]
    return {
        "id": "look",
        "title": title,
        "bits": 0.5,
        "minutes": 2.0,
        "changes_priority": True,
        "gain_a_minute": 0.1,
        "results": [{"id": "wide", "chance": 0.6, "leads": row} for row in leads],
    }


def answer(*causes: dict[str, Any], **changed: Any) -> dict[str, Any]:
    """An answer of the engine with these causes, best first."""
    given: dict[str, Any] = {
        "stop": None,
        "causes": list(causes),
        "families": [{"id": "stance-width", "probability": 0.5}],
        "delivery_faults": [],
        "nothing_to_fix": 0.02,
        "none_of_these": 0.1,
        "mass_left_out": None,
        "sets_of_three": None,
        "sets_of_two": None,
        "conflict": None,
        "explained_away": None,
        "firmness": [],
        "acting": {"chances": [0.1, 0.7, 0.2], "more_may_act": False},
        "stages": {
            "involved": [{"id": "set-up", "probability": 0.6}, {"id": "downswing", "probability": 0.2}],
            "leading": causes[0]["stage"] if causes else None,
        },
        "priority": None,
        "next_checks": [check_row(causes)],
        "act_now": False,
        "plan": None,
        "practice": None,
        "drills": [{"id": "step", "title": "the feet step in", "for": [c["id"] for c in causes[:1]]}],
        "delivery": {
            "driver": {
                "path_deg": {"low": -6.0, "mid": -3.0, "high": 0.0},
                "face_deg": {"low": -1.0, "mid": 1.0, "high": 3.0},
                "attack_deg": {"low": -2.0, "mid": 0.0, "high": 1.0},
                "low_point_cm": {"low": -3.0, "mid": 0.0, "high": 4.0},
                "arc_height_mm": {"low": -6.0, "mid": 0.0, "high": 6.0},
                "loft_deg": {"low": -3.0, "mid": 0.0, "high": 3.0},
                "speed_percent": {"low": -8.0, "mid": 0.0, "high": 8.0},
            }
        },
        "theories": [],
        "proposed": [],
        "need_balls": 0,
        "handed": "right",
        "level": "novice",
        "notes": [],
        "take_care": [],
    }
    return {**given, **changed}


@dataclass
class FakeLibrary:
    """As much of a library as the desk looks at."""

    checks: dict[str, Any]
    drills: dict[str, Any]
    symptoms: dict[str, Any] = field(default_factory=dict)
    settings: dict[str, Any] = field(default_factory=lambda: {"frequency_words": {"seldom": 0.11, "often": 0.7}})
    problems: list[Any] = field(default_factory=list)
    causes: dict[str, Any] = field(default_factory=dict)
    clubs: dict[str, Any] = field(default_factory=dict)


@cache
def real_clubs() -> dict[str, Any]:
    """Two clubs of the built-in library."""
    found = {}
    for name in ("driver", "mid-iron"):
        document, _ = read_yaml(BUILT_IN / "clubs" / f"{name}.yaml")
        assert document is not None
        found[name] = document.value
    return found


@dataclass
class FakeBench:
    library: FakeLibrary


def small_library(title: str) -> FakeLibrary:
    """One check and one drill, their texts all this title."""
    text = title or "the feet are looked at"
    check = {
        "title": text,
        "type": "likelihood",
        "asks": text,
        "how": [text],
        "minutes": 2,
        "results": [
            {"id": "wide", "when": f"{text} {{left}}", "means": text},
            {"id": "narrow", "when": "narrow", "means": text},
        ],
        "cautions": [text],
    }
    drill = {
        "title": text,
        "minutes": 4,
        "steps": [text],
        "dose": {"sets": 2, "repetitions": 8, "with_ball": True},
        "pass_mark": {"hits": 6, "of": 8, "counts": text},
        "cue": text,
        "retest": text,
        "easier": text,
        "harder": text,
        "cautions": [text],
        "hazards": text,
    }
    told = {"clubs": ["full-swing"], "tell_student": text, "stage": "set-up"}
    causes = {
        "stance": {**told, "moves": [{"input": "ball_position_cm", "size": 6.0}]},
        "grip": {**told, "stage": "downswing", "moves": [{"input": "face_deg", "size": 4.0}]},
    }
    return FakeLibrary({"look": check}, {"step": drill}, causes=causes, clubs=real_clubs())


class FakeThinker(Thinker):
    """Answers from a function of the case; keeps the cases it was asked about."""

    def __init__(self, answers: Callable[[Mapping[str, Any]], dict[str, Any]], title: str = "") -> None:
        super().__init__()
        self.answering = answers
        self.title = title
        self.cases: list[Mapping[str, Any]] = []
        self.found: list[dict[str, Any]] = []
        self.pain = False

    def safety(self) -> Safety:
        return Safety(("Is anything sore?", "Is anything numb?"), "Stop here for now.", ("Keep clear.",))

    def load(self) -> Any:
        self.bench = FakeBench(small_library(self.title))  # type: ignore[assignment]
        return self.bench

    def answers(self, case: Mapping[str, Any], wanted: Callable[[], bool]) -> Iterator[dict[str, Any]]:
        self.cases.append(case)
        valid(case, "definitions", "#/$defs/case_input")
        given = self.answering(case)
        if (SCHEMAS / "triage.schema.json").exists():
            valid(given, "triage")
        yield given

    def proposals(self, words: str, handed: str) -> tuple[list[dict[str, Any]], bool]:
        return [dict(proposal, **{"from": words}) for proposal in self.found], self.pain


def stance_then_grip(case: Mapping[str, Any]) -> dict[str, Any]:
    """The stance leads until a start is told; then the hold on the club leads."""
    told = any("start" in shot for shot in case["shots"])
    stance = cause("stance", 0.2 if told else 0.5)
    grip = cause("grip", 0.6 if told else 0.2, stage="downswing")
    return answer(*sorted((stance, grip), key=lambda c: -c["probability"]))


def shown(app: Desk) -> str:
    """All text on the screen, a line a row."""
    return "\n".join("".join(segment.text for segment in strip) for strip in app.screen._compositor.render_strips())


def column_text(app: Desk) -> str:
    """The text of each visible leaf of the screen, pane by pane, so that columns do not run into each other."""
    texts = []
    for widget in app.screen.query("*"):
        if widget.is_on_screen and not widget.children and widget.size.area:
            texts += ["".join(s.text for s in widget.render_line(y)) for y in range(widget.size.height)]
    return " ".join(texts)


async def settled(pilot: Any) -> None:
    """Wait until the workers have done their work and what they posted is on the screen."""
    for _ in range(2):
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()


async def keys(pilot: Any, typed: str) -> None:
    """Press keys, named ones between spaces; wait for what they set off."""
    for key in typed.split():
        await pilot.press(key)
        await settled(pilot)


OPEN = "1 1 1 1 1 enter"  # no, no, right-handed, newer, driver
