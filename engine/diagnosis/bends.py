"""How much a face to path bends the balls of one player with one club, as logs against the fault-free swing's.

Words of direction are about sound strikes. Those of a swing that is too high meet the ball low on the face, those of
one that wanders along the face meet it off the middle, and such strikes bend the ball less: what counts for a set of
causes is the mean over its sound balls.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from arclore.engine.diagnosis.even import even_normals
from arclore.engine.diagnosis.moves import Amounts, moved
from arclore.engine.diagnosis.sound import sound_loft_deg
from arclore.engine.diagnosis.turned import Turned
from arclore.engine.geometry.club import Club
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import Delivered, Swing, deliver
from arclore.engine.geometry.strike import CLEAN, side_of_face
from arclore.engine.quantities import Array, Number

BALLS = 64  # that stand for all that players and their balls differ by
LEAST_SOUND = 0.01  # weight of a ball that is not sound, so that there is a mean where none is
ROWS_AT_ONCE = 1000  # so that memory does not grow with the library


@dataclass(frozen=True)
class Bends:
    """Bend logs of a fault-free swing with changes laid on. spreads: kind -> input -> standard deviation."""

    swing: Swing
    set_up: SetUp
    club: Club
    turned: Turned
    spreads: Mapping[str, Mapping[str, float]]

    def of_delivery(self, played: Delivered, head_speed_mps: Number, up_m: Number = 0.0) -> Array:
        """The bend log of deliveries that meet the ball so far above the face's centre height; speed before ground."""
        usual = deliver(self.swing, self.set_up, self.club)
        before = sound_loft_deg(usual, self.swing.speed_mps) - usual.attack_deg
        loft_shift = sound_loft_deg(played, head_speed_mps) - played.attack_deg - before
        speed_share = np.asarray(head_speed_mps) / self.swing.speed_mps
        toe, attack = played.strike_toe_m - usual.strike_toe_m, played.attack_deg - usual.attack_deg
        return self.turned.bend_log(loft_shift, speed_share, toe, attack, up_m)

    @cached_property
    def usual(self) -> float:
        """The mean bend log of the fault-free swing's sound balls."""
        return float(self._mean({"face_deg": np.zeros(1)})[0])

    def of_sound_balls(self, change: Amounts) -> Array:
        """How much more a face to path bends the sound balls with these changes than without any, (rows,)."""
        return self._mean(change) - self.usual

    def _mean(self, change: Amounts) -> Array:
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        laid = {name: np.broadcast_to(value, rows).ravel() for name, value in change.items()}
        means = [
            self._mean_of_rows({name: value[at : at + ROWS_AT_ONCE, None] for name, value in laid.items()})
            for at in range(0, math.prod(rows), ROWS_AT_ONCE)
        ]
        return np.concatenate(means).reshape(rows) if means else np.zeros(rows)

    def _mean_of_rows(self, change: Mapping[str, Array]) -> Array:
        balls = self._balls
        both = {name: change.get(name, 0.0) + balls.get(name, 0.0) for name in {**change, **balls}}
        swing, set_up = moved(self.swing, self.set_up, self.club, both)
        played = deliver(swing, set_up, self.club)
        sound = (played.contact == CLEAN) & (side_of_face(played.strike_toe_m, self.club.head) != "shank")
        log = self.of_delivery(played, swing.speed_mps, played.strike_up_m)
        return np.asarray(np.average(log, axis=1, weights=sound + LEAST_SOUND))

    @cached_property
    def _balls(self) -> dict[str, Array]:
        """What a few balls, each of another player, differ by: input -> (balls,)."""
        names = sorted({name for spread in self.spreads.values() for name in spread})
        sds = [math.hypot(*[spread.get(name, 0.0) for spread in self.spreads.values()]) for name in names]
        return {name: sd * z for name, sd, z in zip(names, sds, even_normals(BALLS, len(names)).T, strict=True)}

    def spread(self, *kinds: str) -> float:
        """Standard deviation of the bend log in these spreads together."""
        shifts = [
            sd * np.diff(self._of_strikes({name: np.array([-0.5, 0.5])}))[0]
            for kind in kinds
            for name, sd in self.spreads[kind].items()
        ]
        return float(np.sqrt(np.square(shifts).sum()))

    def _of_strikes(self, change: Amounts) -> Array:
        swing, set_up = moved(self.swing, self.set_up, self.club, change)
        rows = np.broadcast(*[np.asarray(value) for value in change.values()]).shape
        return np.broadcast_to(self.of_delivery(deliver(swing, set_up, self.club), swing.speed_mps), rows)
