"""Players without a fault: what each club delivers, how far it carries, and heads that are bodies."""

from __future__ import annotations

from dataclasses import replace

import pytest
from arclore.engine.geometry.check import check_inertia
from arclore.engine.geometry.club import LEVELS
from arclore.engine.geometry.shot import (
    TURFS,
    fault_free,
    shot,
)
from arclore.engine.library.clubs import club_from_entry, clubs_by_name

from tests.geometry.players import CLUBS, ENTRIES, contact, standard

# Attack (deg) and low point against the ball (cm) of skilled, intermediate and novice players, by family:
# ranges of common practice, no source.
ATTACK = {
    "driver": ((-3, 5), (-4, 4), (-7, 5)),
    "fairway-wood": ((-4, -1), (-4, 0), (-6, 2)),
    "hybrid": ((-5, -2), (-4, -1), (-6, 2)),
    "long-iron": ((-4, -2), (-4, 0), (-6, 2)),
    "mid-iron": ((-5, -2), (-4, -1), (-7, 2)),
    "short-iron": ((-6, -3), (-5, -1), (-8, 2)),
    "wedge": ((-7, -3), (-5, -1), (-8, 2)),
    "pitch": ((-6, -2), (-6, -2), (-6, -2)),
    "chip": ((-6, -2), (-6, -2), (-6, -2)),
}


LOW_POINT = {
    "driver": ((-20, 12), (-20, 28)),
    "fairway-wood": ((4, 14), (-7, 21)),
    "hybrid": ((7, 17), (-7, 20)),
    "long-iron": ((6, 13), (-7, 20)),
    "mid-iron": ((6, 15), (-6, 21)),
    "short-iron": ((9, 17), (-6, 23)),
    "wedge": ((8, 19), (-5, 22)),
    "pitch": ((5, 14), (5, 14)),
    "chip": ((4, 13), (4, 13)),
}


DYNAMIC_LOFT = {
    "driver": (12, 18),
    "fairway-wood": (14, 20),
    "hybrid": (17, 23),
    "long-iron": (17, 23),
    "mid-iron": (21, 28),
    "short-iron": (28, 36),
    "wedge": (38, 48),
    "pitch": (38, 52),
    "chip": (22, 45),
}


# Launch (deg), backspin (rpm) of skilled players: ranges of common practice, no source.
FLIGHT = {
    "driver": ((9, 16), (2000, 3500)),
    "fairway-wood": ((9, 14), (3000, 4500)),
    "hybrid": ((11, 17), (3800, 5200)),
    "long-iron": ((11, 16), (4000, 5500)),
    "mid-iron": ((15, 21), (5500, 7500)),
    "short-iron": ((20, 26), (7000, 9000)),
    "wedge": ((25, 33), (8000, 10500)),
    "pitch": ((26, 38), (5000, 9000)),
    "chip": ((18, 35), (1500, 4500)),
}


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("family", ATTACK)
def test_fault_free_delivery(family: str, level: str) -> None:
    club = CLUBS[family]
    hit = standard(club, level)
    low, high = ATTACK[family][("skilled", "intermediate", "novice").index(level)]
    assert low <= hit.attack_deg <= high
    low, high = LOW_POINT[family][0 if level == "skilled" else 1]
    assert low <= hit.low_point_m * 100 <= high
    assert DYNAMIC_LOFT[family][0] <= hit.dynamic_loft_deg <= DYNAMIC_LOFT[family][1]
    assert hit.path_deg == pytest.approx(0, abs=1e-9)
    assert hit.start_deg == pytest.approx(0, abs=1e-9)
    assert hit.strike_up_m == pytest.approx(0, abs=1e-12)
    assert contact(hit) == "clean"
    assert TURFS[int(hit.turf)] == ("none" if club.played_from == "tee" else "after")
    assert hit.turf_depth_m <= 0.015
    given = club.delivery[level]
    assert (hit.attack_deg, hit.dynamic_loft_deg, hit.speed_mps) == pytest.approx(
        (given.attack_deg, given.loft_deg, given.speed_mps)
    )


def test_every_member_is_struck_clean() -> None:
    clubs = clubs_by_name(ENTRIES)
    assert {"driver", "3-wood", "4-hybrid", "7-iron", "9-iron", "sand-wedge"} <= clubs.keys()
    for club in clubs.values():
        for level in LEVELS:
            assert contact(standard(club, level)) == "clean", club.id


def test_carries_grow_with_the_club_and_fit_the_players() -> None:
    """Driver over mid iron 1.3 to 1.7 (common practice, no source); clubs in order of length."""
    for level in LEVELS:
        carry = {
            name: float(shot(fault_free(club, level), club.standard, club).carry_m)  # type: ignore[arg-type]
            for name, club in CLUBS.items()
        }
        order = ["wedge", "short-iron", "mid-iron", "long-iron", "fairway-wood", "driver"]
        carries = [carry[name] for name in order]
        assert carries == sorted(carries)
        assert 1.3 < carry["driver"] / carry["mid-iron"] < 1.7


@pytest.mark.parametrize("family", FLIGHT)
def test_launch_and_spin_of_skilled_players(family: str) -> None:
    hit = standard(CLUBS[family], "skilled")
    launch, spin = FLIGHT[family]
    assert launch[0] <= hit.launch_deg <= launch[1]
    assert spin[0] <= hit.backspin_rpm <= spin[1]


def test_share_of_the_face_falls_from_driver_to_wedge() -> None:
    """Measured shares run from 0.61 to 0.83 over clubs: Wood, Henrikson, Broadie, Proceedings 2018, 2(6)
    249.
    """
    order = ["driver", "fairway-wood", "hybrid", "long-iron", "mid-iron", "short-iron", "wedge"]
    shares = [float(standard(CLUBS[name], "skilled", face_deg=0.5).start_deg) / 0.5 for name in order]
    assert shares == sorted(shares, reverse=True)
    assert 0.58 <= shares[-1] < shares[0] <= 0.86


def test_open_face_bends_a_driver_several_times_as_much_as_a_wedge() -> None:
    bend = {}
    for name in ("driver", "wedge"):
        swing = replace(fault_free(CLUBS[name], "intermediate"), face_deg=4.0)
        curve = shot(swing, CLUBS[name].standard, CLUBS[name]).curve_m
        assert curve is not None
        bend[name] = float(curve)
    assert bend["wedge"] > 0
    assert 4 < bend["driver"] / bend["wedge"] < 20


def test_unknown_member_names_the_ones_there_are() -> None:
    with pytest.raises(KeyError, match="5-iron, 6-iron, 7-iron"):
        club_from_entry(ENTRIES["mid-iron"], "12-iron")


def test_heads_are_bodies_and_within_the_rules() -> None:
    """Equipment Rules: driver inertia at most 5,900 + 100 g cm2 about the upright axis, 457 to 1219 mm of
    length.
    """
    for club in clubs_by_name(ENTRIES).values():
        check_inertia(club.head.inertia_kgm2)
        assert club.head.inertia_kgm2[1] <= 6000e-7
        assert 0.457 <= club.length_m <= 1.219
        assert club.standard.tee_height_m <= 0.1016
