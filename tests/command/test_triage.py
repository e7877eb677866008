"""Answers on the command line: the object programs read, and the page people read."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.schema import validator
from arclore.tui.command.exits import Exit
from arclore.tui.settings import Settings, save

from tests.command.running import CASES, Run

TWO_CLUBS = CASES / "two-clubs-opposite-sides.yaml"
SHIPPED = Path(__file__).parents[2] / "kb" / "cases" / "driver-away-irons-toward.yaml"


def numbers(value: Any) -> Any:
    """The answer without what is spoken to this golfer alone."""
    spoken = ("title", "finding", "text", "handed", "path_deg", "face_deg", "from", "phrase", "notes")
    if isinstance(value, dict):
        return {key: numbers(item) for key, item in value.items() if key not in spoken}
    return [numbers(item) for item in value] if isinstance(value, list) else value


@pytest.mark.parametrize("path", [SHIPPED, *sorted(CASES.glob("*.yaml"))], ids=lambda path: path.stem)
def test_the_answer_keeps_to_its_schema(run: Run, path: Path) -> None:
    done = run("triage", str(path), "--json")
    assert done.code == (Exit.SAFETY_STOP if path.stem == "sore-back" else Exit.DONE)
    assert [error.message for error in validator("triage").iter_errors(done.json)] == []


def test_a_left_hander_in_a_mirror_gets_the_mirrored_answer(run: Run) -> None:
    right = run("triage", str(TWO_CLUBS), "--json").json
    left = run("triage", str(TWO_CLUBS.with_name(f"{TWO_CLUBS.stem}-left-handed.yaml")), "--json").json
    assert numbers(left) == numbers(right)
    for club, rows in right["delivery"].items():
        for name in ("path_deg", "face_deg"):
            mirrored = left["delivery"][club][name]
            assert (mirrored["low"], mirrored["mid"], mirrored["high"]) == (
                -rows[name]["high"],
                -rows[name]["mid"],
                -rows[name]["low"],
            )


def test_flags_and_file_say_the_same(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text(
        "handed: left\nlevel: novice\nshots:\n"
        "  - {club: driver, start: right, curve: left, bend: strong, contact: [thin, toe], count: 6}\n"
        "  - {club: wedge, turf: [deep], how_often: sometimes, unsure: [height]}\n"
        "present: [falls-off-balance]\nabsent: [hands-sting]\nunsure: [tops-it]\n"
        "checks: {tee-ladder: stays, divot-direction: 4}\ntheories: [I sway]\nwords: it goes low\npain: false\n"
        "measured: [{club: driver, quantity: path_deg, value: 4, error_sd: 1.5}]\navoid: [back-history]\n",
        encoding="utf-8",
    )
    flags = (
        "--handed left --level novice --club driver --start right --curve left --bend strong --contact thin,toe "
        "--count 6 --club wedge --turf deep --how-often sometimes --unsure height --unsure tops-it "
        "--present falls-off-balance --absent hands-sting --check tee-ladder=stays --check divot-direction=4 "
        "--no-pain --measured driver:path_deg=4+-1.5 --avoid back-history"
    )
    stated = run("triage", *flags.split(), "--theory", "I sway", "--words", "it goes low", "--json")
    assert stated.code == Exit.DONE
    assert stated.json == run("triage", str(path), "--json").json


def test_standard_input_is_a_case_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(SHIPPED.read_bytes()), encoding="utf-8"))
    assert run("triage", "-", "--json").json == run("triage", str(SHIPPED), "--json").json


@pytest.mark.parametrize("flags", [["--pain"], ["--words", "my lower back hurts when I swing"]], ids=["flag", "words"])
def test_pain_stops_everything(run: Run, flags: list[str]) -> None:
    done = run("triage", "--club", "driver", "--start", "left", *flags, "--json")
    assert done.code == Exit.SAFETY_STOP
    assert done.json["stop"]
    assert [done.json[key] for key in ("drills", "next_checks", "families")] == [[], [], []]
    page = run("triage", "--club", "driver", *flags)
    assert page.code == Exit.SAFETY_STOP
    assert page.out.startswith("STOP")
    assert "health professional" in " ".join(page.out.split())
    assert "Practise" not in page.out


def test_the_page_says_all_a_coach_needs(run: Run) -> None:
    done = run("triage", str(TWO_CLUBS))
    answer = run("triage", str(TWO_CLUBS), "--json").json
    text = " ".join(done.out.split())
    for sentence in ("the club was travelling", "Its face looked", "It bottomed out"):
        assert text.count(sentence) == 1
    assert "with the driver" in text
    assert "with the 7-iron" in text
    for row in (*answer["causes"][:5], answer["next_checks"][0], answer["drills"][0]):
        assert row["title"][1:].rstrip(".") in text
    assert f"far from sure ({round(100 * answer['causes'][0]['probability'])} in 100)" in text
    assert f"hit {answer['need_balls']} more balls" in text
    assert "the irons are hooking" in text
    for word in ("The geometry", "times as likely", "Dose:", "Passed when", "What is not known", "Keep 3 m clear"):
        assert word in text
    assert all(len(line) <= 80 for line in done.out.splitlines())
    assert "{left}" not in text
    assert "\x1b" not in done.out


def test_lengths_are_in_the_units_of_the_flag_and_else_of_the_desk(run: Run) -> None:
    given = ("triage", "--club", "driver", "--start", "left")
    inches = run(*given, "--units", "yards").out
    assert "1.2 in" in inches and " in behind" in inches and " cm" not in inches
    assert " cm" in run(*given).out
    save(Settings("yards"))
    assert run(*given).out == inches


def test_text_that_plays_tricks_is_shown_as_it_is(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    trick = "[@click=app.quit] [/x] \\x1b[31m {left}"
    path.write_text(f'shots: [{{club: driver, start: left}}]\ntheories: ["{trick}"]\n', encoding="utf-8")
    page = run("triage", str(path)).out
    assert "[@click=app.quit] [/x] \\x1b[31m {left}" in page
    assert "\x1b" not in page
    assert run("triage", str(path), "--json").json["theories"] == ["[@click=app.quit] [/x] \x1b[31m {left}"]


def test_the_coachs_own_folder_is_laid_over(run: Run, tmp_path: Path) -> None:
    own = tmp_path / "data" / "arclore" / "library" / "causes"
    own.mkdir(parents=True)
    (own / "stands-too-close.yaml").write_text(
        "amends: stands-too-close\ntitle: stands on the ball\n", encoding="utf-8"
    )
    flags = ("triage", "--club", "driver", "--contact", "heel", "--json")
    titles = {row["id"]: row["title"] for row in run(*flags).json["causes"]}
    assert titles["stands-too-close"] == "stands on the ball"
    (tmp_path / "other").mkdir()
    without = {row["id"]: row["title"] for row in run(*flags, "--library", str(tmp_path / "other")).json["causes"]}
    assert without["stands-too-close"] != "stands on the ball"


def test_a_word_as_the_result_of_a_measurement_is_said_to_be_unread(run: Run) -> None:
    done = run("triage", "--club", "driver", "--start", "left", "--check", "divot-direction=toward", "--json")
    assert "only a number" in done.err
    assert json.loads(done.out)["causes"]
