"""The second picture of a stroke: what the ground had of it, or, of a putt, what the ball did on the green."""

from __future__ import annotations

from collections.abc import Sequence

from arclore.tui.pictures.face_on import face_on
from arclore.tui.pictures.in_sand import in_sand
from arclore.tui.pictures.on_green import on_green
from arclore.tui.pictures.scene import Scene
from arclore.tui.pictures.stroke import Stroke

FACE_ON, GREEN = "At the ball, face-on", "On the green, from above"


def ground(strokes: Sequence[Stroke]) -> tuple[str, list[Scene]] | None:
    """A title, and a scene for each stroke; None where nothing is known of the ground of one of them."""
    scenes = [scene for stroke in strokes if (scene := _scene(stroke)) is not None]
    if len(scenes) < len(strokes):
        return None
    return (GREEN if all(stroke.rolled for stroke in strokes) else FACE_ON), scenes


def _scene(stroke: Stroke) -> Scene | None:
    if stroke.rolled is not None:
        return on_green(stroke, stroke.rolled)
    if stroke.sand is not None:
        return in_sand(stroke, stroke.sand)
    return None if stroke.stance is None else face_on(stroke, stroke.stance)
