"""Putts and splashes: the picture and its sentence say what the geometry plays, for either hand, in every sign."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.putt import Green, putt, stroke
from arclore.engine.geometry.sand import splash, splash_swing
from arclore.tui.pictures.ground import ground
from arclore.tui.pictures.plate import of_change
from arclore.tui.pictures.scene import Line, Mark, Scene, Words
from arclore.tui.pictures.sentences import bottom
from arclore.tui.pictures.short import putted, splashed
from arclore.tui.pictures.stroke import Stroke
from arclore.tui.pictures.svg import as_svg
from arclore.tui.pictures.terminal import draw
from arclore.tui.units import YARDS
from arclore.tui.what_if import changes, dials_of

STIMP = Green()


def rolled(clubs: dict[str, Club], green: Green = STIMP, hole_m: float = 3.0, **swing: float) -> Stroke:
    club = clubs["putt"]
    usual = stroke(club, "novice")
    changed = replace(usual, **{name: getattr(usual, name) + value for name, value in swing.items()})
    return putted(changed, club.standard, club, "putt", green, hole_m)


def thrown(clubs: dict[str, Club], **swing: float) -> Stroke:
    club = clubs["sand"]
    usual = splash_swing(club, "novice")
    changed = replace(usual, **{name: getattr(usual, name) + value for name, value in swing.items()})
    return splashed(changed, club.standard, club, "sand")


def scene_of(played: Stroke) -> Scene:
    found = ground([played])
    assert found is not None
    return found[1][0]


def mark(scene: Scene, sign: str) -> tuple[float, float]:
    return next(item.at for item in scene.items if isinstance(item, Mark) and item.sign == sign)


def words(scene: Scene) -> set[str]:
    return {item.text for item in scene.items if isinstance(item, Words)}


def test_a_putt_is_drawn_where_the_geometry_rolls_it(clubs: dict[str, Club]) -> None:
    club = clubs["putt"]
    swing = replace(stroke(club, "novice"), face_deg=2.0)
    played = putted(swing, club.standard, club, "putt", STIMP, 3.0)
    end = putt(swing, club.standard, club, STIMP)
    scene = scene_of(played)
    stops = mark(scene, "x")
    assert stops[0] == pytest.approx(3.0 * float(end.side_m))  # drawn three times as wide, and said to be
    assert "3 times" in scene.scale
    assert stops[0] ** 2 / 9.0 + stops[1] ** 2 == pytest.approx(float(end.distance_m) ** 2)
    assert mark(scene, "+")[1] < stops[1] and mark(scene, "o") == (0.0, 3.0)
    text = bottom(played, "right")
    assert f"started {float(end.start_deg):.1f} deg right of the target" in text
    assert f"slid for {100 * float(end.hop_m + end.skid_m):.0f} cm" in text
    assert f"{100 * float(end.side_m):.0f} cm right of the line" in text
    assert "left of the line" in bottom(played, "left")


def test_a_faster_green_rolls_it_farther_and_changes_nothing_else(clubs: dict[str, Club]) -> None:
    slow, fast = rolled(clubs), rolled(clubs, Green(run_m=STIMP.run_m + 0.5))
    [told] = changes(slow, fast, "right")
    assert re.fullmatch(r"roll \d+ cm longer", told)
    assert "past the hole" in bottom(fast, "right") or "short of the hole" in bottom(slow, "right")


def test_the_sole_is_drawn_where_the_geometry_lets_it_in(clubs: dict[str, Club]) -> None:
    club = clubs["sand"]
    played, end = thrown(clubs), splash(splash_swing(club, "novice"), club.standard, club)
    scene = scene_of(played)
    assert mark(scene, "+") == pytest.approx((-float(end.entry_m), 0.0))
    assert mark(scene, "x")[1] == pytest.approx(-float(end.depth_m))
    assert {"in", "out", "sand", "low point", "lead heel"} <= words(scene)
    sole = next(item for item in scene.items if isinstance(item, Line) and item.arrow)
    under = [y for x, y in sole.points if -float(end.entry_m) < x < float(end.mark_m - end.entry_m)]
    assert under and max(under) < 0.0  # beneath the ball, whose underside is level with the sand
    text = bottom(played, "right")
    assert f"went into the sand {100 * float(end.entry_m):.0f} cm before the ball" in text
    assert "the face did not touch the ball" in text
    assert " in before the ball" in bottom(played, "right", YARDS)


@pytest.mark.parametrize(
    ("moved", "result", "says"),
    [
        ({"low_point_m": -0.08}, "digs", "stays in or near"),
        ({"arc_height_m": 0.016}, "blade", "edge met the ball before there was sand"),
        ({"arc_height_m": 0.2}, "miss", "missed the ball"),
    ],
)
def test_what_goes_wrong_in_sand_is_said(
    clubs: dict[str, Club], moved: dict[str, float], result: str, says: str
) -> None:
    played = thrown(clubs, **moved)
    assert played.sand is not None and played.sand.result == result
    assert says in bottom(played, "right")
    assert any("instead of a splash" in told for told in changes(thrown(clubs), played, "right"))
    scene_of(played)


def test_a_left_handers_are_the_mirror_and_plain_terminals_get_plain_signs(clubs: dict[str, Club]) -> None:
    for played in (rolled(clubs, face_deg=2.0), thrown(clubs)):
        scene = scene_of(played)
        assert mark(scene.mirrored(), "x")[0] == -mark(scene, "x")[0]
        for columns in (36, 60):
            rows = draw(scene, columns, 12, ascii_only=True)
            assert all(row.isascii() and len(row) <= columns for row in rows)
        page = as_svg(of_change("Now", (played, played), "left"))
        assert all(word in page for word in (("stops", "rolls", "hole") if played.rolled else ("in", "out", "sand")))


def test_each_club_has_what_can_be_tried_with_it() -> None:
    assert "green_run_cm" in {dial.input for dial in dials_of("putt")}
    assert {"low_point_cm", "arc_height_mm"} <= {dial.input for dial in dials_of("sand")}
    assert "tee_height_mm" in {dial.input for dial in dials_of("driver")}
    assert len({len(dials_of(club)) for club in ("putt", "sand", "driver")}) == 1  # a digit for each line
