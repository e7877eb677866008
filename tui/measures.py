"""Lengths in the unit of a setting, for texts that a first screen needs; ``units`` has the rest."""

from __future__ import annotations

OTHER = {"m": ("yd", 1.0 / 0.9144), "cm": ("in", 1.0 / 2.54), "mm": ("in", 1.0 / 25.4)}  # exact by definition of 1959


def measured(value: float, unit: str, units: str) -> tuple[float, str]:
    """A number and its unit as the setting wants them; units without another form stay as they are."""
    if units != "yards" or unit not in OTHER:
        return value, unit
    other, share = OTHER[unit]
    return value * share, other


def model_limits(units: str) -> str:
    """How good the model of the arc is."""
    return "1.5 degrees and 1.2 in" if units == "yards" else "1.5 degrees and 3 cm"
