"""Confirmed lessons: kept and counted by choice, without names, capped, shown beside the stated figures."""

from __future__ import annotations

import json
import stat
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.diagnosis.confirmed import CAP, NOTHING, STRENGTH, Confirmed, figures, learned_from
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import Library, load_library
from arclore.tui import settings
from arclore.tui.confirmed_store import add, confirmed_path, learned
from arclore.tui.thinker import Thinker

from tests.command.running import Run

CAUSE, SYMPTOM = "shoulder-and-arms-start-outward", "divot-points-toward"
CASE = ["--level", "novice", "--club", "driver", "--start", "left", "--present", SYMPTOM]


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library()


def lessons(seen: int, not_seen: int, cause: str = CAUSE) -> list[Confirmed]:
    nothing: frozenset[str] = frozenset()
    return [
        *[Confirmed(frozenset({cause}), frozenset({SYMPTOM}), nothing)] * seen,
        *[Confirmed(frozenset({cause}), nothing, frozenset({SYMPTOM}))] * not_seen,
    ]


def row(library: Library, given: list[Confirmed]) -> Any:
    return next(figure for figure in figures(library, given) if figure.cause == CAUSE)


def test_counts_move_a_figure_toward_what_was_seen_and_are_capped(library: Library) -> None:
    """With a link c, a leak l and k of n seen, capped to m cases, c is the fixed point of Díez' update, found here."""
    first = row(library, lessons(1, 0))
    words = library.settings["frequency_words"]
    leak = words[library.symptoms[SYMPTOM]["leak"]]
    stated = 1.0 - (1.0 - first.stated) / (1.0 - leak)
    for seen, missed in ((1, 0), (0, 1), (3, 3), (0, 12), (0, 2000), (2000, 0)):
        cases = min(seen + missed, CAP)
        share, link, now_leak = seen / (seen + missed), stated, leak
        for _ in range(5000):
            present = 1.0 - (1.0 - link) * (1.0 - now_leak)
            link, now_leak = (
                (STRENGTH * was + cases * share * now / present) / (STRENGTH + cases)
                for was, now in ((stated, link), (leak, now_leak))
            )
        told = row(library, lessons(seen, missed))
        assert told.learned == pytest.approx(1.0 - (1.0 - link) * (1.0 - now_leak), abs=1e-9)
        assert (told.seen, told.asked) == (seen, seen + missed)
    assert row(library, lessons(0, 2000)).surprise < -3.0


def test_only_what_was_asked_counts_and_names_that_are_gone_are_passed_over(library: Library) -> None:
    silent = Confirmed(frozenset({CAUSE}), frozenset(), frozenset())
    gone = Confirmed(frozenset({"no-such-cause"}), frozenset({"no-such-symptom"}), frozenset())
    assert learned_from(library, [silent, gone]).symptoms == {}
    told = learned_from(library, [*lessons(2, 1), silent, gone]).symptoms
    assert told == learned_from(library, lessons(2, 1)).symptoms
    assert set(told) == {SYMPTOM}


def test_learned_figures_change_the_ranking_and_nothing_does_where_no_lesson_bears_on_it(library: Library) -> None:
    given = {"level": "novice", "shots": [{"club": "driver", "start": "left"}], "present": [SYMPTOM]}

    plain = Bench(library)

    def chance(given_lessons: list[Confirmed]) -> float:
        bench = Bench(library, like=plain, learned=learned_from(library, given_lessons))
        ranking = bench.ranking(bench.case(given))
        return float(ranking.marginal[ranking.model.place[CAUSE]])

    none = chance([])
    assert chance(lessons(0, 30)) < none < chance(lessons(30, 0))
    assert chance([Confirmed(frozenset({CAUSE}), frozenset({"ball-flies-low-in-wind"}), frozenset())]) == none


def test_a_confirmed_lesson_is_kept_without_names_readable_by_one_alone(run: Run) -> None:
    done = run("triage", *CASE, "--words", "Miss Marker says so", "--confirm", CAUSE, "--json")
    assert done.code == 0
    assert str(confirmed_path()) in done.err
    assert stat.S_IMODE(confirmed_path().stat().st_mode) == 0o600
    (line,) = confirmed_path().read_text(encoding="utf-8").splitlines()
    assert json.loads(line) == {"causes": [CAUSE], "present": [SYMPTOM], "absent": []}


def test_nothing_counts_until_it_is_chosen(run: Run, library: Library) -> None:
    note = "12 confirmed lessons count beside the library's figures"
    for _ in range(12):
        add({"present": [SYMPTOM]}, [CAUSE])
    plainly = json.loads(run("triage", *CASE, "--json").out)
    assert note not in plainly["notes"]
    found = json.loads(run("library", "learned", "--count", "yes", "--json").out)
    validator("library-learned").validate(found)
    assert (found["lessons"], found["counted"]) == (12, True)
    counted = json.loads(run("triage", *CASE, "--json").out)
    assert note in counted["notes"]
    assert counted["causes"] != plainly["causes"]
    assert learned(library).lessons == 12
    assert learned(library, wanted=False) == NOTHING
    assert run("library", "learned", "--count", "no").out.endswith("--count yes has them counted\n")
    assert not settings.load().learned


def test_stated_and_learned_stand_side_by_side(run: Run) -> None:
    assert run("library", "learned").out == "0 confirmed lessons, not counted: --count yes has them counted\n"
    add({"present": [SYMPTOM]}, [CAUSE])
    told = run("library", "learned").out
    assert f"{CAUSE} shows {SYMPTOM}: stated " in told
    assert "(seen 1 of 1, " in told


@pytest.mark.parametrize("line", ["no json", "[]", '{"causes": "x", "present": [], "absent": []}', "{}"])
def test_a_line_that_is_no_lesson_is_named_and_nothing_is_lost(run: Run, line: str) -> None:
    add({"present": [SYMPTOM]}, [CAUSE])
    path: Path = confirmed_path()
    path.write_text(path.read_text(encoding="utf-8") + line + "\n", encoding="utf-8")
    kept = path.read_text(encoding="utf-8")
    for command in (["library", "learned"], ["triage", *CASE, "--learned"])[: 2 if line == "[]" else 1]:
        done = run(*command)
        assert (done.code, done.out) == (1, "")
        assert f"{path}:2 is no confirmed lesson: mend or take out the line" in done.err
    assert path.read_text(encoding="utf-8") == kept


def test_a_broken_file_stops_neither_the_desk_nor_turning_the_count_off(run: Run) -> None:
    run("library", "learned", "--count", "yes")
    add({"present": [SYMPTOM]}, [CAUSE])
    path = confirmed_path()
    path.write_text("no json\n", encoding="utf-8")
    thinker = Thinker()
    assert thinker.load().learned == NOTHING
    assert f"{path}:1 is no confirmed lesson" in thinker.notice
    run("library", "learned", "--count", "no")
    assert not settings.load().learned


def test_a_cause_that_is_not_there_is_wrong_use_and_pain_keeps_nothing(run: Run) -> None:
    done = run("triage", *CASE, "--confirm", CAUSE[:-1])
    assert done.code == 2
    assert f"nearest: {CAUSE}" in done.err
    assert run("triage", *CASE, "--pain", "--confirm", CAUSE).code == 3
    assert not confirmed_path().exists()


