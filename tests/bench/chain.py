"""Impacts per second, and the whole chain for many causes through every club."""

from __future__ import annotations

import resource
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from arclore.engine.geometry.impact import impact
from arclore.engine.geometry.shot import fault_free, shot
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.read import read_yaml

IMPACTS = 100_000
CAUSES, SAMPLES = 160, 500


def impacts_per_second() -> float:
    """Off-centre hits of a curved face, gripping and sliding."""
    rng = np.random.default_rng(1)
    speed, loft, face, path, toe = rng.uniform([25, 8, -6, -6, -0.02], [50, 50, 6, 6, 0.02], (IMPACTS, 5)).T
    began = time.perf_counter()
    for first in range(0, IMPACTS, 10_000):
        rows = slice(first, first + 10_000)
        impact(
            speed_mps=speed[rows],
            attack_deg=-3.0,
            path_deg=path[rows],
            face_deg=face[rows],
            dynamic_loft_deg=loft[rows],
            head_mass_kg=0.26,
            head_inertia_kgm2=(6.5e-5, 2.5e-4, 2.9e-4),
            head_depth_m=0.006,
            strike_toe_m=toe[rows],
            friction=0.3,
            restitution=0.79,
        )
    return IMPACTS / (time.perf_counter() - began)


def run() -> list[str]:
    rng = np.random.default_rng(2)
    clubs = []
    for path in sorted((Path(__file__).parents[2] / "kb" / "clubs").glob("*.yaml")):
        document, _ = read_yaml(path)
        assert document is not None
        clubs.append(club_from_entry(document.value))
    count = CAUSES * SAMPLES
    began = time.perf_counter()
    for club in clubs:
        swing = fault_free(club, "intermediate")
        spread = {
            "swing_direction_deg": 4,
            "low_point_m": 0.04,
            "arc_height_m": 0.006,
            "face_deg": 4,
            "loft_deg": 3,
        }
        moved = {name: getattr(swing, name) + rng.normal(0, sd, count) for name, sd in spread.items()}
        shot(replace(swing, strike_toe_m=rng.normal(0, 0.008, count), **moved), club.standard, club)
    took = time.perf_counter() - began
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return [
        f"impacts per second: {impacts_per_second():,.0f}",
        f"{CAUSES} causes x {len(clubs)} clubs x {SAMPLES} samples, quick flight: {took:.2f} s (aim 5 s)",
        f"peak memory {memory} MB",
    ]
