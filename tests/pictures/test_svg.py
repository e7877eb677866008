"""The SVG: valid, escaped, black on white, with nothing in it that reaches elsewhere."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from arclore.tui.pictures.plate import Plate, of_flights, of_strokes
from arclore.tui.pictures.svg import NAMESPACE, as_svg

from tests.pictures.conftest import SPOILT, Hit
from tests.pictures.test_terminal import HOSTILE

EXAMPLES = sorted((Path(__file__).parents[2] / ".pictures").glob("driver-*.svg"))
ELEMENTS = {"svg", "title", "desc", "rect", "g", "polyline", "polygon", "path", "circle", "text"}
INKS = {"black", "white", "none"}


def checked(text: str) -> ElementTree.Element:
    """The parsed drawing, after a look at every element and attribute."""
    root = ElementTree.fromstring(text)
    assert root.tag == f"{{{NAMESPACE}}}svg"
    for element in root.iter():
        assert element.tag.removeprefix(f"{{{NAMESPACE}}}") in ELEMENTS
        for name, value in element.attrib.items():
            assert not re.search("nan|inf", value, re.IGNORECASE)
            assert name not in ("id", "style", "class") and "href" not in name and not name.startswith("on")
            if name in ("fill", "stroke"):
                assert value in INKS
    return root


@pytest.mark.parametrize("spoilt", SPOILT)
@pytest.mark.parametrize("club", ["driver", "7-iron"])
def test_every_plate_is_a_valid_drawing(hit: Hit, club: str, spoilt: str) -> None:
    stroke = hit(club, **SPOILT[spoilt])
    for plate in (
        of_strokes("One", [stroke], "left"),
        of_strokes("Two", [stroke, hit()]),
        of_flights("", [stroke.flown]),
    ):
        root = checked(as_svg(plate))
        assert float(root.attrib["height"]) > 200.0


def test_text_stays_inside_the_page(hit: Hit) -> None:
    root = checked(as_svg(of_strokes("One", [hit("7-iron"), hit("driver")])))
    width, height = float(root.attrib["width"]), float(root.attrib["height"])
    for text in root.iter(f"{{{NAMESPACE}}}text"):
        assert 0.0 <= float(text.attrib["x"]) <= width
        assert 0.0 <= float(text.attrib["y"]) <= height


def test_hostile_text_is_escaped_and_shown_as_it_is(hit: Hit) -> None:
    hostile = HOSTILE + "]]><script>alert(1)</script>\x00"
    text = as_svg(of_strokes(hostile, [hit(label=hostile), hit("driver")]))
    assert "<script" not in text and "\x1b" not in text and "\x00" not in text and "\u202e" not in text
    shown = "".join(checked(text).itertext())
    assert "<script>alert(1)</script>" in shown and "\\x1b[31m]red <b>&amp;" in shown


def test_plates_stand_one_under_another(hit: Hit) -> None:
    one, other = of_strokes("First", [hit()]), of_strokes("Second", [hit("driver")])
    both = checked(as_svg(one, other))
    heads = {text.text: float(text.attrib["y"]) for text in both.iter(f"{{{NAMESPACE}}}text")}
    alone = float(checked(as_svg(one)).attrib["height"])
    assert heads["First"] < alone - 40.0 < heads["Second"]


def test_a_number_that_is_none_is_refused(hit: Hit) -> None:
    plate = of_strokes("", [hit()])
    panel = plate.rows[0][0]
    spoilt = replace(panel, scene=replace(panel.scene, high=(float("nan"), 1.0)))
    with pytest.raises(ValueError, match="not a finite number"):
        as_svg(Plate("", ((spoilt,),)))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_examples_are_valid_drawings(path: Path) -> None:
    root = checked(path.read_text(encoding="utf-8"))
    assert "driver" in "".join(root.itertext()).lower()


def test_there_are_two_examples() -> None:
    assert len(EXAMPLES) == 2
