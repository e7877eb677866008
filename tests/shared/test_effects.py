"""What the difference between two libraries does to the answers of their cases, and which of them are asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.diagnosis.triage import Bench, advised, advised_checks, triage
from arclore.engine.library.stack import BUILT_IN, Library, load_layers
from arclore.engine.upkeep import effects as module
from arclore.engine.upkeep import sharing
from arclore.engine.upkeep.cache import Cache
from arclore.engine.upkeep.effects import effects
from arclore.engine.upkeep.reach import Reach

CASES = ("hands-jump-on-short-putts", "left-hander-shuts-the-putter")
FOR_PUTTS = "eyes-stay-on-the-hole"
OF_OTHER_CLUBS = "chip-starts-away-from-an-open-face"


@pytest.fixture(scope="module")
def built_in() -> Library:
    return chosen(load_layers([BUILT_IN]), *CASES)


def chosen(library: Library, *cases: str) -> Library:
    return replace(library, cases={name: library.cases[name] for name in cases})


def with_change(library: Library, folder: str, name: str, **fields: Any) -> Library:
    entries: Mapping[str, Any] = getattr(library, folder)
    changed: dict[str, Any] = {folder: {**entries, name: {**entries[name], **fields}}}
    return replace(library, **changed)


def test_without_its_leading_cause_a_case_is_led_by_the_next(built_in: Library) -> None:
    name = CASES[1]
    first, second = triage(built_in.cases[name]["case"], Bench(built_in))["causes"][:2]
    causes = {cause: entry for cause, entry in built_in.causes.items() if cause != first["id"]}
    found = effects(built_in, replace(built_in, causes=causes))
    row = next(row for row in found["changed"] if row["id"] == name)
    assert row["leading_changed"]
    assert row["was"] == {"id": first["id"], "probability": first["probability"]}
    assert row["is"]["id"] != first["id"]
    assert row["is"]["probability"] > second["probability"]
    assert found["changed"][0]["leading_changed"]


def test_drills_and_checks_that_vanish_are_named(built_in: Library) -> None:
    answer = triage(built_in.cases[CASES[0]]["case"], Bench(built_in))
    drills, checks = ({row["id"] for row in answer[key]} for key in ("drills", "next_checks"))
    assert drills
    assert checks
    fewer = replace(
        built_in,
        drills={name: entry for name, entry in built_in.drills.items() if name not in drills},
        checks={name: entry for name, entry in built_in.checks.items() if name not in checks},
    )
    row = next(row for row in effects(built_in, fewer)["changed"] if row["id"] == CASES[0])
    assert (row["drills_gone"], row["checks_gone"]) == (sorted(drills), sorted(checks))
    assert not row["leading_changed"]


def test_a_case_that_one_side_cannot_read_is_said_to_be_unanswered(built_in: Library) -> None:
    case = {**built_in.cases[CASES[0]], "case": {"present": ["larkmoor-own-finding"]}}
    found = effects(built_in, replace(built_in, cases={"larkmoor-case": case}))
    row = next(row for row in found["changed"] if row["id"] == "larkmoor-case")
    assert "larkmoor-own-finding" in row["unanswered"]


def test_a_library_unfit_for_this_engine_answers_nothing_and_stops_nothing(built_in: Library) -> None:
    unfit = replace(built_in, settings={name: value for name, value in built_in.settings.items() if name != "spreads"})
    found = effects(unfit, built_in)
    assert [row["unanswered"][:2] for row in found["changed"]] == ["a:", "a:"]
    assert not any(row["leading_changed"] for row in found["changed"])


def test_a_case_that_nothing_which_differs_can_reach_is_not_asked(
    built_in: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(module, "advised", lambda case, bench: asked.append(case) or advised(case, bench))
    library = chosen(load_layers([BUILT_IN]), *CASES, OF_OTHER_CLUBS)
    worded = with_change(library, "drills", FOR_PUTTS, title="Another title", steps=["Other words."])
    found = effects(library, worded)
    assert (found["cases"], found["reached"], found["asked"], found["changed"]) == (3, 0, 0, [])
    assert not asked
    assert effects(library, replace(library, settings={**library.settings, "id": "stonebeck"}))["asked"] == 0
    longer = with_change(library, "drills", FOR_PUTTS, minutes=30)
    assert effects(library, longer)["asked"] == 2
    assert {shot["club"] for case in asked for shot in case["shots"]} == {"putt"}


def test_checks_are_compared_only_where_causes_move_or_checks_differ(
    built_in: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []
    monkeypatch.setattr(module, "advised_checks", lambda case, bench: asked.append(case) or [])
    effects(built_in, with_change(built_in, "drills", FOR_PUTTS, minutes=30))
    assert not asked
    effects(built_in, with_change(built_in, "checks", "five-putter-aims-look-away", minutes=30))
    assert len(asked) == 4
    asked.clear()
    rarer = with_change(built_in, "causes", "putter-face-aimed-toward", how_common={"skilled": "rare"})
    found = effects(built_in, rarer)
    assert found["changed"]
    assert len(asked) == 2 * len(found["changed"])


REACHING: dict[str, tuple[str, str, dict[str, Any]]] = {
    "a finding": ("symptoms", "grip-looks-weak", {"leak": "often"}),
    "a club": ("clubs", "driver", {"lie_deg": 50.0}),
    "a check for its clubs": ("checks", "coach-sets-the-ball", {"minutes": 9}),
    "the check that is done": ("checks", "many-knuckles-of-the-lead-hand", {"clubs": ["putt"]}),
    "a cause that other clubs have": ("causes", "lead-hand-toward-target", {"clubs": ["putt"]}),
    "words that it holds": ("words", "aims-far-across", {"phrases": ["everywhere"]}),
    "the settings": ("settings", "next_check", {"overhead_minutes": 7}),
}
OUT_OF_REACH: dict[str, tuple[str, str, dict[str, Any]]] = {
    "a finding that is not named": ("symptoms", "grip-looks-strong", {"leak": "often"}),
    "another club": ("clubs", "putt", {"lie_deg": 50.0}),
    "a check for other clubs": ("checks", "five-putter-aims-look-away", {"minutes": 9}),
    "a drill for other clubs": ("drills", FOR_PUTTS, {"minutes": 9}),
    "words that it does not hold": ("words", "aims-far-across", {"phrases": ["aims at the fence"]}),
}
CASE: dict[str, Any] = {
    "level": "novice",
    "shots": [{"club": "driver", "start": "left"}],
    "present": ["grip-looks-weak"],
    "checks": {"many-knuckles-of-the-lead-hand": "many"},
    "words": "it goes everywhere",
}


@pytest.mark.parametrize("name", [*REACHING, *OUT_OF_REACH])
def test_what_differs_reaches_a_case_by_what_it_names_and_by_its_clubs(built_in: Library, name: str) -> None:
    folder, entry, fields = {**REACHING, **OUT_OF_REACH}[name]
    changed = with_change(built_in, folder, entry, **fields)
    assert changed != built_in
    keys = [Reach(Bench(library)).key(CASE) for library in (built_in, changed)]
    assert None not in keys
    assert (keys[0] != keys[1]) == (name in REACHING)


def test_an_answer_hangs_on_nothing_out_of_its_reach(built_in: Library) -> None:
    """Answered by a library of what is in reach alone, a case has the same answer."""
    entries = Reach(Bench(built_in)).entries(CASE)
    folders = ("clubs", "symptoms", "causes", "checks", "drills", "words")
    alone: dict[str, Any] = {
        folder: {name: entry for name, entry in getattr(built_in, folder).items() if (folder, name) in entries}
        for folder in folders
    }
    assert all(len(alone[folder]) < len(getattr(built_in, folder)) for folder in folders if folder != "words")
    assert advised(CASE, Bench(replace(built_in, **alone))) == advised(CASE, Bench(built_in))


def test_two_processes_and_a_cache_give_what_one_gives_without(tmp_path: Path) -> None:
    library = load_layers([BUILT_IN])
    putts = [name for name, entry in library.cases.items() if _clubs(entry["case"]) == {"putt"}]
    assert len(putts) > sharing.FEW
    library = chosen(library, *putts)
    changed = with_change(library, "drills", FOR_PUTTS, minutes=60)
    changed = with_change(changed, "causes", "putter-face-aimed-away", how_common={"skilled": "rare"})
    alone = effects(library, changed)
    assert alone["changed"]
    assert effects(library, changed, Cache(tmp_path / "cache"), processes=2) == alone
    assert effects(library, changed, Cache(tmp_path / "cache")) == alone


CHANGES: dict[str, tuple[str, str, dict[str, Any]]] = {
    "a drill": ("drills", FOR_PUTTS, {"minutes": 60}),
    "a check": ("checks", "five-putter-aims-look-away", {"minutes": 1}),
    "a finding": ("symptoms", "hands-jerk-unasked", {"leak": "often"}),
    "a cause": ("causes", "putter-face-aimed-toward", {"how_common": {"intermediate": "rare"}}),
    "a club": ("clubs", "putt", {"lie_deg": 60.0}),
    "the settings": ("settings", "", {"unlisted_weight": 0.2}),
}


def with_one_changed(library: Library, name: str) -> Library:
    folder, entry, fields = CHANGES[name]
    if folder == "settings":
        return replace(library, settings={**library.settings, **fields})
    return with_change(library, folder, entry, **fields)


@pytest.mark.parametrize("name", CHANGES)
def test_answers_are_those_of_two_libraries_that_share_nothing(built_in: Library, name: str, tmp_path: Path) -> None:
    """What is shared, kept from other runs or left unasked changes no row: each is as two fresh benches answer."""
    changed = with_one_changed(built_in, name)
    assert changed != built_in
    cache = Cache(tmp_path / "cache")
    effects(built_in, with_one_changed(built_in, "a cause"), cache)  # so that tables are kept
    found = {row["id"]: row for row in effects(built_in, changed, cache)["changed"]}
    for case, entry in built_in.cases.items():
        benches = Bench(built_in), Bench(changed)
        was, now = (advised(entry["case"], bench) for bench in benches)
        shift = max(abs(was["chances"][cause] - now["chances"][cause]) for cause in was["chances"])
        if name == "a check" or was["leading"] != now["leading"] or shift >= module.LEAST_SHIFT:
            checks = [advised_checks(entry["case"], bench) for bench in benches]
            was, now = {**was, "checks": checks[0]}, {**now, "checks": checks[1]}
        assert found.get(case) == module._effect(case, was, now)
    assert found or name not in ("a finding", "a cause", "the settings")


def test_what_is_too_much_work_is_named_and_asked_by_the_next_run(built_in: Library, tmp_path: Path) -> None:
    changed = with_one_changed(built_in, "a cause")
    whole = effects(built_in, changed)
    assert (whole["asked"], whole["not_asked"], whole["checks_not_compared"]) == (2, [], [])
    cache, work = Cache(tmp_path / "cache"), Reach(Bench(built_in)).work(built_in.cases[CASES[0]]["case"], False)
    first = effects(built_in, changed, cache, most=2.5 * work)
    assert (first["asked"], len(first["not_asked"])) == (1, 1)
    second = effects(built_in, changed, cache, most=2.5 * work)
    assert (second["asked"], second["not_asked"]) == (2, [])
    assert effects(built_in, changed, Cache(None), most=0.0)["not_asked"] == sorted(CASES)
    no_checks = [{**row, "checks_added": [], "checks_gone": []} for row in whole["changed"]]
    assert [{**row, "checks_added": [], "checks_gone": []} for row in second["changed"]] == no_checks


def test_cases_about_what_differs_are_asked_first(built_in: Library) -> None:
    changed = with_one_changed(built_in, "a cause")
    families = {name: entry["expect"]["families"] for name, entry in built_in.cases.items()}
    family = built_in.causes["putter-face-aimed-toward"]["family"]
    assert [name for name in CASES if family in families[name]] == [CASES[1]]
    work = Reach(Bench(built_in)).work(built_in.cases[CASES[0]]["case"], False)
    assert effects(built_in, changed, most=2.5 * work)["not_asked"] == [CASES[0]]


def _clubs(case: Mapping[str, Any]) -> set[str]:
    return {shot["club"] for shot in case.get("shots", ())}
