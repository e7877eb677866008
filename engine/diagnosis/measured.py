"""A measured number, or a range it was read to lie in, as a bump on the likelihood field of its block."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.geometry import arc
from arclore.engine.quantities import Array

USUAL_ERROR = {
    "path_deg": 1.5,
    "face_deg": 1.5,
    "face_to_path_deg": 2.0,
    "swing_direction_deg": 2.5,
    "attack_deg": 1.5,
    "low_point_cm": 3.0,
    "low_point_body_cm": 3.0,
    "strike_toe_mm": 5.0,
}
"""One standard deviation where the case gives none: the model's own limits (estimate)."""

MEASURED_IN: dict[str, set[str]] = {
    "direction": {"path_deg", "face_deg", "face_to_path_deg"},
    "strike": {"attack_deg", "low_point_cm"},
    "toe": {"strike_toe_mm"},
    "pace": set(),
    "body": {"low_point_body_cm"},
    "line": {"swing_direction_deg"},
}
"""The quantities that tell of each block."""

LEAST = 1e-9  # so that no reading makes a delivery impossible


def measured_field(
    condition: Condition, block: str, quantity: str, low: float, high: float, error_sd: float | None
) -> Array:
    """Likelihood over the block's grid that the quantity was read as a value (low = high) or in a range."""
    mesh = condition.path_and_face() if block == "direction" else condition.grids[block].mesh()
    error = USUAL_ERROR[quantity] if error_sd is None else error_sd
    club = condition.club
    predicted = mesh[0]  # the block's first coordinate is the quantity itself, but for these three
    if quantity == "attack_deg":
        predicted = np.asarray(arc.attack_from_low_point(mesh[0] / 100.0, club.arc_radius_m, club.plane_deg))
    elif quantity == "face_deg":
        predicted = mesh[1]
    elif quantity == "face_to_path_deg":
        predicted = mesh[1] - mesh[0]
    if low == high:
        return np.asarray(np.exp(-0.5 * ((low - predicted) / error) ** 2) + LEAST)
    from scipy.special import ndtr

    return np.asarray(ndtr((high - predicted) / error) - ndtr((low - predicted) / error) + LEAST)


def read_range(check: Mapping[str, Any], value: Any) -> tuple[float, float] | None:
    """What a measuring check read: a number as a range of no width, or the range of the result that was named."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value), float(value)
    for result in check["results"]:
        if result["id"] == value and ("from" in result or "to" in result):
            return float(result.get("from", -np.inf)), float(result.get("to", np.inf))
    return None
