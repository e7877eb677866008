"""Pictures put together: panels in rows, each a sentence over a scene, for one swing or two side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from arclore.engine.quantities import Handed
from arclore.tui.pictures import sentences
from arclore.tui.pictures.from_above import at_ball, flight
from arclore.tui.pictures.ground import ground
from arclore.tui.pictures.on_face import on_face
from arclore.tui.pictures.scene import Scene, framed_alike
from arclore.tui.pictures.side import from_side
from arclore.tui.pictures.stroke import Flown, Stroke
from arclore.tui.units import METRIC, Units

NARROW, MIDDLE, WIDE = 28, 38, 48  # columns that a panel needs


@dataclass(frozen=True)
class Panel:
    """One picture: what it is, the sentences that carry it, the scene, and the columns it needs."""

    title: str
    sentences: tuple[str, ...]
    scene: Scene
    columns: int


@dataclass(frozen=True)
class Plate:
    """A heading and rows of panels; those of a row stand side by side where there is room."""

    title: str
    rows: tuple[tuple[Panel, ...], ...]


def of_flights(title: str, balls: Sequence[Flown], handed: Handed = "right", units: Units = METRIC) -> Plate:
    """The flights of one or two balls alone, from above and from the side."""
    return Plate(title, (_flights(balls, handed, units),))


def of_strokes(title: str, strokes: Sequence[Stroke], handed: Handed = "right", units: Units = METRIC) -> Plate:
    """All pictures of one swing, or of two side by side, each pair drawn to one scale.

    Face-on is left out where nothing is known of the ground.
    """

    club, below = _club(strokes, handed, units)
    faces = [on_face(stroke) for stroke in strokes]
    face = _panels("On the face, as the ball sees it", sentences.strike, strokes, faces, NARROW, handed, units)
    above, side = _flights([stroke.flown for stroke in strokes], handed, units)
    if len(strokes) == 1:
        return Plate(title, ((club[0], above), (*below, *face), (side,)))
    rows = (club, below, (above, side), face)
    return Plate(title, tuple(row for row in rows if row))


def _club(strokes: Sequence[Stroke], handed: Handed, units: Units) -> tuple[tuple[Panel, ...], tuple[Panel, ...]]:
    """The club at the ball, from above; and what the ground, or a green, had of it, where that is known."""
    scenes = [at_ball(stroke) for stroke in strokes]
    club = _panels("At the ball, from above", sentences.going_and_looking, strokes, scenes, NARROW, handed, units)
    found = ground(strokes)
    if found is None:
        return club, ()
    return club, _panels(found[0], sentences.bottom, strokes, found[1], WIDE, handed, units)


def _panels(
    name: str,
    sentence: sentences.Sentence,
    strokes: Sequence[Stroke],
    scenes: Sequence[Scene],
    columns: int,
    handed: Handed,
    units: Units,
) -> tuple[Panel, ...]:
    """A panel for each stroke, all to one scale."""
    return tuple(
        Panel(name, (sentence(stroke, handed, units),), _turned(scene, handed), columns)
        for stroke, scene in zip(strokes, framed_alike(scenes), strict=True)
    )


def of_change(title: str, strokes: Sequence[Stroke], handed: Handed = "right") -> Plate:
    """Strokes from above and what the ground had of them in one row, named but without sentences: for a page that has
    words of its own.
    """
    named = [
        replace(panel, title=stroke.label.capitalize(), sentences=(), columns=columns)
        for row, columns in zip(_club(strokes, handed, METRIC), (MIDDLE, WIDE), strict=True)
        for panel, stroke in zip(row, strokes, strict=False)
    ]
    return Plate(title, (tuple(named),))


def _flights(balls: Sequence[Flown], handed: Handed, units: Units) -> tuple[Panel, Panel]:
    above, side = (
        tuple(sentence(ball, handed, units) for ball in balls)
        for sentence in (sentences.start_and_curve, sentences.height)
    )
    return (
        Panel("The flight, from above", above, _turned(flight(balls, handed, units), handed), NARROW),
        Panel("The flight, from the side", side, _turned(from_side(balls, units), handed), WIDE),
    )


def _turned(scene: Scene, handed: Handed) -> Scene:
    return scene.mirrored() if handed == "left" else scene
