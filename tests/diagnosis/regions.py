"""Every cause against every word, one ball at a time: the fields of the ranking against Monte Carlo.

``python -m tests.diagnosis.regions [CLUB ...]`` plays each cause 20,000 times through the full geometry (size, the
player's own, the club's and the ball's spread) and prints how far the fields are off, with the noise of the playing.
Words of direction are counted over sound strikes, as the ranking means them, size by size: a player with a large fault
tells of the few sound balls he has as one with a small fault does of his many.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from arclore.engine.diagnosis.condition import BLOCK_OF, Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import FULL_SWING, amounts, moved
from arclore.engine.geometry.shot import CONTACTS, TURFS, shot, side_of_face
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array
from scipy.special import gammaincinv

from tests.diagnosis.brute_force import INPUTS, height_log, playable, usual_height_log

LIMIT = 0.03
SIZES = 50  # of a cause, that balls are counted by
SHOWN = 8
WORDS = (
    ("start", "left"),
    ("start", "right"),
    ("curve", "left"),
    ("curve", "right"),
    ("finish", "left"),
    ("finish", "right"),
    ("contact", "fat"),
    ("contact", "thin"),
    ("contact", "top"),
    ("turf", "none"),
    ("turf", "behind"),
    ("height", "low"),
    ("height", "high"),
    ("face_part", "heel"),
    ("face_part", "toe"),
)


@dataclass(frozen=True)
class Miss:
    """One cause and word: Monte Carlo's share and the field's."""

    cause: str
    word: str
    played: float
    noise: float  # one standard error of what was played
    field: float

    @property
    def size(self) -> float:
        return abs(self.played - self.field)


def misses(family: str, level: str, balls: int, seed: int = 1) -> list[Miss]:
    """All causes and words of a club, in the library's order."""
    library = load_library()
    club = club_from_entry(library.clubs[family])
    condition = Condition(club, level, club.standard, library.settings, family)
    model = Model(library.causes, library.settings, [family], {family: condition}, level)
    random = np.random.default_rng(seed)
    found = []
    for i, candidate in enumerate(model.candidates):
        if candidate.either_way or not candidate.entry.get("moves"):
            continue
        flags = _played(condition, candidate.entry, candidate.size_spread, balls, random)
        for (variable, value), (flag, told) in zip(WORDS, flags, strict=True):
            field = _field(model, condition, family, i, variable, value)
            found.append(Miss(candidate.id, f"{variable} {value}", *_share(flag, told), field))
    return found


def _share(flag: Array, told: Array) -> tuple[float, float]:
    """How often a word is true of the balls it is told of, every size counting alike, and the standard error."""
    true, all_of = ((one.reshape(SIZES, -1)).sum(axis=1) for one in (flag & told, told))
    some = all_of > 0
    true, all_of = true[some], all_of[some]
    likely = (true + 1.0) / (all_of + 2.0)
    return float((true / all_of).mean()), float(np.sqrt((likely * (1 - likely) / all_of).sum()) / len(true))


def _field(model: Model, condition: Condition, family: str, i: int, variable: str, value: str) -> float:
    block = BLOCK_OF[variable]
    grid = condition.grids[block]
    variance = sum(condition.spread(kind)[block] ** 2 for kind in ("own", "club", "scatter"))
    spread = np.sqrt(variance + model.added_variance[family][block][i])
    points = condition.fault_free_point[block] + model.shifts[family][block][i]
    bends = condition.bend_class(model.bend_logs[family][i])
    fields = [grid.blurred(condition.region(variable, value, int(bend)), spread) for bend in bends]
    places, shares = grid.corners(points)
    values = [field.ravel()[place] @ share for field, place, share in zip(fields, places.T, shares.T, strict=True)]
    return float(model.size_weights[i] @ values)


def _played(
    condition: Condition, cause: dict[str, object], spread: float, balls: int, random: np.random.Generator
) -> list[tuple[Array, Array]]:
    """Word by word: which balls it is true of, and which it is told of; balls in order of size."""
    spreads = condition.settings["spreads"]
    change: dict[str, Array] = {}
    for name in INPUTS:
        variance = sum(spreads[kind][condition.level][name] ** 2 for kind in ("own", "club", "scatter"))
        change[name] = random.normal(0.0, np.sqrt(variance), balls)
    shape = 1 / max(spread, 1e-3) ** 2
    size = gammaincinv(shape, (np.arange(balls) + random.random(balls)) / balls) / shape
    for name, amount in amounts(cause, condition.club.family).items():
        change[name] = change.get(name, np.zeros(balls)) + amount * size
    for name, sd in amounts(cause, condition.club.family, "sd").items():
        change[name] = change.get(name, np.zeros(balls)) + random.normal(0.0, sd, balls)
    swing, set_up = moved(condition.swing, condition.set_up, condition.club, change)
    swing, set_up = playable(swing), playable(set_up)
    played = shot(swing, set_up, condition.club, flight=True)
    border = condition.settings["borders"]
    side = side_of_face(played.strike_toe_m, condition.club.head)
    sound = (played.contact == 0) & (side != "shank")
    far = np.maximum(np.hypot(played.carry_m, played.side_m), 1e-6)
    amount = {
        "start": played.start_deg / border["start_deg"],
        "curve": played.curve_m / far / border["curve_share"],
        "finish": played.side_m / np.maximum(played.carry_m, 1e-6) / border["finish_share"],
    }
    height = height_log(played) - usual_height_log(condition)
    every = np.ones(balls, dtype=bool)
    flags = []
    for variable, value in WORDS:
        if variable in amount:
            x = amount[variable]
            flags.append((x < -1 if value == "left" else x > 1, sound))
        elif variable == "height":
            far_off = height < border["low_height_log"] if value == "low" else height > border["high_height_log"]
            flags.append((far_off, every))
        elif variable == "contact":
            flags.append((played.contact == CONTACTS.index(value), every))
        elif variable == "turf":
            flags.append((played.turf == TURFS.index(value), every))
        else:
            flags.append((side == value, every))
    return flags


def far_off(found: list[Miss]) -> list[Miss]:
    """Those off by more than 0.03, the worst first."""
    return sorted((miss for miss in found if miss.size > LIMIT), key=lambda miss: -miss.size)


def summary(found: list[Miss]) -> tuple[float, float, float]:
    """Mean size, share within 0.03, largest."""
    sizes = np.array([miss.size for miss in found])
    return float(sizes.mean()), float((sizes <= LIMIT).mean()), float(sizes.max())


def main(families: list[str]) -> int:
    for family in families or FULL_SWING:
        found = misses(family, "intermediate", 20_000)
        mean, within, largest = summary(found)
        print(f"{family}: mean difference {mean:.4f}, within {LIMIT} {within:.3f}, largest {largest:.3f}")
        worst = far_off(found)
        print(f"  {len(found)} of cause x word, {len(worst)} off by more; +- is three standard errors of the playing:")
        for miss in worst[:SHOWN]:
            print(
                f"  {miss.cause}, {miss.word}: played {miss.played:.3f} +- {3 * miss.noise:.3f}, field {miss.field:.3f}"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
