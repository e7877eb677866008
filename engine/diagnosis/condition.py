"""One club of one player's level, as the inference sees it: maps from moves to outcomes, spreads, and word regions.

Outcomes live in three blocks whose coordinates are linear in the player's own deviations:

- direction: club path and face (deg, + right);
- strike: low point against the ball (cm, + ahead), arc height (mm, + high), loft against the club's own (deg);
- toe: strike toward the toe (mm);
- body: low point against the lead heel (cm), line: the arc's base line (deg, + right). Nothing in the flight is read
  from these two; they are there for what a coach measures against the body.

What a word such as "starts left" or "thin" means is read off the real geometry on a grid of these coordinates. A strike
off the centre turns the ball by gear effect; it enters the direction block as the path and face that would have given
the same start and axis tilt.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from arclore.engine.diagnosis.grid import Axis, Grid
from arclore.engine.diagnosis.moves import Amounts, moved
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import CONTACTS, TURFS, Shot, Swing, fault_free, shot
from arclore.engine.geometry.strike import side_of_face
from arclore.engine.quantities import Array

BLOCKS = ("direction", "strike", "toe", "body", "line")
DIRECTION = Grid((Axis(-27.0, 27.0, 0.75), Axis(-27.0, 27.0, 0.75)), fineness=4)
STRIKE = Grid((Axis(-40.0, 40.0, 2.0), Axis(-50.0, 60.0, 2.5), Axis(-15.0, 15.0, 3.0)), fineness=2)
TOE = Grid((Axis(-70.0, 50.0, 1.0),), fineness=4)
BODY = Grid((Axis(-50.0, 50.0, 1.0),), fineness=4)
LINE = Grid((Axis(-27.0, 27.0, 0.5),), fineness=4)
GRIDS: dict[str, Grid] = {"direction": DIRECTION, "strike": STRIKE, "toe": TOE, "body": BODY, "line": LINE}
FLATTEST_TILT_SPAN_DEG = 30.0
NO_HEIGHT_LOG = -4.0  # log of a flight that never rises, against the usual apex


@dataclass(frozen=True)
class Condition:
    """A club, a level, the set-up it is hit from, and the library's settings."""

    club: Club
    level: str
    set_up: SetUp
    settings: Mapping[str, Any]

    @cached_property
    def swing(self) -> Swing:
        """The level's fault-free swing with this club."""
        return fault_free(self.club, self.level)

    @cached_property
    def fault_free_point(self) -> dict[str, Array]:
        """Block coordinates of the fault-free swing in this set-up, each of shape (dimensions,)."""
        return {block: rows[0] for block, rows in self.points({"face_deg": np.zeros(1)}).items()}

    def points(self, change: Amounts) -> dict[str, Array]:
        """Block coordinates (rows, dimensions) of the swing with an array of changes laid on, by the real geometry."""
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        played = shot(swing, set_up, self.club, flight=False)
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        lift = (played.arc_height_m - self.swing.arc_height_m) * 1000.0
        tee = (set_up.tee_height_m - self.set_up.tee_height_m) * 1000.0
        arc_height = np.broadcast_to(self.swing.arc_height_m * 1000.0 + against_ball_and_ground(lift, lift - tee), rows)
        low_point = np.broadcast_to(played.low_point_m * 100.0, rows)
        loft = np.broadcast_to(played.dynamic_loft_deg - self.swing.loft_deg, rows)
        toe = np.broadcast_to(played.strike_toe_m * 1000.0, rows)
        body = np.broadcast_to((played.low_point_m + set_up.ball_position_m) * 100.0, rows)
        line = np.broadcast_to(played.swing_direction_deg, rows)
        return {
            "direction": self._as_path_and_face(played, rows),
            "strike": np.stack([low_point, arc_height, loft], axis=-1),
            "toe": toe[..., None],
            "body": body[..., None],
            "line": line[..., None],
        }

    def _as_path_and_face(self, played: Shot, rows: tuple[int, ...]) -> Array:
        """The path and face that give the same start and tilt with a centred strike of this club.

        A ball met by an edge or the neck says nothing about path and face, so there the delivered ones stand.
        """
        span, tilt, turn = self._tilt_table
        face_to_path = np.interp(played.axis_tilt_deg, tilt, span)
        path = played.start_deg - np.interp(face_to_path, span, turn)
        odd = (np.abs(played.turn_toe_deg) > 0) | (np.abs(played.turn_up_deg) > 0) | (played.ball_speed_mps <= 0)
        gear = np.stack([np.where(odd, played.path_deg, path), np.where(odd, played.face_deg, path + face_to_path)], -1)
        return np.broadcast_to(gear, (*rows, 2))

    @cached_property
    def _tilt_table(self) -> tuple[Array, Array, Array]:
        """Face to path (deg), the axis tilt it gives (rising), and how far the start then lies right of the path."""
        span = np.arange(-FLATTEST_TILT_SPAN_DEG, FLATTEST_TILT_SPAN_DEG + 0.5, 0.5)
        played = self._play(face_deg=self.swing.face_deg + span)
        return span, np.asarray(played.axis_tilt_deg), np.asarray(played.start_deg - played.path_deg)

    def _play(self, flight: bool = False, **swing: Any) -> Shot:
        return shot(replace(self.swing, **swing), self.set_up, self.club, flight=flight)

    @cached_property
    def _rates(self) -> dict[str, dict[str, Array]]:
        return {}

    def rate(self, name: str) -> dict[str, Array]:
        """Change of block coordinates for one unit of an input, by central differences: (dimensions,) a block."""
        if name not in self._rates:
            points = self.points({name: np.array([0.5, -0.5])})
            self._rates[name] = {block: rows[0] - rows[1] for block, rows in points.items()}
        return self._rates[name]

    def spread(self, kind: str) -> dict[str, Array]:
        """Standard deviations of a spread of the settings (own, club, scatter) in block coordinates, (dimensions,)."""
        stated = self.settings["spreads"][kind][self.level]
        return {
            block: np.sqrt(sum((sd * self.rate(name)[block]) ** 2 for name, sd in stated.items())) for block in BLOCKS
        }

    @cached_property
    def blur(self) -> dict[str, Array]:
        """How blurred the borders of words are between people, in block coordinates."""
        blur = self.settings["blur"]
        return {
            "direction": np.full(2, blur["start_deg"]),
            "strike": np.array([blur["low_point_cm"], blur["arc_height_mm"], blur["loft_deg"]]),
            "toe": np.array([blur["strike_toe_mm"]]),
            "body": np.zeros(1),
            "line": np.zeros(1),
        }

    # --- what words mean on the grids -------------------------------------------------------------------------------

    @cached_property
    def _flight_of_direction(self) -> dict[str, Array]:
        path, face = DIRECTION.mesh()
        span, _, turn = self._tilt_table
        played = self._play(flight=True, face_deg=self.swing.face_deg + span)
        assert played.carry_m is not None and played.side_m is not None and played.curve_m is not None
        off = np.arctan2(played.side_m, played.carry_m) - np.radians(played.path_deg)
        far = np.hypot(played.carry_m, played.side_m)
        face_to_path = face - path
        start = path + np.interp(face_to_path, span, turn)
        finish = np.tan(np.radians(path) + np.interp(face_to_path, span, off))
        return {"start": start, "curve": np.interp(face_to_path, span, played.curve_m / far), "finish": finish}

    @cached_property
    def _played_strikes(self) -> Shot:
        low_point, arc_height, loft = STRIKE.mesh()
        set_up = replace(self.set_up)
        swing = replace(
            self.swing,
            low_point_m=low_point / 100.0 + set_up.ball_position_m,
            arc_height_m=arc_height / 1000.0,
            loft_deg=self.swing.loft_deg + loft,
        )
        return shot(swing, set_up, self.club, flight=True)

    @cached_property
    def _apex_log(self) -> Array:
        apex = self._played_strikes.apex_m
        usual = self._play(flight=True).apex_m
        assert apex is not None and usual is not None
        return np.log(np.maximum(apex / usual, np.exp(NO_HEIGHT_LOG)))

    def region(self, variable: str, value: str) -> Array:
        """Where on its block's grid a ball of this club has this value: array of 0 and 1."""
        border = self.settings["borders"]
        if variable in ("start", "finish"):
            edge = border["start_deg"] if variable == "start" else border["finish_share"]
            return _side(self._flight_of_direction[variable], edge, value)
        if variable == "curve":
            side, _, bend = value.partition("-")
            share = self._flight_of_direction["curve"]
            inside = _side(share, border["curve_share"], side)
            if bend:
                strong = np.abs(share) > border["strong_curve_share"]
                inside = inside * (strong if bend == "strong" else ~strong)
            return inside
        if variable == "height":
            log = self._apex_log
            low, high = log < border["low_apex_log"], log > border["high_apex_log"]
            return np.asarray({"low": low, "high": high, "normal": ~low & ~high}[value], dtype=float)
        if variable == "contact":
            contact = self._played_strikes.contact
            return np.asarray(contact == CONTACTS.index(value), dtype=float)
        if variable == "turf":
            return np.asarray(self._played_strikes.turf == TURFS.index(value), dtype=float)
        if variable == "face_part":
            return np.asarray(side_of_face(TOE.mesh()[0] / 1000.0, self.club.head) == value, dtype=float)
        raise KeyError(variable)


def against_ball_and_ground(lift_mm: Array, lift_against_ball_mm: Array) -> Array:
    """One height of the arc for both its meetings, where a change of tee parts them: the smaller shift, or none.

    A club that is lifted from the ground but sinks against a ball teed higher is neither thinner nor fatter for it.
    """
    apart = np.sign(lift_mm) != np.sign(lift_against_ball_mm)
    nearer = np.where(np.abs(lift_mm) < np.abs(lift_against_ball_mm), lift_mm, lift_against_ball_mm)
    return np.where(apart, 0.0, nearer)


def _side(amount: Array, edge: float, value: str) -> Array:
    where = {"left": amount < -edge, "right": amount > edge}
    inside = where.get(value)
    return np.asarray(np.abs(amount) <= edge if inside is None else inside, dtype=float)


BLOCK_OF = {
    "start": "direction",
    "curve": "direction",
    "finish": "direction",
    "height": "strike",
    "contact": "strike",
    "turf": "strike",
    "face_part": "toe",
}
