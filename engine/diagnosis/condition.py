"""One club of one player's level, as the inference sees it: maps from moves to outcomes, spreads, and word regions.

Outcomes live in three blocks whose coordinates are linear in the player's own deviations:

- direction: club path and face (deg, + right);
- strike: low point against the ball (cm, + ahead), arc height (mm, + high), loft against the club's own (deg);
- toe: strike toward the toe (mm);
- pace: log of the whole distance, run included, against this player's usual one;
- body: low point against the lead heel (cm), line: the arc's base line (deg, + right). Nothing in the flight is read
  from these two; they are there for what a coach measures against the body.

What a word such as "starts left" or "thin" means is read off the real geometry on a grid of these coordinates.
Words of direction are about sound strikes; other balls are told by their contact. A strike toward toe or heel turns the
ball by gear effect; it enters the direction block as the path and face that would have given the same start and bend.
More or less loft or speed changes how much a face to path bends the ball: words of direction are kept for several
classes of bend.
The direction block's second coordinate is the face less its share of the path (`lean`), so that the two vary apart.
"Short" and "long" are about the pace of sound strikes; told beside a poor contact they are read off the strike.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, ClassVar

import numpy as np
from arclore.engine.diagnosis.bends import Bends
from arclore.engine.diagnosis.grid import Axis, Grid, Ints, rising, side_share
from arclore.engine.diagnosis.landings import Landings
from arclore.engine.diagnosis.moves import Amounts, against_ball_and_ground, moved
from arclore.engine.diagnosis.sound import FlightWords, reach_m, sound_strike, steepness_log
from arclore.engine.diagnosis.turned import SPAN_DEG, USUAL_BEND, Turned, bend_class, log_of_class
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import CONTACTS, TURFS, Delivered, Swing, deliver, fault_free, shot
from arclore.engine.geometry.strike import DEEP_M, side_of_face
from arclore.engine.quantities import Array, Number

BLOCKS = ("direction", "strike", "toe", "pace", "body", "line")
DIRECTION = Grid((Axis(-27.0, 27.0, 0.75), Axis(-27.0, 27.0, 0.75)), fineness=(5, 5))
STRIKE = Grid((Axis(-40.5, 40.5, 1.5), Axis(-51.0, 60.0, 1.5), Axis(-15.0, 15.0, 1.5)), fineness=(1, 1, 1))
TOE = Grid((Axis(-70.0, 50.0, 1.0),), fineness=(4,))
PACE = Grid((Axis(-1.5, 1.0, 0.025),), fineness=(4,))
BODY = Grid((Axis(-50.0, 50.0, 1.0),), fineness=(4,))
LINE = Grid((Axis(-27.0, 27.0, 0.5),), fineness=(4,))
GRIDS: dict[str, Grid] = {
    "direction": DIRECTION,
    "strike": STRIKE,
    "toe": TOE,
    "pace": PACE,
    "body": BODY,
    "line": LINE,
}
NO_HEIGHT_LOG = -4.0  # log of a flight that never rises, against the usual one
SAYS_NOTHING = 1.0 / 3.0  # of a word that does not bear on a club: as likely as each of its three values
SPREADS = ("own", "club", "scatter")
LEAST_REACH_M = 0.01  # so that a ball that goes nowhere has a log
THREE_POINTS = ((-np.sqrt(3.0), 1 / 6), (0.0, 2 / 3), (np.sqrt(3.0), 1 / 6))
"""Gauss-Hermite points and weights of a standard normal."""
PARTS = ((-3 / 8, -1 / 8), (-1 / 8, 3 / 8), (1 / 8, -3 / 8), (3 / 8, 1 / 8))
"""Where in a cell (of low point, of arc height) strikes are played, in steps: a border between words seldom runs along
the grid's points."""
TOE_PARTS = (np.arange(8) + 0.5) / 8 - 0.5


@dataclass(frozen=True)
class Condition:
    """A club, a level, the set-up it is hit from, and the library's settings.

    named: the club as the case calls it. put_right: set-up inputs that the coach has placed as they should be, so that
    no cause moves them here.
    """

    club: Club
    level: str
    set_up: SetUp
    settings: Mapping[str, Any]
    named: str = ""
    put_right: frozenset[str] = frozenset()

    grids: ClassVar[Mapping[str, Grid]] = GRIDS
    long_tables: ClassVar[tuple[str, ...]] = ("_turned", "_codes", "height_log")  # that take long to lay
    shares_the_swing: ClassVar[bool] = True  # whether the player's own deviation is that of all the other clubs

    @cached_property
    def swing(self) -> Swing:
        """The level's fault-free swing with this club."""
        return fault_free(self.club, self.level)

    @cached_property
    def fault_free_point(self) -> dict[str, Array]:
        """Block coordinates of the fault-free swing in this set-up, each of shape (dimensions,)."""
        return {block: rows[0] for block, rows in self.points({"face_deg": np.zeros(1)}).items()}

    @cached_property
    def landings(self) -> Landings:
        """Where the swing lands under each of many changes."""
        return Landings(self.points)

    def points(self, change: Amounts) -> dict[str, Array]:
        """Block coordinates (rows, dimensions) of the swing with an array of changes laid on, by the real geometry."""
        points = self._path_and_face(change)
        path, face = np.moveaxis(points["direction"], -1, 0)
        return {**points, "direction": np.stack([path, face - self.lean * path], axis=-1)}

    def path_and_face(self) -> tuple[Array, Array]:
        """Path and face (deg) of every place on the direction grid."""
        path, rest = self.grids["direction"].mesh()
        return path, rest + self.lean * path

    @cached_property
    def lean(self) -> float:
        """How much of the path the face takes with it over fault-free players: what a strike off the middle does."""
        rates = []
        for name, sd in self._scaled("own").items():
            ahead, behind = self._path_and_face({name: np.array([0.5, -0.5])})["direction"]
            rates.append(sd * (ahead - behind))
        path, face = np.array(rates).T
        return float(path @ face / (path @ path))

    def bend_log(self, change: Amounts) -> Array:
        """How much more (log) a face to path bends the sound balls of a swing than the fault-free one's, (rows,)."""
        return self._bends.of_sound_balls(change)

    @cached_property
    def _bends(self) -> Bends:
        spreads = {kind: self._scaled(kind) for kind in SPREADS}
        return Bends(self.swing, self.set_up, self.club, self._turned, spreads)

    def bend_class(self, bend_log: Array) -> Ints:
        """The class of bend of bend logs: which fields of words of direction they use."""
        return bend_class(bend_log)

    def _path_and_face(self, change: Amounts) -> dict[str, Array]:
        """Block coordinates, the direction block as path and face."""
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        played = deliver(swing, set_up, self.club)
        played = replace(played, **{f.name: np.broadcast_to(getattr(played, f.name), rows) for f in fields(played)})
        words = sound_strike(played, self.club, swing.speed_mps)
        bend_log = self._bends.of_delivery(played, swing.speed_mps)
        path, face_to_path = self._turned.undone(words.bend, words.start_deg, bend_log)
        loft, height = self._lofted
        # what the low point alone does to the height is read off the strike grid: only the rest counts as loft
        alone = self._with_attack_alone(played)
        rise = words.height_log - alone.height_log + self._usual.height_log[0]
        lift = (played.arc_height_m - self.swing.arc_height_m) * 1000.0
        tee = (set_up.tee_height_m - self.set_up.tee_height_m) * 1000.0
        risen = lift - tee if self.set_up.tee_height_m > 0 else against_ball_and_ground(lift, lift - tee)
        arc_height = np.broadcast_to(self.swing.arc_height_m * 1000.0 + risen, rows)
        body = np.broadcast_to((played.low_point_m + set_up.ball_position_m) * 100.0, rows)
        return {
            "direction": np.stack([path, path + face_to_path], axis=-1),
            "strike": np.stack([played.low_point_m * 100.0, arc_height, np.interp(rise, height, loft)], -1),
            "toe": played.strike_toe_m[..., None] * 1000.0,
            "pace": self.pace(reach_m(played, self.club))[..., None],
            "body": body[..., None],
            "line": played.swing_direction_deg[..., None],
        }

    @cached_property
    def usual_reach_m(self) -> float:
        """How far the fault-free swing sends the ball in all."""
        played = deliver(self.swing, self.set_up, self.club)
        return float(reach_m(played, self.club))

    def pace(self, reached_m: Array) -> Array:
        """Log of distances against the usual one, kept within the grid."""
        axis = self.grids["pace"].axes[0]
        log = np.log(np.maximum(reached_m, LEAST_REACH_M) / self.usual_reach_m)
        return np.asarray(np.clip(log, axis.first, axis.last))

    def _with_attack_alone(self, played: Delivered) -> FlightWords:
        """Flight words of the fault-free swing at the attack angle of these deliveries."""
        usual = deliver(self.swing, self.set_up, self.club)
        rows = played.attack_deg.shape
        same = {f.name: np.broadcast_to(getattr(usual, f.name), rows) for f in fields(usual)}
        changed = Delivered(**{**same, "attack_deg": played.attack_deg})
        return sound_strike(changed, self.club, self.swing.speed_mps)

    @cached_property
    def _usual(self) -> FlightWords:
        return self._sound(face_deg=np.full(1, self.swing.face_deg))

    @cached_property
    def _lofted(self) -> tuple[Array, Array]:
        """Loft against the club's own (deg), and the height in the eye it gives, made to rise so as to be undone."""
        loft = self.grids["strike"].axes[2].points
        return loft, rising(self._sound(loft_deg=self.swing.loft_deg + loft).height_log)

    @cached_property
    def _turned(self) -> Turned:
        swing = self.swing
        return Turned.of(
            lambda face, loft, speed, toe, attack, up: self._sound(
                attack,
                up,
                face_deg=swing.face_deg + face,
                loft_deg=swing.loft_deg + loft,
                speed_mps=swing.speed_mps * speed,
                strike_toe_m=swing.strike_toe_m + toe,
            )
        )

    def _sound(self, attack_deg: Number = 0.0, up_m: Number = 0.0, **swing: Any) -> FlightWords:
        """Words of sound strikes of the fault-free swing (path 0), these fields changed, club and face turned up."""
        changed = replace(self.swing, **swing)
        rows = np.broadcast(attack_deg, *[np.asarray(value) for value in swing.values()]).shape
        played = deliver(changed, self.set_up, self.club)
        played = replace(played, **{f.name: np.broadcast_to(getattr(played, f.name), rows) for f in fields(played)})
        up = {name: getattr(played, name) + attack_deg for name in ("attack_deg", "dynamic_loft_deg")}
        return sound_strike(replace(played, **up), self.club, changed.speed_mps, up_m)

    @cached_property
    def _rates(self) -> dict[str, dict[str, Array]]:
        """The rates of all inputs that players differ in, played at once; others join them when they are asked for."""
        stated = (self.settings["spreads"][kind][self.level] for kind in SPREADS)
        return self.landings.rates(sorted({name for inputs in stated for name in inputs}))

    def rate(self, name: str) -> dict[str, Array]:
        """Change of block coordinates for one unit of an input, by central differences: (dimensions,) a block."""
        if name not in self._rates:
            self._rates.update(self.landings.rates([name]))
        return self._rates[name]

    def spread(self, kind: str) -> dict[str, Array]:
        """Standard deviations of a spread of the settings (own, club, scatter) in block coordinates, (dimensions,)."""
        scaled = self._scaled(kind)
        return {
            block: np.sqrt(sum((sd * self.rate(name)[block]) ** 2 for name, sd in scaled.items())) for block in BLOCKS
        }

    def _scaled(self, kind: str) -> dict[str, float]:
        """A spread of the settings, input by input, as this club has it."""
        stated = self.settings["spreads"][kind][self.level]
        scale = self.settings.get("short_game_scale", {}).get(self.club.family, {})
        return {name: sd * scale.get(name, 1.0) for name, sd in stated.items()}

    def numbers(self, table: str) -> dict[str, float]:
        """A table of the settings for this club: a name with the family before it (putt_start_deg) is its own."""
        stated = self.settings[table]
        before = f"{self.club.family}_"
        own = {name.removeprefix(before): value for name, value in stated.items() if name.startswith(before)}
        return {**stated, **own}

    @cached_property
    def blur(self) -> dict[str, Array]:
        """How blurred the borders of words are between people, in block coordinates."""
        blur = self.numbers("blur")
        return {
            "direction": np.full(2, blur["start_deg"]),
            "strike": np.array([blur["low_point_cm"], blur["arc_height_mm"], blur["loft_deg"]]),
            "toe": np.array([blur["strike_toe_mm"]]),
            "pace": np.array([blur["distance_log"]]),
            "body": np.zeros(1),
            "line": np.zeros(1),
        }

    # --- what words mean on the grids -------------------------------------------------------------------------------

    def flights_of_direction(self, bend_class: int) -> list[tuple[float, dict[str, Array]]]:
        """Start, curve and finish on the direction grid at three bends of a class of bend, each with its weight."""
        if bend_class not in self._flights:
            middle = self._bends.usual + log_of_class(bend_class)
            spread = self._bends.spread("own", "club")
            self._flights[bend_class] = [(weight, self._flight_at(middle + at * spread)) for at, weight in THREE_POINTS]
        return self._flights[bend_class]

    @cached_property
    def _flights(self) -> dict[int, list[tuple[float, dict[str, Array]]]]:
        return {}

    def _flight_at(self, bend_log: float) -> dict[str, Array]:
        path, face = self.path_and_face()
        bend, turn, finish = self._turned.at(bend_log)
        face_to_path = face - path
        return {
            "start": path + np.interp(face_to_path, SPAN_DEG, turn),
            "curve": np.interp(face_to_path, SPAN_DEG, bend),
            "finish": np.tan(np.radians(path) + np.interp(face_to_path, SPAN_DEG, finish)),
        }

    def swings_of_strikes(self, part: tuple[float, float] = (0.0, 0.0)) -> Swing:
        """The fault-free swing with the low point, arc height and loft of every place on the strike grid.

        part: how far from its cell's middle (of low point, of arc height) a place is taken, in steps.
        """
        low_point, arc_height, loft = self.grids["strike"].mesh()
        along, up, _ = self.grids["strike"].axes
        low_point, arc_height = low_point + part[0] * along.step, arc_height + part[1] * up.step
        return replace(
            self.swing,
            low_point_m=low_point / 100.0 + self.set_up.ball_position_m,
            arc_height_m=arc_height / 1000.0,
            loft_deg=self.swing.loft_deg + loft,
        )

    def codes(self, part: tuple[float, float]) -> tuple[Array, Array, Array]:
        """In one part of every cell of the strike grid: codes of the contact and of the mark, and 1 where it is deep.

        A mark that begins behind the ball may be deep or not.
        """
        played = shot(self.swings_of_strikes(part), self.set_up, self.club, flight=False)
        return np.asarray(played.contact), np.asarray(played.turf), np.asarray(played.turf_depth_m > DEEP_M)

    @cached_property
    def _codes(self) -> Array:
        """What ``codes`` says of every part (3, parts, *strike grid), by place in CONTACTS and TURFS."""
        return np.stack([np.stack(self.codes(part)).astype(np.int8) for part in PARTS], axis=1)

    @cached_property
    def height_log(self) -> Array:
        """Log of how high the flight stands in the eye, its apex over its carry, against this player's usual one."""
        played = shot(self.swings_of_strikes(), self.set_up, self.club, run=False)
        assert played.apex_m is not None and played.carry_m is not None
        against_usual = steepness_log(played.apex_m, played.carry_m) - self._usual.height_log[0]
        return np.asarray(np.maximum(against_usual, NO_HEIGHT_LOG))

    @cached_property
    def pace_of_strikes(self) -> Array:
        """What the strike alone does to the distance, on the strike grid."""
        total = shot(self.swings_of_strikes(), self.set_up, self.club).total_m
        assert total is not None
        return self.pace(total)

    @cached_property
    def _regions(self) -> dict[tuple[str, str, int], Array]:
        return {}

    def region(self, variable: str, value: str, bend_class: int = USUAL_BEND) -> Array:
        """Where on its block's grid a ball of this club has this value: from 0 to 1; nobody may write into it.

        bend_class: how much a face to path bends the ball, for words of direction.
        """
        key = (variable, value, bend_class if BLOCK_OF[variable] == "direction" else USUAL_BEND)
        if key not in self._regions:
            self._regions[key] = self._region(*key)
        return self._regions[key]

    def _region(self, variable: str, value: str, bend_class: int) -> Array:
        border = self.numbers("borders")
        if BLOCK_OF[variable] == "direction":
            flights = self.flights_of_direction(bend_class)
            return np.asarray(sum(weight * self._direction(flight, variable, value) for weight, flight in flights))
        if variable in ("distance", "strike_distance"):
            reached = self.grids["pace"].mesh()[0] if variable == "distance" else self.pace_of_strikes
            short = side_share(reached, -border["finish_short_log"], "left")
            return {"short": short, "long": side_share(reached, border["finish_long_log"], "right")}[value]
        if variable == "height":
            low = side_share(self.height_log, -border["low_height_log"], "left")
            high = side_share(self.height_log, border["high_height_log"], "right")
            return {"low": low, "high": high, "normal": 1.0 - low - high}[value]
        if variable == "contact":
            return np.asarray((self._codes[0] == CONTACTS.index(value)).mean(axis=0))
        if (variable, value) == ("turf", "deep"):
            return np.asarray(self._codes[2].mean(axis=0))
        if variable == "turf":
            return np.asarray((self._codes[1] == TURFS.index(value)).mean(axis=0))
        if variable == "face_part":
            axis = self.grids["toe"].axes[0]
            toe_mm = axis.points[:, None] + axis.step * TOE_PARTS
            return np.asarray((side_of_face(toe_mm / 1000.0, self.club.head) == value).mean(axis=1))
        raise KeyError(variable)

    def _direction(self, flight: Mapping[str, Array], variable: str, value: str) -> Array:
        """Where balls of this flight on the direction grid have this value."""
        border = self.numbers("borders")
        if variable != "curve":
            edge = border["start_deg" if variable == "start" else "finish_share"]
            return side_share(flight[variable], edge, value)
        side, _, bend = value.partition("-")
        inside = side_share(flight["curve"], border["curve_share"], side)
        strong = side_share(flight["curve"], border["strong_curve_share"], side)
        return {"": inside, "strong": strong, "slight": inside - strong}[bend]


BLOCK_OF = {
    "start": "direction",
    "curve": "direction",
    "finish": "direction",
    "distance": "pace",
    "strike_distance": "strike",
    "height": "strike",
    "contact": "strike",
    "turf": "strike",
    "face_part": "toe",
}
