"""What turning the face does to a sound strike, at several lofts: start, bend and finish for a face to path, and back.

More loft between face and path bends the ball less for the same face to path; less loft bends it more. So the table is
kept at several changes of that loft, and a set of causes uses the one nearest to its own (``BEND_SCALES``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.sound import FlightWords
from arclore.engine.quantities import Array, Number

Ints = npt.NDArray[np.intp]
WIDEST_FACE_TO_PATH_DEG = 30.0
SPAN_DEG = np.arange(-WIDEST_FACE_TO_PATH_DEG, WIDEST_FACE_TO_PATH_DEG + 0.5, 0.5)
LOFT_SHIFTS_DEG = np.arange(-12.0, 18.1, 3.0)
BEND_SCALE = 1.16  # from one class of bend to the next
USUAL_BEND = 3  # the class of the fault-free loft
BEND_CLASSES = 7
SMALL_FACE_TO_PATH_DEG = 3.0  # where the bend of a face to path is compared between lofts


@dataclass(frozen=True)
class Turned:
    """Tables (lofts, spans) of sound strikes with path 0: bend made to rise, start against the path, finish (rad)."""

    bend: Array
    start_deg: Array
    finish: Array

    @classmethod
    def of(cls, sound: Callable[[Array, Array], FlightWords]) -> Turned:
        """sound(face_deg, loft_deg): flight words of the fault-free swing with face and loft changed by so much."""
        loft, face = (axis.ravel() for axis in np.meshgrid(LOFT_SHIFTS_DEG, SPAN_DEG, indexing="ij"))
        words = sound(face, loft)
        shape = (len(LOFT_SHIFTS_DEG), len(SPAN_DEG))
        rising = np.maximum.accumulate(words.bend.reshape(shape), axis=1) + 1e-9 * np.arange(len(SPAN_DEG))
        return cls(rising, words.start_deg.reshape(shape), words.finish.reshape(shape))

    def at(self, loft_shift_deg: float) -> tuple[Array, Array, Array]:
        """Bend, start and finish over SPAN_DEG for one change of loft."""
        low, share = _between(np.array([loft_shift_deg]))
        bend, start, finish = (
            table[low[0]] * (1 - share[0]) + table[low[0] + 1] * share[0]
            for table in (self.bend, self.start_deg, self.finish)
        )
        return bend, start, finish

    def undone(self, bend: Array, start_deg: Array, loft_shift_deg: Array) -> tuple[Array, Array]:
        """Path and face to path (of one shape) that give these bends and starts with these changes of loft."""
        low, share = (part.ravel() for part in _between(loft_shift_deg))
        face_to_path, turn = np.zeros(low.shape), np.zeros(low.shape)
        for row in np.unique(low):
            mine = np.flatnonzero(low == row)
            for part, weight in ((row, 1 - share[mine]), (row + 1, share[mine])):
                angle = np.interp(bend.ravel()[mine], self.bend[part], SPAN_DEG)
                face_to_path[mine] += weight * angle
                turn[mine] += weight * np.interp(angle, SPAN_DEG, self.start_deg[part])
        return start_deg - turn.reshape(start_deg.shape), face_to_path.reshape(start_deg.shape)

    @cached_property
    def _scales(self) -> Array:
        """How much more (log) a small face to path bends the ball at each change of loft than at none."""
        small = np.searchsorted(SPAN_DEG, SMALL_FACE_TO_PATH_DEG)
        slope = self.bend[:, small] - self.bend[:, -1 - small]
        middle = int(np.searchsorted(LOFT_SHIFTS_DEG, 0.0))
        log = np.log(np.maximum(slope, 1e-6) / slope[middle])
        less = np.maximum.accumulate(log[middle::-1])[::-1]  # made to fall: a face with no loft left bends nothing
        return np.concatenate([less, np.minimum.accumulate(log[middle:])[1:]])

    def bend_class(self, loft_shift_deg: Array) -> Ints:
        """The class of bend, 0 (bends least) to BEND_CLASSES - 1, of changes of loft."""
        log = np.interp(loft_shift_deg, LOFT_SHIFTS_DEG, self._scales)
        return np.asarray(np.clip(np.rint(log / np.log(BEND_SCALE)) + USUAL_BEND, 0, BEND_CLASSES - 1), dtype=np.intp)

    def loft_of_class(self, bend_class: int) -> float:
        """The change of loft (deg) in the middle of a class of bend."""
        log = (bend_class - USUAL_BEND) * np.log(BEND_SCALE)
        falling = self._scales[::-1] + 1e-12 * np.arange(len(LOFT_SHIFTS_DEG))
        return float(np.interp(log, falling, LOFT_SHIFTS_DEG[::-1]))


def _between(loft_shift_deg: Number) -> tuple[Ints, Array]:
    """The table row below each change of loft, and the share of the next."""
    place = np.interp(loft_shift_deg, LOFT_SHIFTS_DEG, np.arange(len(LOFT_SHIFTS_DEG)))
    low = np.minimum(place.astype(np.intp), len(LOFT_SHIFTS_DEG) - 2)
    return low, place - low
