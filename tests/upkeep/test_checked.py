"""The whole check, worked out once for each content: what it depends on, it notices."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import Library, load_layers
from arclore.engine.upkeep import cases
from arclore.engine.upkeep import checked as module
from arclore.engine.upkeep.cache import NO_CACHE, Cache
from arclore.engine.upkeep.cases import run_cases
from arclore.engine.upkeep.checked import Asked, Checked, checked
from arclore.engine.upkeep.layers import Layer
from arclore.engine.upkeep.weighed import weighed
from arclore.tui.command.exits import Exit

from tests.command.conftest import run  # noqa: F401 (a fixture)
from tests.command.running import Run
from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry, Small

SHOTS = [{"club": "driver", "start": "left", "how_often": "often"}]
DAY = "2026-11-25"


def with_cases(entries: dict[str, Entry]) -> None:
    entries["met"] = sound_entry("case", "met", case={"shots": SHOTS}, expect={"families": ["posture"]})
    entries["not-met"] = sound_entry("case", "not-met", case={"shots": SHOTS}, expect={"families": ["tee-height"]})


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "results")


def once_kept(asked: Asked, cache: Cache, monkeypatch: pytest.MonkeyPatch) -> Callable[[Asked], Checked | None]:
    """Checks, and afterwards tells what is kept, None where it would be worked out anew."""
    checked(asked, cache)

    class AnewError(Exception):
        pass

    def anew(*_: object) -> Checked:
        raise AnewError

    monkeypatch.setattr(module, "_worked_out", anew)

    def kept(asked: Asked) -> Checked | None:
        try:
            return checked(asked, cache)
        except AnewError:
            return None

    return kept


def test_what_is_kept_is_what_was_found(small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch) -> None:
    root = small(with_cases)
    waived = {"waives": "no-drill", "kind": "cause", "entry": "bent-low", "until": "2027-01-31"}
    waivers = [{**waived, "reason": "a drill is being tried", "author": "Kim Vale"}]
    (root / "drills" / "brush-low.yaml").unlink()
    (root / "waivers.yaml").write_text(
        json.dumps({"schema": 1, "kind": "waivers", "waivers": waivers}, indent=1), encoding="utf-8"
    )
    asked = Asked([root], [], DAY, root)
    found = checked(asked, NO_CACHE)
    assert [row.code for row in found.problems] == ["case-missed"]
    assert [row.finding.code for row in found.waived] == ["no-drill"]
    assert (found.asked, found.missed, found.entries["cases"], found.entries["causes"]) == (2, 1, 2, 2)
    assert once_kept(asked, cache, monkeypatch)(asked) == found


def _other_text(root: Path) -> None:
    path = root / "causes" / "bent-low.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("stands too low", "stands much too low"), encoding="utf-8")


def _comment(root: Path) -> None:
    path = root / "drills" / "brush-low.yaml"
    path.write_text("# rows below move down\n" + path.read_text(encoding="utf-8"), encoding="utf-8")


def _stray(root: Path) -> None:
    (root / "drills" / "read-me.txt").touch()


def _stray_folder(root: Path) -> None:
    (root / "dills").mkdir()


def _gone(root: Path) -> None:
    (root / "drills" / "brush-low.yaml").unlink()


def _link(root: Path) -> None:
    path = root / "drills" / "brush-low.yaml"
    path.rename(root / "brush-low.txt")
    path.symlink_to(root / "brush-low.txt")


def _review(root: Path) -> None:
    (root / "reviews").mkdir()
    (root / "reviews" / "a.yaml").write_text("schema: 1\n", encoding="utf-8")


@pytest.mark.parametrize("change", [_other_text, _comment, _stray, _stray_folder, _gone, _link, _review])
def test_any_change_on_the_disk_is_noticed(
    small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch, change: Callable[[Path], None]
) -> None:
    asked = Asked([small()], [], DAY)
    kept = once_kept(asked, cache, monkeypatch)
    assert kept(asked) is not None
    change(asked.layers[0])
    assert kept(asked) is None


def test_what_else_the_rows_depend_on_is_noticed(
    small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    root = small()
    asked = Asked([root], [], DAY)
    kept = once_kept(asked, cache, monkeypatch)
    named = [Layer("larkmoor", "larkmoor", root)]
    for other in ({"today": "2026-11-26"}, {"named": named}, {"cases_of": root}, {"layers": [root, root]}):
        assert kept(replace(asked, **other)) is None
    for place in (tmp_path, root / "drills"):
        monkeypatch.chdir(place)
        assert kept(asked) is None


def test_the_same_content_elsewhere_is_known_where_its_rows_are_the_same(
    small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    root = small()
    (root / "drills" / "brush-low.yaml").unlink()
    monkeypatch.chdir(root)
    here = Asked([Path()], [], DAY)
    kept = once_kept(here, cache, monkeypatch)
    shutil.copytree(root, tmp_path / "copy")
    monkeypatch.chdir(tmp_path / "copy")
    again = kept(here)
    assert again and [row.path for row in again.problems] == ["causes/bent-low.yaml"]
    assert kept(Asked([tmp_path / "copy"], [], DAY)) is None


def test_a_file_that_changes_meanwhile_leaves_nothing_false(
    small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    root = small()
    path = root / "drills" / "brush-low.yaml"
    before, work, times = path.read_bytes(), module._worked_out, []

    def slow(asked: Asked, cache: Cache) -> Checked:
        if not times:
            path.write_bytes(b"schema: 1\n")
        times.append(1)
        return work(asked, cache)

    monkeypatch.setattr(module, "_worked_out", slow)
    asked = Asked([root], [], DAY)
    assert checked(asked, cache).problems
    path.write_bytes(before)
    assert not checked(asked, cache).problems


def test_an_answer_is_kept_until_something_that_weighs_in_it_changes(
    small: Small, cache: Cache, monkeypatch: pytest.MonkeyPatch
) -> None:
    library = load_layers([small(with_cases)])
    first = list(run_cases(library, cache=cache))
    asked: list[str] = []
    answering = cases.unfolding
    monkeypatch.setattr(cases, "unfolding", lambda *given, **flags: asked.append("") or answering(*given, **flags))
    library.drills["brush-low"]["steps"][0] = "Bow a little further."
    library.causes["bent-low"] |= {"title": "the back is bent", "tell_student": "Your back is bent."}
    library.cases["not-met"]["expect"] = {"families": ["grip-hold"]}
    again = list(run_cases(library, cache=cache))
    assert not asked
    assert [one.leading for one in again] == [one.leading for one in first]
    assert again[1].misses[0].wanted == "grip-hold"
    library.cases["met"]["case"] = {"shots": [{**SHOTS[0], "how_often": "always"}]}
    list(run_cases(library, cache=cache))
    assert len(asked) == 1
    library.causes["bent-low"]["moves"][0]["size"] = -9.0
    list(run_cases(library, cache=cache))
    assert len(asked) == 3


def test_only_texts_weigh_nothing(built_in: Library) -> None:
    bare = weighed(built_in)
    assert bare.causes != built_in.causes
    kinds = ("symptoms", "causes", "checks", "drills", "words")
    kept = {field for kind in kinds for entry in getattr(bare, kind).values() for field in entry}
    assert {"outcome", "leak", "clubs", "how_common", "moves", "leads_to", "likelihood", "minutes", "not_for"} <= kept
    assert {"effect", "for", "phrases", "means", "certain", "safety", "upstream_of", "group"} <= kept
    assert {entry["title"] for entry in bare.causes.values()} == {""}


def test_one_command_is_the_gate(tmp_path: Path, run: Run) -> None:  # noqa: F811
    root = tmp_path / "tidewell"
    (root / "cases").mkdir(parents=True)
    about = {"schema": 1, "kind": "library", "id": "tidewell", "title": "Tidewell", "version": "1.0.0"}
    (root / "library.yaml").write_text(json.dumps(about), encoding="utf-8")
    for name, stop in (("tidewell-met", True), ("tidewell-not-met", False)):
        entry = sound_entry("case", name, case={"pain": True}, expect={"stop": stop})
        (root / "cases" / f"{name}.yaml").write_text(json.dumps(entry, indent=1), encoding="utf-8")
    told = run("library", "check", str(root), "--cases")
    assert told.code == Exit.PROBLEMS
    assert told.out.endswith("\n2 cases answered, 1 missed\n1 problem: 1 case-missed\n")
    place, line, column, code, _ = told.out.split(":", 4)
    assert (Path(place).name, code.strip()) == ("tidewell-not-met.yaml", "case-missed")
    lines = (root / "cases" / "tidewell-not-met.yaml").read_text(encoding="utf-8").splitlines()
    assert lines[int(line) - 1][int(column) - 1 :].startswith('"stop"')
    value = run("library", "check", str(root), "--cases", "--json").json
    validator("library-check").validate(value)
    assert value["cases"] == {"asked": 2, "missed": 1}
    assert run("library", "check", str(root), "--cases", "--alone").code == Exit.WRONG_USE
