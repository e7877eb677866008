"""A small library to spoil: one sound entry of each kind, written where a test wants it."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Entry = dict[str, Any]
Write = Callable[..., Path]

_COMMON = {
    "schema": 1,
    "author": "A. Tester",
    "evidence": {"kind": "estimate"},
    "sources": [],
    "clubs": ["driver"],
}
_OWN: dict[str, Entry] = {
    "symptom": {"category": "feel", "question": "Does it sting?", "confirm": "Ask twice.", "leak": "rarely"},
    "cause": {
        "family": "posture",
        "stage": "set-up",
        "mechanism": "the chest is bent so low that the arms have no room",
        "how_common": {"novice": "common", "intermediate": "common", "skilled": "rare"},
        "tell_student": "you are bent too low",
    },
    "check": {
        "minutes": 2,
        "kit": [],
        "where": ["mat"],
        "how": ["look from the side"],
        "asks": "is the back bent?",
        "results": [
            {"id": "bent", "when": "it is", "means": "posture"},
            {"id": "straight", "when": "it is not", "means": "something else"},
        ],
        "type": "likelihood",
        "likelihood": {
            "causes": [],
            "positive": "bent",
            "negative": "straight",
            "sensitivity": 0.8,
            "specificity": 0.7,
            "basis": "estimate",
        },
    },
    "drill": {
        "for": {"causes": ["bent-low"]},
        "effect": {"input": "low_point_cm", "change": "more"},
        "minutes": 5,
        "steps": ["swing slowly"],
        "dose": {"sets": 1, "repetitions": 5, "with_ball": False},
        "pass_mark": {"hits": 3, "of": 5, "counts": "swings without a stumble"},
        "easier": "go slower",
        "harder": "go faster",
        "kit": [],
        "where": ["mat"],
        "space_m": 3,
        "hazards": "keep clear of people",
        "not_for": [],
        "cautions": ["stop at any pain"],
        "cue": "brush the mat",
        "cue_focus": "outside-the-body",
        "fade": "drop every second swing",
        "retest": "five swings next week",
    },
    "words": {"phrases": ["it stings"], "means": {"findings": ["stings"]}, "certain": True},
    "case": {"case": {"present": ["stings"]}, "expect": {"families": ["posture"]}},
}
_IDS = {
    "symptom": "stings",
    "cause": "bent-low",
    "check": "look-at-back",
    "drill": "brush-mat",
    "words": "it-stings",
    "case": "stinging",
}
FOLDERS = {
    "symptom": "symptoms",
    "cause": "causes",
    "check": "checks",
    "drill": "drills",
    "words": "words",
    "case": "cases",
}


def sound_entry(kind: str, name: str = "", **fields: Any) -> Entry:
    """A sound entry of the kind with the given fields in place of its own."""
    entry = {
        **_COMMON,
        **copy.deepcopy(_OWN[kind]),
        "kind": kind,
        "id": name or _IDS[kind],
        "title": "a title",
    }
    if kind in ("words", "case"):
        del entry["clubs"]
    return {**entry, **fields}


@pytest.fixture
def entry() -> Callable[..., Entry]:
    return sound_entry


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """Writes entries into a library folder (JSON is YAML) and returns the folder."""

    def writer(*entries: Entry, layer: str = "kb") -> Path:
        root = tmp_path / layer
        root.mkdir(exist_ok=True)
        for item in entries:
            folder = root / FOLDERS[item["kind"]]
            folder.mkdir(exist_ok=True)
            name = item.get("id") or item["amends"]
            (folder / f"{name}.yaml").write_text(json.dumps(item, indent=1), encoding="utf-8")
        return root

    return writer
