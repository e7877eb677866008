"""What a person stated for ``predict``, in SI units, each number in its range, no two saying the same thing."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from arclore.engine.geometry.check import LIMITS, check_inertia
from arclore.tui.command.exits import WrongUseError
from arclore.tui.command.page import say
from arclore.tui.command.parser import finite
from arclore.tui.command.quantities import (
    AIR,
    BALL,
    BODY,
    DELIVERED,
    FLIGHT,
    G_CM2,
    HEAD,
    INERTIA,
    SET_UP,
    SWING,
    Quantity,
)

MOST_INERTIA_GCM2 = 1e6
WORDS = {
    "level": ("novice", "intermediate", "skilled"),
    "surface": ("soft", "fairway", "firm"),
    "accuracy": ("fine", "quick"),
}
RIVALS = (
    ({"attack_deg", "low_point_cm", "arc_radius_m"}, "each two give the third by the arc's plane"),
    ({"path_deg", "swing_direction_deg"}, "each gives the other by attack and plane"),
)


@dataclass(frozen=True)
class Stated:
    """The numbers by group and by field, in SI; an empty group says nothing."""

    swing: Mapping[str, float] = field(default_factory=dict)
    body: Mapping[str, float] = field(default_factory=dict)
    set_up: Mapping[str, float] = field(default_factory=dict)
    delivered: Mapping[str, float] = field(default_factory=dict)
    head: Mapping[str, float] = field(default_factory=dict)
    inertia_kgm2: tuple[float, float, float] | None = None
    ball: Mapping[str, float] = field(default_factory=dict)
    flight: Mapping[str, float] = field(default_factory=dict)
    air: Mapping[str, float] = field(default_factory=dict)
    club: str | None = None
    level: str = "intermediate"
    surface: str = "fairway"
    accuracy: str = "fine"

    @property
    def by_delivery(self) -> bool:
        """Whether the shot is said by what the club delivers, not by a swing in a set-up."""
        standing = self.set_up or self.body
        return bool(self.delivered) or (not standing and bool(self.head or self.inertia_kgm2))


def stated_in(given: argparse.Namespace) -> Stated:
    """What the flags state. Raises WrongUseError in one line for what is out of range or said twice."""
    for name, known in WORDS.items():
        value = getattr(given, name)
        if value is not None and value not in known:
            raise _wrong(f"--{name}: {value!r} is none of {', '.join(known)}")
    said = {q.name for group in _ALL for q in group if getattr(given, q.name) is not None}
    if getattr(given, INERTIA) is not None:
        said.add(INERTIA)
    _not_twice(said, bool(given.club or given.level))
    words: dict[str, str] = {name: value for name in WORDS if (value := getattr(given, name)) is not None}
    return Stated(
        swing=_group(given, SWING),
        body=_group(given, BODY),
        set_up=_group(given, SET_UP),
        delivered=_group(given, DELIVERED),
        head=_group(given, HEAD),
        inertia_kgm2=_inertia(getattr(given, INERTIA)),
        ball=_group(given, BALL),
        flight=_group(given, FLIGHT),
        air=_group(given, AIR),
        club=given.club,
        **words,
    )


_ALL = (SWING, BODY, SET_UP, DELIVERED, HEAD, BALL, FLIGHT, AIR)


def _wrong(message: str) -> WrongUseError:
    return WrongUseError(f"arclore predict: {message}")


def _flags(names: Iterable[str]) -> str:
    return ", ".join("--" + name.replace("_", "-") for name in sorted(names))


def _not_twice(said: set[str], club: bool) -> None:
    """Refuse numbers that say the same thing in two ways."""
    for rivals, why in RIVALS:
        if rivals <= said:
            raise _wrong(f"{_flags(rivals)}: {why}; leave one out")
    names = {id(group): {q.name for q in group} & said for group in _ALL}
    delivered, standing = names[id(DELIVERED)], names[id(SET_UP)] | names[id(BODY)]
    if delivered and standing:
        raise _wrong(f"{_flags(delivered)} follows from the set-up; leave it or {_flags(standing)} out")
    ball = names[id(BALL)]
    struck = names[id(SWING)] | names[id(HEAD)] | delivered | standing | (said & {INERTIA})
    if ball and (struck or club):
        other = _flags(struck) if struck else "--club and --level"
        raise _wrong(f"{_flags(ball)} state the ball alone; leave {other} out")
    if ball and not {"ball_speed_mps", "launch_deg"} <= ball:
        raise _wrong(f"the ball alone needs {_flags({'ball_speed_mps', 'launch_deg'} - ball)}")
    air = names[id(AIR)]
    if "air_density_kgm3" in air and len(air) > 1:
        raise _wrong(f"--air-density-kgm3: {_flags(air - {'air_density_kgm3'})} would make a density too")


def _group(given: argparse.Namespace, group: tuple[Quantity, ...]) -> dict[str, float]:
    return {q.field: _checked(q, getattr(given, q.name)) for q in group if getattr(given, q.name) is not None}


def _checked(quantity: Quantity, value: float) -> float:
    """The value in SI; the range is the geometry's, told in the unit of the flag."""
    if quantity.field in LIMITS and quantity not in (*FLIGHT, *AIR):
        low, high = (limit / quantity.scale for limit in LIMITS[quantity.field])
        if not low - 1e-9 <= value <= high + 1e-9:
            raise _wrong(f"{quantity.flag} is {value:g}; give a number from {low:g} to {high:g}")
    return value * quantity.scale


def _inertia(words: list[str] | None) -> tuple[float, float, float] | None:
    """Three moments, in separate words or one with commas, as kg m2."""
    if words is None:
        return None
    try:
        numbers = [finite(part) for part in " ".join(words).replace(",", " ").split()]
    except argparse.ArgumentTypeError as problem:
        raise _wrong(f"--head-inertia-gcm2: {problem}") from None
    if len(numbers) != 3:
        raise _wrong(f"--head-inertia-gcm2: {len(numbers)} given; three are needed, about toe, up and normal")
    if not all(0.0 < number <= MOST_INERTIA_GCM2 for number in numbers):
        raise _wrong(f"--head-inertia-gcm2: each must be above 0 and at most {MOST_INERTIA_GCM2:g}")
    toe, up, normal = (number * G_CM2 for number in numbers)
    try:
        check_inertia((toe, up, normal))
    except ValueError:
        say("--head-inertia-gcm2: no solid head has such moments; played all the same")
    return toe, up, normal
