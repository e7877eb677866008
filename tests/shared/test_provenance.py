"""Where each field came from: the layer that gives it, its file and line, and what it lies over."""

from __future__ import annotations

from pathlib import Path

import pytest
from arclore.engine.library.schema import validator
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep.provenance import fields_of, layer_names
from arclore.tui.command.exits import Exit

from tests.command.running import Run
from tests.shared.conftest import Make, drill, put

BRUSH = drill("larkmoor-brush", cue="brush it once", minutes=5)


@pytest.fixture
def laid(run: Run, make: Make) -> tuple[Path, Path]:
    """Two shared libraries, the second over the first, each giving its own of the fields."""
    under = make("larkmoor", BRUSH)
    over = put(make("stonebeck"), {"kind": "drill", "amends": "larkmoor-brush", "cue": "brush it twice"})
    for folder in (under, over):
        assert run("library", "add", folder).code == Exit.DONE
    return under, over


def test_each_field_has_its_layer_line_and_what_it_lies_over(laid: tuple[Path, Path]) -> None:
    under, over = laid
    document = load_library(under, over).documents["drill", "larkmoor-brush"]
    fields = {field.name: field for field in fields_of(document, layer_names())}
    assert list(fields) == list(document.value)
    assert {name: field.given.layer for name, field in fields.items() if field.given.layer != "larkmoor"} == {
        "kind": "stonebeck",
        "cue": "stonebeck",
    }
    cue = fields["cue"]
    assert [(given.layer, given.value) for given in (cue.given, *cue.over)] == [
        ("stonebeck", "brush it twice"),
        ("larkmoor", "brush it once"),
    ]
    for given in (cue.given, *cue.over):
        assert "cue" in Path(given.path).read_text(encoding="utf-8").splitlines()[given.line - 1]
    assert (fields["minutes"].given.value, fields["minutes"].over) == (5, ())


def test_the_command_shows_it(run: Run, laid: tuple[Path, Path]) -> None:
    shown = run("library", "show", "larkmoor-brush")
    assert shown.code == Exit.DONE
    assert "cue   [stonebeck, line " in shown.out
    assert "over [larkmoor, line " in shown.out
    told = run("library", "show", "larkmoor-brush", "--json").json
    validator("library-show").validate(told)
    assert {field["name"] for field in told["fields"]} >= {"cue", "minutes", "title"}
    built_in = run("library", "show", "stands-too-close", "--kind", "cause", "--json").json
    assert {field["given"]["layer"] for field in built_in["fields"]} == {"built-in"}


def test_an_unknown_id_is_one_line_with_the_nearest(run: Run, laid: tuple[Path, Path]) -> None:
    refused = run("library", "show", "larkmoor-brus")
    assert (refused.code, len(refused.err.splitlines())) == (Exit.WRONG_USE, 1)
    assert "nearest: larkmoor-brush" in refused.err
    assert run("library", "show", "x\x1b[31m", "--library", laid[0]).code == Exit.WRONG_USE
