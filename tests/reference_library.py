"""A library of 162 causes from the numbers of a handbook table alone, so that figures do not hang on the built-in one.

``fixtures/reference`` holds, in words of this project, which clubs a cause bears on, how common it is by level, what it
moves and scatters, which findings that geometry cannot compute it makes, and the minutes and causes of each check.
Every check answers yes or no and is right 80 and 85 times in 100. The numbers are one author's estimates of the trade.
Clubs and settings are the built-in library's.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path
from typing import Any

from arclore.engine.library.stack import Library, load_library

FOLDER = Path(__file__).parent / "fixtures" / "reference"
COMMON = {"V": "very-common", "C": "common", "O": "occasional", "R": "rare"}
HOW_OFTEN = {"A": "very-often", "O": "often", "S": "sometimes", "R": "rarely"}
LEAK = "rarely"  # how often a finding is there without its causes
LEVELS = ("novice", "intermediate", "skilled")
SENSITIVITY, SPECIFICITY = 0.80, 0.85


def reference_library() -> Library:
    """The causes, findings and checks of the table, with the built-in clubs and settings."""
    causes = {row["id"]: _cause(row) for row in _rows("causes")}
    findings = {row["id"]: {"id": row["id"], "clubs": row["clubs"].split(), "leak": LEAK} for row in _rows("findings")}
    checks = {row["id"]: _check(row) for row in _rows("checks")}
    return replace(load_library(), causes=causes, symptoms=findings, checks=checks, drills={}, words={}, cases={})


def _rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _parts(text: str) -> list[list[str]]:
    return [part.split(":") for part in text.split()]


def _cause(row: dict[str, str]) -> dict[str, Any]:
    return {
        "id": row["id"],
        "title": row["id"].replace("-", " "),
        "family": row["family"],
        "stage": row["stage"],
        "clubs": row["clubs"].split(),
        "how_common": {level: COMMON[row[level]] for level in LEVELS},
        "moves": [{"input": n, "size": float(size), "size_sd": float(sd)} for n, size, sd in _parts(row["moves"])],
        "adds_scatter": [{"input": name, "sd": float(sd)} for name, sd in _parts(row["adds_scatter"])],
        "leads_to": [{"symptom": name, "how_often": HOW_OFTEN[often]} for name, often in _parts(row["leads_to"])],
    }


def _check(row: dict[str, str]) -> dict[str, Any]:
    said = {"positive": "yes", "negative": "no", "sensitivity": SENSITIVITY, "specificity": SPECIFICITY}
    return {
        "id": row["id"],
        "title": row["id"].replace("-", " "),
        "clubs": ["all"],
        "minutes": float(row["minutes"]),
        "type": "likelihood",
        "likelihood": {"causes": row["causes"].split(), **said},
        "results": [{"id": "yes"}, {"id": "no"}],
    }
