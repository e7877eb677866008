"""The built-in clubs keep the limits of the rules of golf. Grade A: rules of the game, read.

Sources: R&A and USGA Equipment Rules, Part 2 (clubs) and Part 6 (tees); USGA notice on clubhead inertia (5900 + 100
g cm2, woods, about the vertical axis through the centre of mass); R&A notice 2016 on spring effect (restitution 0.822 +
0.008 for woods).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library

SHORTEST_M, LONGEST_M = 0.457, 1.219
GREATEST_INERTIA_KGM2 = (5900 + 100) * 1e-7
GREATEST_RESTITUTION = 0.822 + 0.008
RULE_SPEED_MPS = 48.8  # 160 ft/s, the speed of the test of woods; from memory, so it only warns
TALLEST_TEE_M = 0.1016
GREATEST_PUTTER_LOFT_DEG = 10.0
WOODS = ("driver", "fairway-wood")
FAMILIES = sorted(load_library().clubs)


@pytest.mark.parametrize("family", FAMILIES)
def test_clubs_are_within_the_rules(family: str, weak: Callable[..., None]) -> None:
    """Length, inertia of woods, tee and putter loft of every built-in club and member; restitution is noted."""
    entry = load_library().clubs[family]
    clubs = [club_from_entry(entry), *(club_from_entry(entry, item["id"]) for item in entry.get("members", ()))]
    for club in clubs:
        assert club.length_m >= SHORTEST_M
        assert family == "putt" or club.length_m <= LONGEST_M
        assert club.standard.tee_height_m <= TALLEST_TEE_M
        bounce = float(club.head.restitution_at(RULE_SPEED_MPS, 0.0, 0.0))
        weak(f"restitution of {club.id} at 48.8 m/s", bounce, 0.0, GREATEST_RESTITUTION, "", "R&A notice 2016", "D")
        if family in WOODS:
            assert club.head.inertia_kgm2[1] <= GREATEST_INERTIA_KGM2
        if family == "putt":
            assert club.loft_deg <= GREATEST_PUTTER_LOFT_DEG
