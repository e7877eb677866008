"""``arclore library check`` with its audit and ``arclore library cases``, as a person runs them."""

from __future__ import annotations

from pathlib import Path

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.upkeep.layers import Layer
from arclore.tui.command import library_folder
from arclore.tui.command.exits import Exit

from tests.command.conftest import run  # noqa: F401 (a fixture)
from tests.command.running import Run
from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry, Small


def test_check_audits_and_keeps_hints_apart(run: Run, small: Small) -> None:  # noqa: F811
    def change(entries: dict[str, Entry]) -> None:
        entries["brush-low"]["effect"]["change"] = "less"
        del entries["bent-high"]["exclusive_with"]

    folder = str(small(change))
    told = run("library", "check", folder, "--alone")
    assert told.code == Exit.PROBLEMS
    assert ": drill-sign: " in told.out
    assert ": one-sided: " not in told.out
    assert "1 hint; see: arclore library check --hints" in told.out
    assert "hint: " in run("library", "check", folder, "--alone", "--hints").out
    value = run("library", "check", folder, "--alone", "--json").json
    validator("library-check").validate(value)
    assert value["counts"] == {"drill-sign": 1}
    assert [row["code"] for row in value["hints"]] == ["one-sided"]


def test_hints_alone_are_no_problem(run: Run, small: Small) -> None:  # noqa: F811
    folder = str(small(lambda entries: entries["bent-high"].pop("exclusive_with")))
    assert run("library", "check", folder, "--alone").code == Exit.DONE


@pytest.mark.parametrize(("family", "code"), [("pain", Exit.DONE), ("tee-height", Exit.PROBLEMS)])
def test_cases_of_a_folder(run: Run, tmp_path: Path, family: str, code: Exit) -> None:  # noqa: F811
    import json

    (tmp_path / "cases").mkdir()
    entry = sound_entry("case", "hurts", case={"pain": True}, expect={"families": [family], "stop": True})
    (tmp_path / "cases" / "hurts.yaml").write_text(json.dumps(entry), encoding="utf-8")
    told = run("library", "cases", str(tmp_path))
    assert told.code == code
    assert told.out.endswith(f"1 case, {int(code != Exit.DONE)} missed\n")
    assert (": case-missed: " in told.out) == (code != Exit.DONE)
    value = run("library", "cases", str(tmp_path), "--json").json
    validator("library-cases").validate(value)
    assert [case["id"] for case in value["cases"]] == ["hurts"]


def test_the_library_one_is_in_is_meant_and_one_that_is_laid_has_a_name(
    run: Run,  # noqa: F811
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "library.yaml").write_text("schema: 1\nkind: library\n", encoding="utf-8")
    (tmp_path / "cases").mkdir()
    (tmp_path / "cases" / "heath-a.yaml").write_text("nothing", encoding="utf-8")
    elsewhere = run("library", "check", str(tmp_path), "--alone", "--json").json
    monkeypatch.setattr(library_folder, "read_layers", lambda: ([Layer("heath", "heath", tmp_path)], []))
    assert run("library", "check", "heath", "--alone", "--json").json == elsewhere
    monkeypatch.chdir(tmp_path)
    here = run("library", "check", "--alone", "--json").json
    assert len(here["problems"]) == len(elsewhere["problems"]) > 0
    assert {row["path"] for row in here["problems"]} == {"library.yaml", "cases/heath-a.yaml"}
    assert run("library", "cases").out == "no cases to answer\n"


def test_a_folder_that_is_not_there_is_wrong_use(run: Run) -> None:  # noqa: F811
    for action in ("check", "cases"):
        told = run("library", action, "no-such-folder")
        assert told.code == Exit.WRONG_USE
        assert f"arclore library {action}: there is no folder 'no-such-folder'" in told.err


def test_a_folder_without_cases_has_none_to_answer(run: Run, tmp_path: Path) -> None:  # noqa: F811
    told = run("library", "cases", str(tmp_path))
    assert (told.code, told.out) == (Exit.DONE, "no cases to answer\n")
