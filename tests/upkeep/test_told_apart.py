"""Causes that a library no longer tells apart, and by what the one before it did."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import Library, load_layers
from arclore.engine.upkeep.confusable import TELLING, confusable
from arclore.engine.upkeep.subject import Subject
from arclore.engine.upkeep.told_apart import BY_CLUBS, BY_FLIGHT, Merged, no_longer_told_apart
from arclore.tui.command import main
from arclore.tui.command.exits import Exit

from tests.upkeep.conftest import Entry, Small

BOTH = ("bent-high", "bent-low")
MOVES = [{"input": "swing_direction_deg", "size": 5.0, "size_sd": 2.0}]


def of(entries: dict[str, Entry], **changes: dict[str, Any]) -> None:
    for name, fields in changes.items():
        entries[name.replace("_", "-")] |= fields


def same_flight(entries: dict[str, Entry]) -> None:
    of(entries, bent_low={"moves": MOVES}, bent_high={"moves": MOVES})


def without(*names: str) -> Callable[[dict[str, Entry]], None]:
    def change(entries: dict[str, Entry]) -> None:
        same_flight(entries)
        for name in names:
            del entries[name]

    return change


@pytest.fixture
def library(small: Small, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Library]:
    def load(change: Callable[[dict[str, Entry]], Any] = lambda entries: None) -> Library:
        root = small(change)
        found = load_layers([root])
        root.rename(tmp_path_factory.mktemp("kept") / "kb")
        assert not found.problems
        return found

    return load


def test_causes_of_one_flight_are_told_apart_by_a_check_until_it_is_gone(library: Callable[..., Library]) -> None:
    told = library(same_flight)
    fewer = library(without("look-low"))
    none = library(without("look-low", "look-tall"))
    assert no_longer_told_apart(told, told) == []
    assert no_longer_told_apart(told, fewer) == []  # the other check still tells
    assert no_longer_told_apart(fewer, none) == [Merged(BOTH, ("look-tall",))]
    assert no_longer_told_apart(none, told) == []
    assert no_longer_told_apart(none, none) == []


def test_what_told_causes_apart_may_be_their_flight_or_their_clubs(library: Callable[..., Library]) -> None:
    checks = ("look-low", "look-tall")

    def putts(entries: dict[str, Entry]) -> None:
        without(*checks)(entries)
        of(entries, bent_low={"clubs": ["putt"]})

    def apart(entries: dict[str, Entry]) -> None:
        moves = entries["bent-low"]["moves"]
        without(*checks)(entries)
        of(entries, bent_low={"moves": moves})

    none = library(without(*checks))
    assert no_longer_told_apart(library(apart), none) == [Merged(BOTH, (BY_FLIGHT,))]
    assert no_longer_told_apart(library(putts), none) == [Merged(BOTH, (BY_CLUBS,))]


def test_a_new_cause_that_nothing_tells_from_another_is_told_of(library: Callable[..., Library]) -> None:
    both = library(without("look-low", "look-tall"))
    one = replace(both, causes={"bent-low": both.causes["bent-low"]})
    assert no_longer_told_apart(one, both) == [Merged(BOTH, ())]
    assert no_longer_told_apart(both, one) == []


def test_other_words_change_nothing_and_are_not_played(
    library: Callable[..., Library], monkeypatch: pytest.MonkeyPatch
) -> None:
    told = library(same_flight)
    worded = replace(told, causes={name: {**cause, "title": "x"} for name, cause in told.causes.items()})
    monkeypatch.setattr("arclore.engine.upkeep.told_apart.confusable", None)
    assert no_longer_told_apart(told, worded) == []


def test_without_checks_the_causes_of_putting_merge_where_no_measurement_parts_them(built_in: Library) -> None:
    """Against all pairs of the library played without the checks that answer yes or no."""
    putts = {name: cause for name, cause in built_in.causes.items() if cause["clubs"] == ["putt"]}
    built_in = replace(built_in, causes=putts, clubs={"putt": built_in.clubs["putt"]})
    named = {name: check for name, check in built_in.checks.items() if check["type"] == "measurement"}
    fewer = replace(built_in, checks=named)
    pairs = {frozenset((p.first, p.second)) for p in confusable(Subject(fewer)) if p.factor < TELLING}
    sets = no_longer_told_apart(built_in, fewer)
    assert {name for pair in pairs for name in pair} == {name for merged in sets for name in merged.causes}
    assert all(any(pair <= set(merged.causes) for merged in sets) for pair in pairs)
    assert sum(len(merged.causes) for merged in sets) == len({name for merged in sets for name in merged.causes})
    assert len(sets) > 1


def test_the_comparison_names_them(
    small: Small, tmp_path_factory: pytest.TempPathFactory, capsys: pytest.CaptureFixture[str]
) -> None:
    def compared(*flags: str) -> str:
        assert main(["library", "compare", *map(str, folders), *flags]) == Exit.DONE
        return capsys.readouterr().out

    folders = []
    for name, change in (("a", same_flight), ("b", without("look-low", "look-tall"))):
        folders.append(small(change).rename(tmp_path_factory.mktemp(name) / "kb"))
    found = json.loads(compared("--json"))
    validator("library-compare").validate(found)
    (merged,) = found["no_longer_told_apart"]
    assert merged["causes"] == list(BOTH)
    assert merged["told_by"][0] in ("look-low", "look-tall")
    text = compared()
    assert "**No longer told apart**, by the flight or by a check\n\n- bent-high, bent-low; until now by " in text
    assert json.loads(compared("--no-cases", "--json"))["no_longer_told_apart"] is None
