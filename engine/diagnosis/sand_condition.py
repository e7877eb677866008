"""A splash from sand as the inference sees it: contact is what the sole does in the sand, not the face to the ball.

"Fat" is a sole that digs or enters so far behind that the ball stays in, "thin" (or topped) a face or edge that meets
the ball, "clean" a splash. The blocks mean what they mean for every other club, but that a slower head counts among the
strikes as one that much deeper: from outside the two look alike, a ball that stays in.
"""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cached_property
from typing import ClassVar

import numpy as np
from arclore.engine.diagnosis.condition import NO_HEIGHT_LOG, SAYS_NOTHING, Condition
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.moves import Amounts, moved
from arclore.engine.diagnosis.turned import USUAL_BEND
from arclore.engine.geometry.sand import BLADE, DIGS, FACE_SHARE, MISSED, Splash, splash, splash_swing
from arclore.engine.geometry.shot import Swing
from arclore.engine.geometry.strike import CLEAN, FAT, MISS, THIN, TOP
from arclore.engine.quantities import Array, Number

DEEP_M = 0.03  # deeper than the 1 to 3 cm of a sound mark (common practice, no source)
FAR_BEHIND_M = 0.12  # an entry beyond the 5 to 10 cm of a sound one by more than it usually varies


class SandCondition(Condition):
    """A wedge in sand, a level and a set-up; see Condition."""

    long_tables: ClassVar[tuple[str, ...]] = ("_codes", "height_log")

    @cached_property
    def swing(self) -> Swing:
        """The level's splash without a fault."""
        return splash_swing(self.club, self.level)

    @cached_property
    def _usual_splash(self) -> Splash:
        return splash(self.swing, self.set_up, self.club)

    @cached_property
    def usual_reach_m(self) -> float:
        """How far the fault-free splash goes in all."""
        return float(self._usual_splash.total_m)

    def _path_and_face(self, change: Amounts) -> dict[str, Array]:
        """Block coordinates (rows, dimensions) of the swing with an array of changes laid on, path and face apart."""
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        hit = splash(swing, set_up, self.club)
        hit = replace(hit, **{f.name: np.broadcast_to(getattr(hit, f.name), rows) for f in fields(hit)})
        height = np.broadcast_to(np.asarray(swing.arc_height_m) * 1000.0 + self._as_depth_mm(swing.speed_mps), rows)
        body = np.broadcast_to((hit.low_point_m + set_up.ball_position_m) * 100.0, rows)
        return {
            "direction": np.stack([hit.path_deg, hit.face_deg], axis=-1),
            "strike": np.stack([hit.low_point_m * 100.0, height, hit.dynamic_loft_deg - self.swing.loft_deg], -1),
            "toe": hit.strike_toe_m[..., None] * 1000.0,
            "pace": self.pace(hit.total_m)[..., None],
            "body": body[..., None],
            "line": hit.swing_direction_deg[..., None],
        }

    def _as_depth_mm(self, speed_mps: Number) -> Array:
        """How much lower (mm, below 0) the usual arc would lose as much distance as this speed does; 0 where none."""
        slower = self.pace(splash(replace(self.swing, speed_mps=speed_mps), self.set_up, self.club).total_m)
        lower_m, paces = self._lower_arcs
        return np.asarray(np.interp(slower, paces, lower_m) * 1000.0)

    @cached_property
    def _lower_arcs(self) -> tuple[Array, Array]:
        """Arcs lower than the usual one (m, up to 0) and their paces, both rising."""
        lower = np.linspace(-0.04, 0.0, 81)
        deeper = splash(replace(self.swing, arc_height_m=self.swing.arc_height_m + lower), self.set_up, self.club)
        return lower, self.pace(deeper.total_m)

    @cached_property
    def _flight(self) -> dict[str, Array]:
        """Start (deg) and finish (side over distance) on the direction grid."""
        path, face = self.path_and_face()
        start = FACE_SHARE * face + (1.0 - FACE_SHARE) * path
        return {"start": start, "finish": np.tan(np.radians(start))}

    def flights_of_direction(self, bend_class: int) -> list[tuple[float, dict[str, Array]]]:
        """The one flight of a splash on the direction grid: it does not bend."""
        return [(1.0, self._flight)]

    def bend_class(self, bend_log: Array) -> Ints:
        """One class: a splashed ball does not bend."""
        return np.full(bend_log.shape, USUAL_BEND)

    def bend_log(self, change: Amounts) -> Array:
        """Nothing is bent: 0."""
        return np.zeros(np.broadcast(*[np.asarray(value) for value in change.values()]).shape)

    @cached_property
    def _splashes(self) -> Splash:
        return splash(self.swings_of_strikes(), self.set_up, self.club)

    def codes(self, part: tuple[float, float]) -> tuple[Array, Array, Array]:
        """Codes of the contact and of what the sand shows in one part of every cell, and whether its mark is deep."""
        hit = splash(self.swings_of_strikes(part), self.set_up, self.club)
        bladed = np.where(hit.contact == TOP, TOP, THIN)
        contact = np.select([hit.result == DIGS, hit.result == BLADE, hit.result == MISSED], [FAT, bladed, MISS], CLEAN)
        deep = hit.depth_m > DEEP_M
        mark = np.select([hit.entry_m > FAR_BEHIND_M, deep, hit.depth_m > 0.0], [3, 2, 1], 0)
        return contact, mark, np.asarray(deep)

    @cached_property
    def height_log(self) -> Array:
        """Log of how high the flight stands in the eye, its apex over its carry, against this player's usual one."""
        return np.maximum(_steepness_log(self._splashes) - _steepness_log(self._usual_splash), NO_HEIGHT_LOG)

    @cached_property
    def pace_of_strikes(self) -> Array:
        """What entry, depth and loft alone do to the distance, on the strike grid."""
        return self.pace(self._splashes.total_m)

    def region(self, variable: str, value: str, bend_class: int = USUAL_BEND) -> Array:
        """Where on its block's grid a ball has this value: array from 0 to 1. A bend says nothing."""
        if variable == "curve":
            return np.full(self.grids["direction"].shape, SAYS_NOTHING)
        return super().region(variable, value, bend_class)


def _steepness_log(hit: Splash) -> Array:
    return np.asarray(np.log(np.maximum(hit.apex_m, 0.01) / np.maximum(hit.carry_m, 0.5)))
