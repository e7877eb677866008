"""A club entry, in the trade's units, as a club of the geometry, in SI."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.engine.geometry.club import Club, Delivery, Head
from arclore.engine.geometry.setup import SetUp

SCALES = {"_mm": ("_m", 1e-3), "_cm": ("_m", 1e-2), "_g": ("_kg", 1e-3), "_per_cm2": ("_per_m2", 1e4)}


def in_si(numbers: Mapping[str, Any]) -> dict[str, Any]:
    """The same numbers with millimetres, centimetres and grams turned into metres and kilograms."""
    result = {}
    for name, value in numbers.items():
        for ending, (unit, scale) in SCALES.items():
            if name.endswith(ending):
                result[name.removesuffix(ending) + unit] = value * scale
                break
        else:
            result[name] = value
    return result


def head_from_entry(entry: Mapping[str, Any]) -> Head:
    """The head of a club entry; what the entry leaves out keeps the head's own default."""
    numbers = dict(entry)
    toe, up, normal = (part * 1e-7 for part in numbers.pop("inertia_gcm2"))
    return Head(inertia_kgm2=(toe, up, normal), **in_si(numbers))


def club_from_entry(entry: Mapping[str, Any], member: str | None = None) -> Club:
    """The club of an entry, or one of its members by id, with the member's own loft, lie and length.

    A member's dynamic loft differs from the family's by as much as its loft does, and its speed goes with
    its length. Raises KeyError, naming the members there are, for a member the entry does not list.
    """
    own: Mapping[str, Any] = entry
    if member is not None:
        members = {item["id"]: item for item in entry["members"]}
        if member not in members:
            raise KeyError(f"{entry['id']} has no member {member!r}: it has {', '.join(members)}")
        own = members[member]
    stronger = own["loft_deg"] - entry["loft_deg"]
    longer = own["length_cm"] / entry["length_cm"]
    delivery = {
        level: Delivery(
            speed_mps=given["speed_mps"] * longer,
            attack_deg=given["attack_deg"],
            loft_deg=given["loft_deg"] + stronger,
        )
        for level, given in entry["delivery"].items()
    }
    return Club(
        id=own["id"],
        family=entry["id"],
        loft_deg=own["loft_deg"],
        lie_deg=own["lie_deg"],
        length_m=own["length_cm"] * 1e-2,
        plane_deg=entry["plane_deg"],
        arc_radius_m=entry["arc_radius_cm"] * 1e-2,
        head=head_from_entry(entry["head"]),
        standard=SetUp(**in_si(entry["set_up"])),
        delivery=delivery,
        played_from=entry["played_from"],
    )


def clubs_by_name(entries: Mapping[str, Mapping[str, Any]]) -> dict[str, Club]:
    """Every family and every member of these club entries, by id."""
    clubs = {}
    for name, entry in entries.items():
        for item in entry["members"]:
            clubs[item["id"]] = club_from_entry(entry, item["id"])
        clubs[name] = club_from_entry(entry)
    return clubs
