"""The audit: a planted fault of each kind is found where it stands, and sound libraries are left in peace."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from arclore.engine.library.read import Document
from arclore.engine.library.stack import Library, load_layers
from arclore.engine.upkeep.audit import Audit, audit, audit_entry
from arclore.engine.upkeep.audit_reading import reading_grade, syllables
from arclore.engine.upkeep.audit_wording import AVOIDED
from arclore.engine.upkeep.duplicates import near_titles
from arclore.engine.upkeep.subject import Subject

from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry, codes
from tests.upkeep.planted import HINTED, PLANTED, Change, measure, said_twice, scatter_only, unmarked

Audited = Callable[..., Audit]


def test_the_built_in_library_has_no_errors(built_in: Library) -> None:
    assert audit(built_in).errors == []


def test_the_small_library_is_sound(audited: Audited) -> None:
    found = audited()
    assert found.errors == []
    assert found.hints == []


@pytest.mark.parametrize(
    ("code", "change", "entry", "field"), PLANTED, ids=[f"{p[0]}-{i}" for i, p in enumerate(PLANTED)]
)
def test_a_planted_fault_is_an_error_where_it_stands(
    audited: Audited, code: str, change: Change, entry: str, field: str
) -> None:
    rows = [row for row in audited(change).errors if row.code == code and row.entry == entry]
    assert rows, f"{code} not found at {entry}"
    assert all(row.hint and row.path.endswith(f"{entry}.yaml") for row in rows)
    if field:
        assert rows[0].field.startswith(field)
        assert rows[0].line > 1


@pytest.mark.parametrize(("code", "change", "entry"), HINTED)
def test_a_planted_oddity_is_a_hint(audited: Audited, code: str, change: Change, entry: str) -> None:
    found = audited(change)
    assert (code, entry) in {(row.code, row.entry) for row in found.hints}
    assert code not in codes(found.errors)


def test_grade_of_a_sentence_worked_by_hand() -> None:
    """Kincaid and others 1975: six words of one syllable in one sentence make 0.39 x 6 + 11.8 - 15.59 = -1.45."""
    assert reading_grade("The cat sat on the mat.") == pytest.approx(-1.45)
    assert reading_grade("") == 0.0
    counts = {"made": 1, "table": 2, "wanted": 2, "baked": 1, "faces": 2, "target": 2, "waist-high": 2, "the": 1}
    assert {word: syllables(word) for word in counts} == counts


def test_a_source_nobody_names_is_a_hint_at_its_own_line(audited: Audited) -> None:
    sources = [
        {
            "id": name,
            "kind": "paper",
            "authors": "Tester A",
            "year": 2001,
            "title": "a study",
            "where": "a journal",
            "seen": "abstract",
        }
        for name in ("used-2001", "idle-2001")
    ]
    found = audited(lambda entries: entries["bent-low"].update(sources=["used-2001"]), sources)
    (row,) = [row for row in found.hints if row.code == "unused-source"]
    assert "idle-2001" in row.message
    assert row.path.endswith("sources.yaml")
    assert row.line > 10


def test_a_flag_or_a_caution_guards_a_step(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        for name in ("brush-low", "brush-tall"):
            entries[name]["steps"] = [f"{name}: swing with eyes shut."]
        entries["brush-low"]["not_for"] = ["balance-limits"]
        entries["brush-tall"]["cautions"].append("Hold a rail if your balance is unsure.")

    assert "unguarded-step" not in codes(audited(change).errors)


@pytest.mark.parametrize(
    "change", [measure("away", **{"from": 3.0}), measure("closed", to=-3.0), measure("off", to=1.0)]
)
def test_a_reading_on_its_own_side_is_no_fault(audited: Audited, change: Change) -> None:
    assert "check-side" not in codes(audited(change).errors)


def test_a_source_that_a_single_claim_names_is_used(audited: Audited) -> None:
    claim = {"about": "mechanism", "kind": "published", "direction": "against", "source": "idle-2001"}
    source = {"id": "idle-2001", "kind": "paper", "authors": "Tester A", "title": "a study", "where": "a journal",
              "seen": "abstract"}  # fmt: skip
    found = audited(
        lambda entries: entries["bent-low"].update(evidence={"kind": "estimate", "claims": [claim]}), [source]
    )
    assert "unused-source" not in codes(found.hints)


def test_opposites_of_which_one_brings_on_the_other_need_no_mark(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        unmarked(entries)
        entries["bent-low"]["upstream_of"] = ["bent-high"]

    assert "unmarked-opposites" not in codes(audited(change).errors)


@pytest.mark.parametrize("teller", ["back-bent", "back-low"])
def test_findings_that_one_of_them_calls_akin_are_linked(audited: Audited, teller: str) -> None:
    def change(entries: dict[str, Entry]) -> None:
        said_twice(entries)
        entries[teller]["akin_to"] = [next(name for name in ("back-bent", "back-low") if name != teller)]

    assert codes(audited(change).errors) == set()


def test_steadier_fits_a_cause_that_scatters(audited: Audited) -> None:
    assert codes(audited(scatter_only).errors) == set()


def test_steadier_fits_a_drill_for_both_sides(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        entries["brush-low"]["for"]["causes"] = ["bent-low", "bent-high"]
        entries["brush-low"]["effect"]["change"] = "steadier"

    assert codes(audited(change).errors) == set()


def test_retired_entries_neither_fail_nor_count(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        entries["look-low"]["retired"] = {"reason": "told too little"}

    rows = audited(change).errors
    assert {(row.code, row.entry) for row in rows} == {
        ("no-confirming-check", "bent-low"),
        ("no-refuting-check", "bent-low"),
    }


def test_what_people_say_is_kept_as_they_say_it(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        entries["it-stings"] = sound_entry(
            "words", phrases=["my smash factor is low"], means={"findings": ["back-bent"]}
        )

    assert codes(audited(change).errors) == set()


def test_each_avoided_phrase_has_the_word_that_is_searched_first() -> None:
    examples = [
        "stop at P4 now",
        "a one-plane swing",
        "more x-factor",
        "a smash factor",
        "high spin loft",
        "the tour average",
        "back to nine o'clock",
        "feel isn't real",
        "drop it in the slot",
        "chase the ball down",
        "a toe-hang putter",
        "a face-balanced putter",
        "guaranteed to help",
        "it cures every slice",
        "it always works",
        "it never fails",
        "you will never miss",
    ]
    for (word, pattern, hint), text in zip(AVOIDED, examples, strict=True):
        assert word in text.lower()
        assert pattern.search(text)
        assert hint
    assert not any(pattern.search("the club must never be thrown; keep clear") for _, pattern, _ in AVOIDED)


def test_a_library_without_settings_or_clubs_is_still_audited(tmp_path: Path) -> None:
    (tmp_path / "causes").mkdir()
    entry = sound_entry("cause", "bent-low")
    (tmp_path / "causes" / "bent-low.yaml").write_text(json.dumps(entry), encoding="utf-8")
    found = audit(load_layers([tmp_path]))
    assert {"no-drill", "no-confirming-check", "thin-cause"} <= codes(found.errors)


def test_an_empty_library_has_nothing_wrong(tmp_path: Path) -> None:
    assert audit(load_layers([tmp_path])) == Audit([], [])


def test_names_that_no_entry_bears_do_not_stop_the_audit(audited: Audited) -> None:
    def change(entries: dict[str, Entry]) -> None:
        entries["brush-low"]["for"]["causes"] = ["no-such-cause", "bent-low"]
        entries["bent-low"]["exclusive_with"] = ["no-such-cause", "bent-high"]
        entries["bent-low"]["leads_to"].append({"symptom": "no-such-symptom", "how_often": "often"})
        entries["look-low"]["likelihood"]["causes"] = ["no-such-cause", "bent-low"]

    assert codes(audited(change).errors) == set()


def test_bearings_are_those_of_the_ranking(subject: Subject) -> None:
    from arclore.engine.diagnosis.yes_no import test_of as engine_test

    model = subject.model
    assert model is not None
    for check in subject.checks.values():
        told = set(subject.bearings.causes(check))
        if check["type"] == "likelihood":
            assert {model.ids[i] for i in engine_test(model, check).members[:-1].nonzero()[0]} == told
        elif check["type"] == "changed-set-up":
            inputs = frozenset(check["changed_set_up"]["puts_right"])
            moved = (
                np.abs(model.shifts_put_right(club, inputs)[block] - shifts).max(axis=(1, 2)) > 1e-9
                for club, blocks in ((club, model.shifts[club]) for club in model.conditions)
                for block, shifts in blocks.items()
            )
            assert {model.ids[i] for rows in moved for i in rows.nonzero()[0]} <= told


def test_one_entry_is_audited_as_if_it_stood_in_the_library(built_in: Library) -> None:
    drill = {**built_in.drills["foam-sleeve-outside"], "id": "own", "cue": "it will never fail"}
    drill["effect"] = {"input": "swing_direction_deg", "change": "less"}
    before = dict(built_in.drills)
    found = audit_entry(built_in, Document(Path("drills/own.yaml"), drill, {}))
    assert {row.code for row in found.errors} == {"banned-phrase", "drill-sign"}
    assert [row.field for row in found.hints] == ["steps", "title"]
    assert built_in.drills == before


def test_the_nearest_titles_come_first_and_strangers_not_at_all() -> None:
    titles = {
        "one": "the player stands too close to the ball",
        "two": "the player stands far too close to the ball",
        "other": "a towel lies behind the ball",
    }
    assert near_titles("player stands too close, to THE ball", titles) == [("one", 1.0), ("two", 5 / 6)]
    assert near_titles("", titles) == []
    assert near_titles("stands too close", titles) == [("one", 3 / 5), ("two", 3 / 6)]
    long = {"long": "the player stands so close that the arms have no room and the heel of the club reaches the ball"}
    assert [name for name, _ in near_titles("the player stands very close to the ball", long)] == ["long"]
