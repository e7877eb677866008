"""Waivers: one silences exactly its finding, and one that is no good is a problem itself."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_layers
from arclore.engine.upkeep.audit import Audit, audit
from arclore.tui.command.exits import Exit

from tests.command.conftest import run  # noqa: F401 (a fixture)
from tests.command.running import Run
from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry, Small, codes

TODAY = date(2026, 11, 25)
REASON = "both sides are taught here until the spring meeting"


def waiver(code: str = "drill-sign", kind: str = "drill", entry: str = "brush-low", **more: str) -> dict[str, str]:
    fields = {"waives": code, "kind": kind, "entry": entry, "reason": REASON, "author": "Kim Vale"}
    return {**fields, "until": "2027-01-31", **more}


def two_wrong_signs(entries: dict[str, Entry]) -> None:
    """One drill that pushes the way of its cause, and one that does so for two causes."""
    entries["brush-low"]["effect"]["change"] = "less"
    entries["bent-down"] = {**entries["bent-low"], "id": "bent-down", "title": "another way to bow too far"}
    entries["bent-high"]["exclusive_with"] = ["bent-low", "bent-down"]
    entries["look-low"]["likelihood"]["causes"] = ["bent-low", "bent-down"]
    entries["brush-wide"] = {
        **entries["brush-low"],
        "id": "brush-wide",
        "title": "a wide stance and a long sweep",
        "steps": ["Sweep the dew."],
        "for": {"causes": ["bent-low", "bent-down"]},
    }


def written(folder: Path, *waivers: dict[str, str]) -> Path:
    text = json.dumps({"schema": 1, "kind": "waivers", "waivers": waivers}, indent=1)
    (folder / "waivers.yaml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def judged(small: Small) -> Callable[..., Audit]:
    """The audit of the small library, changed once by the first call's function, with the given waivers."""
    folders: list[Path] = []

    def judge(*waivers: dict[str, str], change: Callable[[dict[str, Entry]], Any] = two_wrong_signs) -> Audit:
        folders[:] = folders or [small(change)]
        library = load_layers([written(folders[0], *waivers)])
        assert not library.problems
        return audit(library, TODAY)

    return judge


def test_a_waiver_silences_its_own_finding_and_no_other(judged: Callable[..., Audit]) -> None:
    before, after = judged(), judged(waiver())
    signs = [row for row in before.errors if row.code == "drill-sign"]
    assert [row.entry for row in signs] == ["brush-low", "brush-wide", "brush-wide"]
    assert after.errors == [row for row in before.errors if row != signs[0]]
    (waived,) = after.waived
    assert (waived.finding, waived.author, waived.until) == (signs[0], "Kim Vale", "2027-01-31")


def test_a_hint_can_be_waived_too(judged: Callable[..., Audit]) -> None:
    def one_side(entries: dict[str, Entry]) -> None:
        del entries["bent-high"]["exclusive_with"]

    found = judged(waiver("one-sided", "cause", "bent-low"), change=one_side)
    assert found.errors == found.hints == []
    assert [row.finding.code for row in found.waived] == ["one-sided"]


@pytest.mark.parametrize(
    "more", [{"field": "for.causes.1"}, {"names": "bent-down"}, {"field": "for.causes.1", "names": "bent-down"}]
)
def test_one_of_several_findings_is_told_by_its_field_or_by_what_it_names(
    judged: Callable[..., Audit], more: dict[str, str]
) -> None:
    found = judged(waiver(entry="brush-wide", **more))
    assert [(row.entry, row.field) for row in found.errors if row.code == "drill-sign"] == [
        ("brush-low", "for.causes.0"),
        ("brush-wide", "for.causes.0"),
    ]


@pytest.mark.parametrize(
    ("bad", "code"),
    [
        (waiver(until="2026-11-24"), "waiver-expired"),
        (waiver(entry="brush-tall"), "waiver-idle"),
        (waiver(code="no-common-club"), "waiver-idle"),
        (waiver(field="for.causes.7"), "waiver-idle"),
        (waiver(entry="brush-wide"), "waiver-wide"),
        (waiver(entry="brush-gone"), "waiver-not-own"),
        (waiver(kind="cause"), "waiver-not-own"),
        (waiver(code="bare-caution"), "waiver-of-safety"),
    ],
)
def test_a_waiver_that_is_no_good_silences_nothing_and_is_a_problem_where_it_stands(
    judged: Callable[..., Audit], bad: dict[str, str], code: str
) -> None:
    before, after = judged(), judged(waiver(entry="brush-wide", field="for.causes.0"), bad)
    (row,) = [row for row in after.errors if row.code.startswith("waiver")]
    assert row.code == code
    assert row.path.endswith("waivers.yaml") and row.line > 5 and row.hint
    assert row.field == "waivers.1"
    assert sum(x.code == "drill-sign" for x in after.errors) == sum(x.code == "drill-sign" for x in before.errors) - 1


def test_the_last_day_counts(small: Small) -> None:
    library = load_layers([written(small(two_wrong_signs), waiver(until="2026-11-25"))])
    assert len(audit(library, TODAY).waived) == 1
    assert "waiver-expired" in codes(audit(library, date(2026, 11, 26)).errors)


def test_a_library_waives_nothing_of_the_one_below(small: Small, tmp_path: Path) -> None:
    below = small(two_wrong_signs)
    above = tmp_path / "above"
    (above / "symptoms").mkdir(parents=True)
    entry = sound_entry("symptom", "itches", title="the hands itch", safety=True)
    (above / "symptoms" / "itches.yaml").write_text(json.dumps(entry), encoding="utf-8")
    found = audit(load_layers([below, written(above, waiver())]), TODAY)
    assert {"drill-sign", "waiver-not-own"} <= codes(found.errors)
    assert found.waived == []


@pytest.mark.parametrize("missing", ["reason", "author", "until", "entry", "waives"])
def test_a_waiver_says_what_it_must(small: Small, missing: str) -> None:
    said = {name: value for name, value in waiver().items() if name != missing}
    library = load_layers([written(small(two_wrong_signs), said)])
    assert [row.code for row in library.problems] == ["missing-field"]
    assert audit(library, TODAY).waived == []


def test_the_check_shows_what_is_waived_and_by_whom(run: Run, small: Small) -> None:  # noqa: F811
    def wrong_sign(entries: dict[str, Entry]) -> None:
        entries["brush-low"]["effect"]["change"] = "less"

    folder = str(written(small(wrong_sign), waiver(until="9999-12-31")))
    told = run("library", "check", folder, "--alone")
    assert told.code == Exit.DONE
    assert "waived: " in told.out and ": drill-sign: " in told.out
    assert f"waived until 9999-12-31 by Kim Vale: {REASON}" in told.out
    value = run("library", "check", folder, "--alone", "--json").json
    validator("library-check").validate(value)
    assert [row["finding"]["code"] for row in value["waived"]] == ["drill-sign"]
    assert value["problems"] == []
