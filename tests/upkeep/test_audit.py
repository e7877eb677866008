"""The audit: a planted fault of each kind is found where it stands, and sound libraries are left in peace."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

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

Audited = Callable[..., Audit]
Change = Callable[[dict[str, Entry]], Any]


def test_the_built_in_library_has_no_errors(built_in: Library) -> None:
    assert audit(built_in).errors == []


def test_the_small_library_is_sound(audited: Audited) -> None:
    found = audited()
    assert found.errors == []
    assert found.hints == []


def _set(entry: str, field: str, value: Any) -> Change:
    return lambda entries: entries[entry].update({field: value})


def _ratios(sensitivity: float, specificity: float) -> Change:
    def change(entries: dict[str, Entry]) -> None:
        entries["look-low"]["likelihood"].update(sensitivity=sensitivity, specificity=specificity)

    return change


def _move(size: float, **more: Any) -> dict[str, Any]:
    return {"input": "swing_direction_deg", "size": size, "size_sd": 2.0, **more}


def _idle(entries: dict[str, Entry]) -> None:
    entries["look-idle"] = sound_entry("check", "look-idle", title="a look at nothing")


def _untied(entries: dict[str, Entry]) -> None:
    entries["itches"] = sound_entry("symptom", "itches", title="the hands itch")


def _mute(entries: dict[str, Entry]) -> None:
    del entries["bent-low"]["moves"]


def _unmarked(entries: dict[str, Entry]) -> None:
    for cause in ("bent-low", "bent-high"):
        del entries[cause]["exclusive_with"]


def _one_side(entries: dict[str, Entry]) -> None:
    del entries["bent-high"]["exclusive_with"]


def _twins(entries: dict[str, Entry]) -> None:
    """A third cause that differs from the first in nothing but its name, spoken of by the same checks."""
    entries["bent-down"] = {
        **entries["bent-low"],
        "id": "bent-down",
        "title": "another name for it",
        "exclusive_with": [],
    }
    entries["look-low"]["likelihood"]["causes"] = ["bent-low", "bent-down"]
    entries["brush-low"]["for"]["causes"] = ["bent-low", "bent-down"]
    entries["bent-high"]["exclusive_with"] = ["bent-low", "bent-down"]
    entries["bent-down"]["exclusive_with"] = ["bent-high"]


def _outcome_stated(entries: dict[str, Entry]) -> None:
    entries["bent-low"]["leads_to"].append({"symptom": "flies-across", "how_often": "often"})


def _scatter_only(entries: dict[str, Entry]) -> None:
    entries["bent-low"]["adds_scatter"] = [{"input": "swing_direction_deg", "sd": 2.0}]
    entries["brush-low"]["effect"]["change"] = "steadier"


def _few_groups(entries: dict[str, Entry]) -> None:
    entries["look-low"]["group"] = True


def _two_sides_at_once(entries: dict[str, Entry]) -> None:
    """One result that speaks for a base line to the near side and for one to the far side."""
    entries["look-low"]["likelihood"]["causes"] = ["bent-low", "bent-high"]


def _measure(side: str, **ends: float) -> Change:
    def change(entries: dict[str, Entry]) -> None:
        results = [
            {"id": side, "when": "beyond that", "means": "it looks there", **ends},
            {"id": "middle", "when": "near it", "means": "it looks ahead"},
        ]
        entries["read-face"] = sound_entry(
            "check", "read-face", title="a reading", type="measurement", results=results,
            measurement={"quantity": "face_deg", "error_sd": 2.0},
        )  # fmt: skip
        del entries["read-face"]["likelihood"]

    return change


def _said_twice(entries: dict[str, Entry]) -> None:
    """A second finding that the same cause leads to as often."""
    entries["back-low"] = sound_entry("symptom", "back-low", title="the player bows deeply")
    entries["bent-low"]["leads_to"].append({"symptom": "back-low", "how_often": "often"})


def _rare_and_dim(entries: dict[str, Entry]) -> None:
    """A check with figures good enough for any audit but of a cause that hardly any golfer has."""
    entries["bent-low"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "rare")
    entries["bent-high"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "very-common")
    _ratios(0.3, 0.8)(entries)


def _deep_arcs(entries: dict[str, Entry]) -> None:
    """A very common cause that puts the low point further ahead than any driver's."""
    entries["bent-low"]["moves"].append({"input": "low_point_cm", "size": 45.0, "size_sd": 5.0})
    entries["bent-low"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "very-common")


def _unreachable_club(entries: dict[str, Entry]) -> None:
    for entry in entries.values():
        if "clubs" in entry:
            entry["clubs"] = ["mid-iron"]


PLANTED: list[tuple[str, Change, str, str]] = [
    ("drill-sign", _set("brush-low", "effect", {"input": "swing_direction_deg", "change": "less"}), "brush-low", "for"),
    # a base line further across is a path further across: the geometry knows, though the input is another one
    ("drill-sign", _set("brush-low", "effect", {"input": "aim_deg", "change": "less"}), "brush-low", "for"),
    (
        "drill-steadier",
        _set("brush-low", "effect", {"input": "swing_direction_deg", "change": "steadier"}),
        "brush-low",
        "",
    ),
    ("inward-cue", _set("brush-low", "cue", "let the arms fall like ropes"), "brush-low", "cue"),
    ("no-common-club", _set("brush-low", "clubs", ["putt"]), "brush-low", "for"),
    ("no-confirming-check", _ratios(0.55, 0.8), "bent-low", ""),
    ("no-refuting-check", _ratios(0.65, 0.84), "bent-low", ""),
    ("no-drill", _set("brush-low", "for", {"causes": ["bent-high"]}), "bent-low", ""),
    ("thin-cause", _mute, "bent-low", ""),
    ("stated-outcome", _outcome_stated, "bent-low", "leads_to.1"),
    ("unmarked-opposites", _unmarked, "bent-high", ""),
    ("unreached-symptom", _untied, "itches", ""),
    ("leak", _set("back-bent", "leak", "as-often-as-not"), "back-bent", "leak"),
    ("bold-estimate", _ratios(0.9, 0.9), "look-low", "likelihood"),
    ("weak-check", _ratios(0.55, 0.5), "look-low", "likelihood"),
    ("silent-check", _rare_and_dim, "look-low", "type"),
    ("unlinked-findings", _said_twice, "back-bent", "id"),
    ("idle-check", _idle, "look-idle", ""),
    ("thin-groups", _few_groups, "look-low", "group"),
    ("unsourced", _set("bent-low", "evidence", {"kind": "published"}), "bent-low", "evidence"),
    (
        "lone-position",
        _set("brush-low", "positions", [{"position": "brush it slowly", "because": "time to notice"}]),
        "brush-low",
        "positions",
    ),
    ("check-sign", _two_sides_at_once, "look-low", "likelihood.causes"),
    ("check-side", _measure("away", to=-3.0), "read-face", "results.0"),
    ("check-side", _measure("closed-a-little", **{"from": 3.0}), "read-face", "results.0"),
    ("odd-prior", _deep_arcs, "driver", "id"),
    ("bare-caution", _set("brush-low", "cautions", ["keep the mat dry"]), "brush-low", "cautions"),
    ("bare-caution", _set("brush-low", "hazards", "a club that flies off"), "brush-low", "hazards"),
    ("unguarded-step", _set("brush-low", "steps", ["Swing five times with eyes shut."]), "brush-low", "steps.0"),
    ("unguarded-step", _set("brush-low", "steps", ["Wait.", "Stand on one leg and brush."]), "brush-low", "steps.1"),
    (
        "claim-about",
        _set("bent-low", "evidence", {"kind": "estimate", "claims": [{"about": "cue", "kind": "estimate"}]}),
        "bent-low",
        "evidence.claims.0.about",
    ),
    ("inseparable", _twins, "bent-down", ""),
    ("unreachable", _idle, "look-idle", ""),
    ("unreachable", _unreachable_club, "driver", ""),
    ("banned-phrase", _set("brush-low", "cue", "swing to P6 and stop"), "brush-low", "cue"),
]


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


HARD = "Excessive anterior inclination necessitates compensatory extension."
HINTED: list[tuple[str, Change, str]] = [
    ("one-sided", _one_side, "bent-low"),
    ("hard-to-read", _set("bent-low", "tell_student", HARD), "bent-low"),
    ("hard-to-read", _set("back-bent", "question", HARD), "back-bent"),
    ("hard-to-read", _set("brush-low", "cue", HARD), "brush-low"),
    (
        "near-duplicate",
        lambda entries: entries["brush-tall"].update(
            {"steps": entries["brush-low"]["steps"], "for": {"causes": ["bent-low", "bent-high"]}}
        ),
        "brush-tall",
    ),
    ("near-duplicate", lambda entries: entries["chest-pain"].update(title="the back looks quite low"), "chest-pain"),
]


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
    "change", [_measure("away", **{"from": 3.0}), _measure("closed", to=-3.0), _measure("off", to=1.0)]
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
        _unmarked(entries)
        entries["bent-low"]["upstream_of"] = ["bent-high"]

    assert "unmarked-opposites" not in codes(audited(change).errors)


@pytest.mark.parametrize("teller", ["back-bent", "back-low"])
def test_findings_that_one_of_them_calls_akin_are_linked(audited: Audited, teller: str) -> None:
    def change(entries: dict[str, Entry]) -> None:
        _said_twice(entries)
        entries[teller]["akin_to"] = [next(name for name in ("back-bent", "back-low") if name != teller)]

    assert codes(audited(change).errors) == set()


def test_steadier_fits_a_cause_that_scatters(audited: Audited) -> None:
    assert codes(audited(_scatter_only).errors) == set()


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
                for club, blocks in model.shifts.items()
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
