"""A putt as the inference sees it: finer words of direction, no bend, and a pace that is the green's.

The blocks mean what they mean for every other club, on finer grids where a putt is finer. A strike toward toe or heel
turns the ball a little; it enters the direction block as the face that would have started the ball there. What the ball
does after it has started, a break, says nothing of the stroke.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from functools import cached_property
from typing import ClassVar

import numpy as np
from arclore.engine.diagnosis.condition import GRIDS, SAYS_NOTHING, Condition
from arclore.engine.diagnosis.grid import Axis, Grid, Ints, side_share
from arclore.engine.diagnosis.moves import Amounts, moved
from arclore.engine.diagnosis.turned import USUAL_BEND
from arclore.engine.geometry.putt import Putt, putt, stroke
from arclore.engine.geometry.shot import TURFS, Swing
from arclore.engine.geometry.strike import FAT_M
from arclore.engine.quantities import Array


class PuttCondition(Condition):
    """A putter, a level and a set-up; see Condition."""

    grids: ClassVar[Mapping[str, Grid]] = {
        **GRIDS,
        "direction": Grid((Axis(-12.0, 12.0, 0.3), Axis(-9.0, 9.0, 0.25)), fineness=(8, 8)),
        "strike": Grid((Axis(-20.0, 20.0, 1.0), Axis(-12.0, 30.0, 1.5), Axis(-8.0, 8.0, 1.0)), fineness=(2, 2, 4)),
    }
    long_tables: ClassVar[tuple[str, ...]] = ("_codes",)
    shares_the_swing: ClassVar[bool] = False  # a stroke of its own

    @cached_property
    def swing(self) -> Swing:
        """The level's stroke without a fault."""
        return stroke(self.club, self.level)

    @cached_property
    def _usual_putt(self) -> Putt:
        return putt(self.swing, self.set_up, self.club)

    @cached_property
    def face_share(self) -> float:
        """The face's share of the start line; the path has the rest."""
        turned = putt(replace(self.swing, face_deg=self.swing.face_deg + 1.0), self.set_up, self.club)
        return float(turned.start_deg - self._usual_putt.start_deg)

    @cached_property
    def usual_reach_m(self) -> float:
        """How far the fault-free stroke rolls the ball."""
        return float(self._usual_putt.distance_m)

    def _path_and_face(self, change: Amounts) -> dict[str, Array]:
        """Block coordinates (rows, dimensions) of the stroke with an array of changes laid on, path and face apart."""
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        hit = putt(swing, set_up, self.club)
        hit = replace(hit, **{f.name: np.broadcast_to(getattr(hit, f.name), rows) for f in fields(hit)})
        face = (hit.start_deg - (1.0 - self.face_share) * hit.path_deg) / self.face_share
        loft = hit.dynamic_loft_deg - self.swing.loft_deg
        body = np.broadcast_to((hit.low_point_m + set_up.ball_position_m) * 100.0, rows)
        return {
            "direction": np.stack([hit.path_deg, face], axis=-1),
            "strike": np.stack([hit.low_point_m * 100.0, hit.arc_height_m * 1000.0, loft], axis=-1),
            "toe": hit.strike_toe_m[..., None] * 1000.0,
            "pace": self.pace(hit.distance_m)[..., None],
            "body": body[..., None],
            "line": hit.swing_direction_deg[..., None],
        }

    @cached_property
    def _flight(self) -> dict[str, Array]:
        """Start (deg) and finish (side over distance) on the direction grid: a level putt ends where it started to."""
        path, face = self.path_and_face()
        start = self.face_share * face + (1.0 - self.face_share) * path
        return {"start": start, "finish": np.tan(np.radians(start))}

    def flights_of_direction(self, bend_class: int) -> list[tuple[float, dict[str, Array]]]:
        """The one flight of a putt on the direction grid: it does not bend."""
        return [(1.0, self._flight)]

    def bend_class(self, bend_log: Array) -> Ints:
        """One class: a putt does not bend."""
        return np.full(bend_log.shape, USUAL_BEND)

    def bend_log(self, change: Amounts) -> Array:
        """Nothing is bent: 0."""
        return np.zeros(np.broadcast(*[np.asarray(value) for value in change.values()]).shape)

    @cached_property
    def _putts(self) -> Putt:
        return putt(self.swings_of_strikes(), self.set_up, self.club)

    def codes(self, part: tuple[float, float]) -> tuple[Array, Array, Array]:
        """Codes of the contact and of the green, in one part of every cell: nothing, or a scuff behind the ball."""
        hit = putt(self.swings_of_strikes(part), self.set_up, self.club)
        mark = np.where(hit.turf_before_m > FAT_M, TURFS.index("behind"), TURFS.index("none"))
        return np.asarray(hit.contact), mark, np.zeros_like(mark)

    @cached_property
    def pace_of_strikes(self) -> Array:
        """What the strike alone does to the distance, on the strike grid."""
        return self.pace(self._putts.distance_m)

    def region(self, variable: str, value: str, bend_class: int = USUAL_BEND) -> Array:
        """Where on its block's grid a putt has this value: array from 0 to 1.

        "High" hops off the face, "low" is pressed into the green first. A bend says nothing of the stroke.
        """
        border = self.numbers("borders")
        if variable == "curve":
            return np.full(self.grids["direction"].shape, SAYS_NOTHING)
        if variable == "height":
            launch = self._putts.launch_deg
            low = side_share(launch, -border["low_launch_deg"], "left")
            high = side_share(launch, border["high_launch_deg"], "right")
            return {"low": low, "high": high, "normal": 1.0 - low - high}[value]
        if variable == "face_part":
            side = {"toe": "right", "heel": "left"}.get(value, "middle")
            share = side_share(self.grids["toe"].mesh()[0], border["strike_toe_mm"], side)
            return np.zeros_like(share) if value == "shank" else share
        return super().region(variable, value, bend_class)
