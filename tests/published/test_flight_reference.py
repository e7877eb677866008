"""The flight against scipy's DOP853 with its own code for the forces, all shots in one system."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry.ball import BallModel
from arclore.engine.geometry.flight import fly
from arclore.engine.quantities import GRAVITY_MPS2 as G
from scipy.integrate import solve_ivp

MASS, RADIUS = 0.04593, 0.04267 / 2
AREA = np.pi * RADIUS**2


def reference(shots: dict[str, Any], time_s: Any, constants: bool) -> tuple[Any, Any, Any]:
    """Landing place (3, n), lowest height on the way and greatest height, by DOP853 to the landing."""
    count = time_s.size
    launch, start, tilt = (np.radians(shots[key]) for key in ("launch", "start", "tilt"))
    heading = np.stack(
        [np.cos(launch) * np.cos(start), -np.cos(launch) * np.sin(start), np.sin(launch)], axis=1
    )
    level = np.stack([-np.sin(start), -np.cos(start), np.zeros(count)], axis=1)
    axis = np.cos(tilt)[:, None] * level - np.sin(tilt)[:, None] * np.cross(level, heading)
    wind = np.stack([shots["along"], -shots["across"], np.zeros(count)], axis=1)
    ball = BallModel()

    def rate(_: float, flat: Any) -> Any:
        state = flat.reshape(7, count)
        velocity, omega = state[3:6].T, state[6]
        air = velocity - wind
        speed = np.linalg.norm(air, axis=1)
        across = np.cross(axis, air)
        size = np.linalg.norm(across, axis=1)
        if constants:
            drag, lift = shots["drag"], shots["lift"]
        else:
            drag = ball.drag(1.225 * speed * 2 * RADIUS / 1.7894e-5, RADIUS * omega / speed)
            lift = ball.lift(RADIUS * omega * size / speed**2)
        force = (
            0.5
            * 1.225
            * AREA
            / MASS
            * speed[:, None]
            * (lift[:, None] * speed[:, None] * across / size[:, None] - drag[:, None] * air)
        )
        result = np.empty_like(state)
        result[:3] = velocity.T
        result[3:6] = force.T
        result[5] -= G
        result[6] = -shots["decay"] * speed * omega
        return (result * time_s).ravel()  # one unit of the common time is each shot's own flight

    begin = np.zeros((7, count))
    begin[3:6] = (shots["speed"][:, None] * heading).T
    begin[6] = shots["rpm"] * np.pi / 30
    when = np.linspace(0, 1, 41)
    solution = solve_ivp(rate, (0, 1), begin.ravel(), "DOP853", when, rtol=1e-9, atol=1e-9)
    course = solution.y.reshape(7, count, when.size)
    end = course[:, :, -1]
    place = end[:3] - end[3:6] * (end[2] / end[5])  # the last millimetres, straight on
    return place, course[2, :, 1:-1].min(axis=1), course[2].max(axis=1)


@pytest.mark.parametrize("constants", [False, True])
def test_two_thousand_random_shots_against_dop853(constants: bool) -> None:
    """Wind, tilt, decay; fine within 0.01 m of scipy's DOP853 (rtol = atol = 1e-9), quick within 0.25 m."""
    rng = np.random.default_rng(7)
    low = [28, 5, -15, 800, -30, -9, -9, 0.15, 0.02, 0.0]
    high = [85, 45, 15, 10000, 30, 9, 9, 0.40, 0.33, 2e-3]
    names = ("speed", "launch", "start", "rpm", "tilt", "along", "across", "drag", "lift", "decay")
    shots = dict(zip(names, rng.uniform(low, high, (2000, 10)).T, strict=True))
    given_coefficients = (
        {"drag_coefficient": shots["drag"], "lift_coefficient": shots["lift"]} if constants else {}
    )

    def flown(how: Any) -> Any:
        return fly(
            *(shots[key] for key in names[:5]),
            wind_along_mps=shots["along"], wind_across_mps=shots["across"],
            spin_decay_per_m=shots["decay"], accuracy=how, **given_coefficients,
        )  # fmt: skip

    fine, quick = flown("fine"), flown("quick")
    place, lowest, highest = reference(shots, fine.time_s, constants)
    assert (lowest > 0.0).all(), "landed before the first landing"
    assert np.abs(place[2]).max() < 1e-6
    for flight, tolerance in ((fine, 0.01), (quick, 0.25)):
        assert np.hypot(flight.carry_m - place[0], flight.side_m + place[1]).max() < tolerance
    assert (fine.apex_m > highest - 0.01).all()
    assert (
        fine.apex_m < highest + 0.15
    ).all()  # the reference is sampled, so its greatest height is a little low
