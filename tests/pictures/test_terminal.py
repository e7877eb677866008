"""Pictures in the terminal: they keep to their columns, need no colour, and can do with ASCII."""

from __future__ import annotations

import pytest
from arclore.tui.ascii_only import can_show_braille
from arclore.tui.pictures.layout import cells, placed, wrapped
from arclore.tui.pictures.paper import as_text
from arclore.tui.pictures.plate import of_strokes
from arclore.tui.pictures.scene import Line, Mark, Scene, Words
from arclore.tui.pictures.terminal import draw

from tests.pictures.conftest import SPOILT, Hit

HOSTILE = "\x1b[31m]red <b>&amp; [@click=app.quit]x[/] \u202eevil \u7403\u7403 \u26f3"


@pytest.mark.parametrize("columns", [24, 60, 79, 80, 120, 160])
@pytest.mark.parametrize("ascii_only", [False, True])
def test_no_line_is_wider_than_the_terminal(hit: Hit, columns: int, ascii_only: bool) -> None:
    for strokes in ([hit("driver")], [hit("7-iron"), hit("driver")]):
        lines = as_text(of_strokes("A title", strokes), columns, ascii_only=ascii_only)
        assert max(map(cells, lines)) <= columns
        text = "\n".join(lines)
        assert "\x1b" not in text and "\u2800" not in text
        assert text.isascii() == ascii_only


@pytest.mark.parametrize("ascii_only", [False, True])
def test_every_word_of_every_picture_is_legible_at_60_columns(hit: Hit, ascii_only: bool) -> None:
    text = "\n".join(as_text(of_strokes("", [hit("driver", swing_direction_deg=-4.0)]), 60, ascii_only=ascii_only))
    for word in ("target", "going", "looking", "low point", "face", "arc", "tee", "lead heel", "ground", "toe", "heel"):
        assert word in text, word


@pytest.mark.parametrize("spoilt", SPOILT)
def test_spoilt_swings_are_drawn_for_either_hand(hit: Hit, spoilt: str) -> None:
    for handed in ("right", "left"):
        lines = as_text(of_strokes("", [hit(**SPOILT[spoilt])], handed), 80, ascii_only=True)  # type: ignore[arg-type]
        assert len(lines) > 50 and not any("nan" in line for line in lines)


def test_face_on_is_mirrored_in_letters_too(hit: Hit) -> None:
    rows = {}
    for handed in ("right", "left"):
        lines = as_text(of_strokes("", [hit("driver")], handed), 60, ascii_only=True)  # type: ignore[arg-type]
        rows[handed] = next(line for line in lines if "low point" in line and "lead heel" in line)
    assert rows["right"].index("low point") < rows["right"].index("lead heel")
    assert rows["left"].index("low point") > rows["left"].index("lead heel")


def test_hostile_labels_are_harmless(hit: Hit) -> None:
    for ascii_only in (False, True):
        lines = as_text(
            of_strokes(HOSTILE, [hit(label=HOSTILE), hit("driver", label="x" * 10_000)]), 60, ascii_only=ascii_only
        )
        text = "\n".join(lines)
        assert "\x1b" not in text and "\u202e" not in text
        assert "\\x1b[31m]red <b>&amp;" in text
        assert max(map(cells, lines)) <= 60


def test_a_line_is_drawn_where_it_is() -> None:
    scene = Scene((Line(((0.0, 0.0), (10.0, 10.0))), Mark((10.0, 0.0), "x")), (0.0, 0.0), (10.0, 10.0))
    lines = draw(scene, 12, 20, ascii_only=True)
    starts = [line.index("*") for line in lines if "*" in line]
    assert starts == sorted(starts, reverse=True) and starts[-1] == 0
    assert lines[-1].rstrip().endswith("x") and len(lines[-1]) >= 11


def test_style_is_seen_without_colour() -> None:
    drawn = {}
    for style in ("solid", "heavy", "dashed", "dotted", "fine"):
        scene = Scene((Line(((0.0, 0.0), (10.0, 0.0)), style),), (0.0, -1.0), (10.0, 1.0))  # type: ignore[arg-type]
        drawn[style] = (draw(scene, 30)[0:3], draw(scene, 30, ascii_only=True)[0:3])
    assert len({str(braille) for braille, _ in drawn.values()}) == 5
    assert len({str(letters) for _, letters in drawn.values()}) == 5


def test_words_keep_off_each_other_off_marks_and_inside() -> None:
    words = [Words((5.0, 2.0), "one", "start"), Words((6.0, 2.1), "two", "start"), Words((9.5, 2.0), "three", "start")]
    spots = placed(words, (1.0, 1.0), (0.0, 0.0), (10.0, 5.0), [(5.0, 2.0)])
    for count, spot in enumerate(spots):
        assert spot.x >= 0.0 and spot.x + spot.width <= 10.0
        assert not (spot.x <= 5.0 < spot.x + spot.width and abs(spot.y - 2.0) < 0.5)
        for other in spots[:count]:
            beside = spot.x >= other.x + other.width + 0.99 or other.x >= spot.x + spot.width + 0.99
            assert beside or abs(spot.y - other.y) >= 0.99


def test_two_words_that_touch_are_not_read_as_one() -> None:
    """Side by side on one line without a space between them they would be."""
    words = [Words((5.0, 2.5), "arc", "end"), Words((5.0, 2.5), "target", "start")]
    first, second = placed(words, (1.0, 1.0), (0.0, 0.0), (20.0, 5.0))
    assert abs(first.y - second.y) >= 0.99


def test_a_number_keeps_its_unit_on_its_line() -> None:
    for columns in range(12, 60):
        lines = wrapped("the ball flew 190 m and ran 32 m at 4.5 deg for 1200 rpm", columns)
        assert " ".join(lines) == "the ball flew 190 m and ran 32 m at 4.5 deg for 1200 rpm"
        assert not any(line.split()[0] in ("m", "deg", "rpm") for line in lines)


def test_too_small_a_room_is_refused_in_one_line() -> None:
    with pytest.raises(ValueError, match="at least 8 columns and 3 rows"):
        draw(Scene((), (0.0, 0.0), (1.0, 1.0)), 7)


@pytest.mark.parametrize(
    ("encoding", "environment", "able"),
    [
        ("utf-8", {"LANG": "en_GB.UTF-8"}, True),
        ("utf-8", {"LANG": "C", "LC_CTYPE": "C.UTF-8"}, False),  # what Python makes of LANG=C, PEP 538
        ("utf-8", {"LC_ALL": "C", "LANG": "en_GB.UTF-8"}, False),
        ("utf-8", {"LANG": "C.UTF-8", "LC_CTYPE": "C.UTF-8"}, True),
        ("utf-8", {"LC_CTYPE": "de_DE.utf8"}, True),
        ("utf-8", {}, False),
        ("ascii", {"LANG": "en_GB.UTF-8"}, False),
        (None, {"LANG": "en_GB.UTF-8"}, False),
        ("utf-8", {"LANG": "en_GB.UTF-8", "TERM": "linux"}, False),
    ],
)
def test_which_terminals_show_braille(encoding: str | None, environment: dict[str, str], able: bool) -> None:
    assert can_show_braille(encoding, environment) == able


def test_wide_characters_are_wrapped_by_the_columns_they_take() -> None:
    text = "\u7403" * 500 + " and \u26f3 more"
    for columns in (9, 10, 31):
        lines = wrapped(text, columns)
        assert max(map(cells, lines)) <= columns
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
