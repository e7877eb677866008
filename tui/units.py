"""Lengths and speeds as a person reads them, metric or not, by one setting. Signs are said in words elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from arclore.engine.quantities import M_PER_FOOT, M_PER_INCH, M_PER_YARD, MPS_PER_MPH
from arclore.tui.command.page import number


@dataclass(frozen=True)
class Unit:
    """A unit by its sign, its size in SI and the decimals that a reader needs."""

    sign: str
    size: float
    digits: int = 0

    def of(self, value: float) -> str:
        """The size of a value in SI, with the unit; its sign is dropped."""
        return f"{number(abs(value) / self.size, self.digits)} {self.sign}"


@dataclass(frozen=True)
class Units:
    """The units of one setting: of a shot, of a flight's height, on the ground, on the face, of speed."""

    distance: Unit
    height: Unit
    ground: Unit
    face: Unit
    speed: Unit


METRIC = Units(Unit("m", 1.0), Unit("m", 1.0), Unit("cm", 0.01), Unit("mm", 0.001), Unit("m/s", 1.0))
YARDS = Units(
    Unit("yd", M_PER_YARD),
    Unit("ft", M_PER_FOOT),
    Unit("in", M_PER_INCH, 1),
    Unit("in", M_PER_INCH, 2),
    Unit("mph", MPS_PER_MPH),
)
UNITS = {"metric": METRIC, "yards": YARDS}
