"""The impact against a full momentum solve written here: 15 linear equations of motion, gripping or sliding."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from arclore.engine.geometry.impact import BALL_INERTIA_KGM2, impact
from arclore.engine.quantities import BALL_MASS_KG, BALL_RADIUS_M


def unit(up_deg: Any, right_deg: Any) -> np.ndarray:
    up, right = np.radians(up_deg), np.radians(right_deg)
    return np.stack([np.cos(up) * np.cos(right), -np.cos(up) * np.sin(right), np.sin(up) + 0 * right])


def momentum_solve(case: dict[str, float], inertia: np.ndarray) -> tuple[np.ndarray, np.ndarray, float, bool]:
    """Ball velocity, ball spin, energy lost, sliding: 15 linear equations of motion in a right-handed frame.

    Unknown: velocity and spin of the ball, velocity and turn of the head, impulse. Frame: heel, up, out.
    """
    loft, face = math.radians(case["loft"]), math.radians(case["face"])
    out = np.array([math.cos(loft) * math.cos(face), -math.cos(loft) * math.sin(face), math.sin(loft)])
    heel = np.array([math.sin(face), math.cos(face), 0.0])
    up = np.cross(out, heel)
    axes = np.stack([heel, up, out])  # rows
    club = axes @ (case["speed"] * unit(case["attack"], case["path"]))
    bulge, roll = math.asin(case["toe"] / case["bulge"]), math.asin(case["up"] / case["roll"])
    n = np.array([-math.sin(bulge), math.cos(bulge) * math.sin(roll), math.cos(bulge) * math.cos(roll)])
    to_contact = np.array([-case["toe"], case["up"], case["depth"]])
    to_ball = -BALL_RADIUS_M * n
    m, mass = BALL_MASS_KG, case["mass"]

    def hat(v: np.ndarray) -> np.ndarray:
        return np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])

    eye, none = np.eye(3), np.zeros((3, 3))
    motion = np.block(
        [
            [m * eye, none, none, none, -eye],
            [none, BALL_INERTIA_KGM2 * eye, none, none, -hat(to_ball)],
            [none, none, mass * eye, none, eye],
            [none, none, none, np.diag(inertia), hat(to_contact)],
        ]
    )
    known = np.concatenate([np.zeros(6), mass * club, np.zeros(3)])
    relative = np.hstack([eye, -hat(to_ball), -eye, hat(to_contact), none])  # contact velocity, ball against club
    before = -club
    project = np.outer(n, n)
    after = -(case["e"] * project + case["e_t"] * (eye - project)) @ before
    solved = np.linalg.solve(np.vstack([motion, relative]), np.concatenate([known, after]))
    j = solved[12:]
    j_n = j @ n
    slip = before - (before @ n) * n
    sliding = float(np.linalg.norm(j - j_n * n)) > case["mu"] * j_n
    if sliding:
        s = -slip / np.linalg.norm(slip)
        along = n + case["mu"] * s
        rows = np.zeros((3, 15))
        first, second = np.linalg.svd(along[None])[2][1:]  # the impulse has no part across its line
        rows[0, 12:], rows[1, 12:] = first, second
        rows[2] = n @ relative
        solved = np.linalg.solve(np.vstack([motion, rows]), np.concatenate([known, [0, 0, -case["e"] * (before @ n)]]))
    ball, spin, head, turn = solved[:3], solved[3:6], solved[6:9], solved[9:12]
    after_j = m * ball @ ball + BALL_INERTIA_KGM2 * spin @ spin + mass * head @ head + turn @ (inertia * turn)
    return axes.T @ ball, axes.T @ spin, 0.5 * (mass * club @ club - after_j), sliding


def test_random_hits_against_a_full_momentum_solve() -> None:
    """2,000 off-centre hits of curved faces, gripping and sliding; no hit makes energy."""
    rng = np.random.default_rng(20)
    low_high = {
        "speed": (15, 55),
        "attack": (-9, 7),
        "path": (-12, 12),
        "face": (-12, 12),
        "loft": (5, 58),
        "mass": (0.18, 0.32),
        "depth": (0.002, 0.045),
        "toe": (-0.03, 0.03),
        "up": (-0.02, 0.02),
        "bulge": (0.2, 0.5),
        "roll": (0.2, 0.5),
        "e": (0.6, 0.85),
        "e_t": (-0.2, 0.2),
        "mu": (0.05, 0.5),
    }
    count = 2000
    drawn = {name: rng.uniform(*span, count) for name, span in low_high.items()}
    inertia = rng.uniform([2.0e-4, 3.0e-4, 3.0e-4], [3.5e-4, 5.9e-4, 4.5e-4], (count, 3))
    hit = impact(
        speed_mps=drawn["speed"],
        attack_deg=drawn["attack"],
        path_deg=drawn["path"],
        face_deg=drawn["face"],
        dynamic_loft_deg=drawn["loft"],
        head_mass_kg=drawn["mass"],
        head_inertia_kgm2=tuple(inertia.T),
        head_depth_m=drawn["depth"],
        strike_toe_m=drawn["toe"],
        strike_up_m=drawn["up"],
        bulge_m=drawn["bulge"],
        roll_m=drawn["roll"],
        restitution=drawn["e"],
        tangential_restitution=drawn["e_t"],
        friction=drawn["mu"],
    )
    balls, spins = np.stack(hit.ball_velocity_mps), np.stack(hit.ball_spin_rad_s)
    for i in range(count):
        case = {name: float(values[i]) for name, values in drawn.items()}
        ball, spin, lost, sliding = momentum_solve(case, inertia[i])
        assert balls[:, i] == pytest.approx(ball, rel=1e-9, abs=1e-9)
        assert spins[:, i] == pytest.approx(spin, rel=1e-9, abs=1e-7)
        assert hit.energy_lost_j[i] == pytest.approx(lost, rel=1e-8, abs=1e-9)
        assert bool(hit.sliding[i]) == sliding
    assert hit.energy_lost_j.min() >= 0
    assert 300 < hit.sliding.sum() < 1700  # both kinds were tried
