"""What turning the face does to a sound strike: start, bend and finish for a face to path, and back.

More loft between face and path bends the ball less for the same face to path, and so do less speed, a strike off the
middle or low on the face and a club that moves down: a lower flight has less way to curve. How much more or less (its
log) is the ``bend log`` of a swing; a set of causes uses the class of bend nearest to its own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from arclore.engine.diagnosis.grid import Ints
from arclore.engine.diagnosis.sound import FlightWords
from arclore.engine.quantities import Array, Number

WIDEST_FACE_TO_PATH_DEG = 30.0
SPAN_DEG = np.arange(-WIDEST_FACE_TO_PATH_DEG, WIDEST_FACE_TO_PATH_DEG + 0.5, 0.5)
LOFT_SHIFTS_DEG = np.arange(-12.0, 18.1, 3.0)
SPEED_SHARES = np.arange(0.5, 1.31, 0.1)
STRIKES_TOE_M = np.arange(-0.04, 0.041, 0.01)
STRIKES_UP_M = np.arange(-0.024, 0.0241, 0.004)
ATTACK_SHIFTS_DEG = np.arange(-10.0, 10.1, 2.0)
BEND_STEP = float(np.log(1.16))  # from one class of bend to the next
USUAL_BEND = 3  # the class of the fault-free loft and speed
BEND_CLASSES = 7
SMALL = (3.0, -3.0)  # deg: where the bend of a face to path is compared
LEAST_BEND = 1e-6


@dataclass(frozen=True)
class Turned:
    """Tables of sound strikes with path 0 and the usual loft, speed and strike, over SPAN_DEG, and what these change.

    bend is made to rise; start is against the path (deg), finish in rad. of_loft, of_speed, of_strike, of_attack,
    of_height: bend logs over LOFT_SHIFTS_DEG, SPEED_SHARES, STRIKES_TOE_M, ATTACK_SHIFTS_DEG and STRIKES_UP_M.
    """

    bend: Array
    start_deg: Array
    finish: Array
    of_loft: Array
    of_speed: Array
    of_strike: Array
    of_attack: Array
    of_height: Array

    @classmethod
    def of(cls, sound: Callable[[Array, Number, Number, Number, Number, Number], FlightWords]) -> Turned:
        """sound(face_deg, loft_deg, speed_share, toe_m, attack_deg, up_m): words of the fault-free swing so changed.

        attack_deg turns club and face up together, so that the loft between them stays.
        """
        words = sound(SPAN_DEG, 0.0, 1.0, 0.0, 0.0, 0.0)
        rising = np.maximum.accumulate(words.bend) + 1e-9 * np.arange(len(SPAN_DEG))

        def bend_log(
            loft: Number = 0.0, speed: Number = 1.0, toe: Number = 0.0, attack: Number = 0.0, up: Number = 0.0
        ) -> Array:
            even = np.zeros(np.broadcast(loft, speed, toe, attack, up).shape)
            away, toward = (sound(even + at, loft, speed, toe, attack, up).bend for at in SMALL)
            return np.log(np.maximum(away - toward, LEAST_BEND))

        usual = bend_log(np.zeros(1))
        changed = (
            bend_log(loft=LOFT_SHIFTS_DEG),
            bend_log(speed=SPEED_SHARES),
            bend_log(toe=STRIKES_TOE_M),
            bend_log(attack=ATTACK_SHIFTS_DEG),
            bend_log(up=STRIKES_UP_M),
        )
        return cls(rising, words.start_deg, words.finish, *(log - usual for log in changed))

    def at(self, bend_log: float) -> tuple[Array, Array, Array]:
        """Bend, start and finish over SPAN_DEG where a face to path bends the ball so much more."""
        more = np.exp(bend_log)
        start = np.radians(self.start_deg)
        return self.bend * more, self.start_deg, start + (self.finish - start) * more

    def undone(self, bend: Array, start_deg: Array, bend_log: Array) -> tuple[Array, Array]:
        """Path and face to path (of one shape) that give these bends and starts with these bend logs."""
        face_to_path = np.interp(bend / np.exp(bend_log), self.bend, SPAN_DEG)
        return start_deg - np.interp(face_to_path, SPAN_DEG, self.start_deg), face_to_path

    def bend_log(
        self,
        loft_shift_deg: Number,
        speed_share: Number,
        toe_m: Number,
        attack_shift_deg: Number,
        up_m: Number = 0.0,
    ) -> Array:
        """How much more (log) a face to path bends the ball with these changes and this share of the speed.

        loft_shift_deg: of the loft between face and path of the club.
        """
        total = (
            np.interp(loft_shift_deg, LOFT_SHIFTS_DEG, self.of_loft)
            + np.interp(speed_share, SPEED_SHARES, self.of_speed)
            + np.interp(toe_m, STRIKES_TOE_M, self.of_strike)
            + np.interp(attack_shift_deg, ATTACK_SHIFTS_DEG, self.of_attack)
            + np.interp(up_m, STRIKES_UP_M, self.of_height)
        )
        furthest = (USUAL_BEND + 0.5) * BEND_STEP
        return np.asarray(np.clip(total, -furthest, furthest))


def bend_class(bend_log: Array) -> Ints:
    """The class of bend, 0 (bends least) to BEND_CLASSES - 1, of bend logs."""
    return np.asarray(np.clip(np.rint(bend_log / BEND_STEP) + USUAL_BEND, 0, BEND_CLASSES - 1), dtype=np.intp)


def log_of_class(bend_class: int) -> float:
    """The bend log in the middle of a class of bend."""
    return (bend_class - USUAL_BEND) * BEND_STEP
