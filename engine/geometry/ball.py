"""Drag and lift of a spinning dimpled ball against Reynolds number and spin ratio.

Reynolds number is speed x diameter / kinematic viscosity, spin ratio is surface speed / speed through the
air; both coefficients refer to the ball's cross-section and half the air density times the squared speed
through the air.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from arclore.engine.quantities import Array

SPIN_DECAY_PER_M: Final = 8.948e-4
"""Share of spin lost per metre through the air: 0.0004 x speed (mph) x spin (rpm) per second, as a trade book
(P. Dewhurst, The Science of the Perfect Swing, 2015) converts Smits and Smith 1994; read in a secondary
place."""


@dataclass(frozen=True, slots=True)
class BallModel:
    """Coefficients of a present-day ball as two short formulas.

    lift:  C_L = lift_ceiling * S / (S + lift_half_spin): nothing without spin, rising, concave, levelling off
    drag:  C_D = drag_base + drag_per_spin * S + (drag_subcritical - drag_base) / (1 + (Re /
    crisis_reynolds)^8)
    """

    lift_ceiling: float = 0.37
    lift_half_spin: float = 0.12
    drag_base: float = 0.21
    drag_per_spin: float = 0.19
    drag_subcritical: float = 0.50
    crisis_reynolds: float = 5.5e4

    def drag(self, reynolds: Array, spin_ratio: Array) -> Array:
        """C_D for arrays of Reynolds number and spin ratio (>= 0) of one shape."""
        ratio = reynolds * (1.0 / self.crisis_reynolds)
        ratio *= ratio
        ratio *= ratio
        ratio *= ratio
        ratio += 1.0
        drag = self.drag_per_spin * spin_ratio
        drag += self.drag_base
        drag += (self.drag_subcritical - self.drag_base) / ratio
        return drag

    def lift(self, reynolds: Array, spin_ratio: Array) -> Array:
        """C_L for arrays of Reynolds number and spin ratio (>= 0) of one shape."""
        del reynolds  # no dependence could be supported by a published figure that was seen
        return self.lift_ceiling * spin_ratio / (spin_ratio + self.lift_half_spin)
