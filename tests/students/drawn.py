"""Students drawn by a library's own prior, and what each says of the ball: many at once, through the full geometry.

A student is a set of none to three acting causes with a size each, a deviation of the player and of each club, and
blurred borders of words. What the typical ball does is played by ``deliver`` and ``shot`` and put into words: start and
bend of a sound strike, height, contact and turf of the ball as struck. None of the tables that the ranking looks things
up in is used here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import amounts, moved
from arclore.engine.diagnosis.sound import sound_strike
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import CONTACTS, TURFS, Delivered, Swing, deliver, shot
from arclore.engine.geometry.strike import side_of_face
from arclore.engine.quantities import Array

from tests.diagnosis.brute_force import BLURRED, INPUTS, playable, usual_height_log

CLUBS = ("driver", "mid-iron")
MOST_ACTING = 3
CHUNK = 50_000  # students drawn at a time
STARTS = ("left", "on-line", "right")
CURVES = ("left-strong", "left-slight", "none", "right-slight", "right-strong")
HEIGHTS = ("low", "normal", "high")
PARTS = ("middle", "toe", "heel", "shank")
SAID = {"start": STARTS, "curve": CURVES, "height": HEIGHTS, "contact": CONTACTS, "part": PARTS, "turf": TURFS}
OF_DIRECTION = ("start", "curve")
Ints = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Change:
    """How students differ from what the library says: factors (causes,) on the shifts; 1 where it is right."""

    shifts: Array


@dataclass(frozen=True)
class Drawn:
    """Students. members: (n, 3) indices of acting members, the model's ``unlisted`` among them, -1 where none.

    said: club -> variable -> code (n,) into SAID. true: club -> measured quantity -> its true value (n,).
    """

    members: Ints
    said: Mapping[str, Mapping[str, Ints]]
    true: Mapping[str, Mapping[str, Array]]

    def __len__(self) -> int:
        return len(self.members)

    def keys(self) -> Array:
        """One number (n,) for all that a student says: equal where the words are."""
        key = np.zeros(len(self), dtype=np.int64)
        for words in self.said.values():
            for variable, options in SAID.items():
                key = key * len(options) + words[variable]
        return key

    def case(self, k: int, level: str) -> dict[str, Any]:
        """What student k says, as the input of a triage."""
        shots = []
        for club, words in self.said.items():
            word = {variable: options[words[variable][k]] for variable, options in SAID.items()}
            side, _, bend = word["curve"].partition("-")
            shots.append(
                {
                    "club": club,
                    "start": word["start"],
                    "curve": side,
                    **({"bend": bend} if bend else {}),
                    "height": word["height"],
                    "contact": _contact(word["contact"], word["part"]),
                    "turf": [word["turf"]],
                }
            )
        return {"handed": "right", "level": level, "shots": shots}


def _contact(contact: str, part: str) -> list[str]:
    if part == "shank":
        return ["shank"]
    return [contact] if part == "middle" else [contact, part]


def draw(model: Model, count: int, random: np.random.Generator, change: Change | None = None) -> Drawn:
    """Students of the model's clubs and level."""
    parts = [
        _some(model, min(CHUNK, count - first), random, change or Change(np.ones(model.unlisted)))
        for first in range(0, count, CHUNK)
    ]
    return joined(parts)


def joined(parts: Sequence[Drawn]) -> Drawn:
    """Several lots of students as one."""

    def together(tables: Sequence[Mapping[str, Mapping[str, Any]]]) -> dict[str, dict[str, Any]]:
        first = tables[0]
        return {club: {name: np.concatenate([t[club][name] for t in tables]) for name in first[club]} for club in first}

    members = np.concatenate([part.members for part in parts])
    return Drawn(members, together([part.said for part in parts]), together([part.true for part in parts]))


def chosen(drawn: Drawn, which: Any) -> Drawn:
    """Some of the students: a mask or indices."""

    def of(tables: Mapping[str, Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
        return {club: {name: row[which] for name, row in rows.items()} for club, rows in tables.items()}

    return Drawn(drawn.members[which], of(drawn.said), of(drawn.true))


def acting(model: Model, count: int, random: np.random.Generator) -> Ints:
    """Sets of members (n, 3) by the prior: how many act, then which, by weight among the allowed sets; -1 fills."""
    sizes = random.choice(len(model.settings["acting_causes"]), count, p=_shares(model.settings["acting_causes"]))
    clashing = forbidden(model)
    members: Ints = np.full((count, MOST_ACTING), -1, dtype=np.intp)
    waiting = np.flatnonzero(sizes)
    while len(waiting):
        tried = random.choice(model.unlisted + 1, (len(waiting), MOST_ACTING), p=model.weights)
        tried[np.arange(MOST_ACTING) >= sizes[waiting, None]] = -1
        members[waiting] = tried
        first, second, third = tried.T
        clash = clashing[first, second] | clashing[first, third] | clashing[second, third]
        waiting = waiting[clash]
    return members


def _shares(values: Sequence[float]) -> Array:
    return np.asarray(values, dtype=float) / np.sum(values)


def forbidden(model: Model) -> npt.NDArray[np.bool_]:
    """(members + 1, members + 1): pairs that cannot act together, a member with itself included; the last is "none"."""
    result = np.eye(model.unlisted + 2, dtype=bool)
    result[-1, -1] = False
    for i, candidate in enumerate(model.candidates):
        for other in candidate.entry.get("exclusive_with", ()):
            if other in model.place:
                result[i, model.place[other]] = result[model.place[other], i] = True
    return result


def _some(model: Model, count: int, random: np.random.Generator, change: Change) -> Drawn:
    return with_causes(model, acting(model, count, random), random, change)


def with_causes(
    model: Model, members: Ints, random: np.random.Generator, change: Change, others: Drawn | None = None
) -> Drawn:
    """Students in whom these members act (n, 3). others: of whom the wrong words are, one another's where not given."""
    count = len(members)
    played, strength = _as_played(model, members, random, change)
    own = {name: random.normal(size=count) for name in INPUTS}
    said, true = {}, {}
    for name in CLUBS:
        said[name], true[name] = _with_club(model, model.conditions[name], played, strength, own, random)
    wrong = said if others is None else others.said
    return Drawn(members, _with_errors(said, wrong, model.settings["statement"]["label_error"], random), true)


def _as_played(model: Model, members: Ints, random: np.random.Generator, change: Change) -> tuple[Ints, Array]:
    """The causes that are played, (n, 3), and how strongly; something not listed moves as a listed cause, either way.

    A size is gamma distributed with mean 1 and the cause's own spread.
    """
    unlisted = members == model.unlisted
    listed = model.weights[:-1] / model.weights[:-1].sum()
    played = np.where(unlisted, random.choice(model.unlisted, members.shape, p=listed), members)
    spread = np.append([candidate.size_spread for candidate in model.candidates], 0.0)[played]
    shape = 1.0 / np.maximum(spread, 1e-3) ** 2
    size = np.where(spread > 0, random.gamma(shape) / shape, 1.0)
    way = np.where(unlisted, random.choice([-1.0, 1.0], members.shape), 1.0)
    return played, size * way * np.append(change.shifts, 0.0)[played]


def _with_club(
    model: Model,
    condition: Condition,
    played: Ints,
    strength: Array,
    own: Mapping[str, Array],
    random: np.random.Generator,
) -> tuple[dict[str, Ints], dict[str, Array]]:
    """What students say of this club's typical ball, and the true delivery behind it."""
    count = len(played)
    spreads = model.settings["spreads"]
    total = {
        name: spreads["own"][condition.level][name] * own[name]
        + spreads["club"][condition.level][name] * random.normal(size=count)
        for name in INPUTS
    }
    for name, by_cause in _amounts(model, condition.club.family).items():
        total[name] = total.get(name, 0.0) + (by_cause[played] * strength).sum(axis=1)
    blurred = {
        name: value + model.settings["blur"].get(BLURRED.get(name, ""), 0.0) * random.normal(size=count)
        for name, value in total.items()
    }
    true = _delivered(condition, *_swung(condition, total))
    return _words(condition, *_swung(condition, blurred)), true


def _amounts(model: Model, family: str) -> dict[str, Array]:
    """What each cause moves with a club family: input -> (causes + 1,), the last one nothing."""
    result: dict[str, Array] = {}
    for i, candidate in enumerate(model.candidates):
        for name, amount in amounts(candidate.entry, family).items():
            result.setdefault(name, np.zeros(len(model.candidates) + 1))[i] = amount
    return result


def _swung(condition: Condition, change: Mapping[str, Array]) -> tuple[Swing, SetUp, Delivered]:
    swing, set_up = moved(condition.swing, condition.set_up, condition.club, change)
    swing, set_up = playable(swing), playable(set_up)
    delivered = deliver(swing, set_up, condition.club)
    rows = next(iter(change.values())).shape
    whole = {f.name: np.broadcast_to(getattr(delivered, f.name), rows) for f in fields(delivered)}
    return swing, set_up, replace(delivered, **whole)


def _delivered(condition: Condition, swing: Swing, set_up: SetUp, delivered: Delivered) -> dict[str, Array]:
    """The true values of what a coach can measure."""
    return {
        "path_deg": delivered.path_deg,
        "face_deg": delivered.face_deg,
        "face_to_path_deg": delivered.face_deg - delivered.path_deg,
        "swing_direction_deg": delivered.swing_direction_deg,
        "attack_deg": delivered.attack_deg,
        "low_point_cm": delivered.low_point_m * 100.0,
        "low_point_body_cm": (delivered.low_point_m + set_up.ball_position_m) * 100.0,
        "strike_toe_mm": delivered.strike_toe_m * 1000.0,
    }


def _words(condition: Condition, swing: Swing, set_up: SetUp, delivered: Delivered) -> dict[str, Ints]:
    """Codes of the words that these balls are told in."""
    border = condition.settings["borders"]
    played = shot(swing, set_up, condition.club, flight=True)
    assert played.apex_m is not None and played.carry_m is not None
    sound = sound_strike(delivered, condition.club, np.broadcast_to(swing.speed_mps, delivered.attack_deg.shape))
    height = np.log(np.maximum(played.apex_m, 0.01) / np.maximum(played.carry_m, 1.0)) - usual_height_log(condition)
    side = np.asarray(side_of_face(played.strike_toe_m, condition.club.head))
    slight, strong = border["curve_share"], border["strong_curve_share"]
    return {
        "start": np.searchsorted([-border["start_deg"], border["start_deg"]], sound.start_deg),
        "curve": np.searchsorted([-strong, -slight, slight, strong], sound.bend),
        "height": np.searchsorted([border["low_height_log"], border["high_height_log"]], height),
        "contact": np.asarray(played.contact, dtype=np.intp),
        "part": np.argmax([side == part for part in PARTS], axis=0),
        "turf": np.asarray(played.turf, dtype=np.intp),
    }


def _with_errors(
    said: Mapping[str, Mapping[str, Ints]],
    others: Mapping[str, Mapping[str, Ints]],
    error: float,
    random: np.random.Generator,
) -> dict[str, dict[str, Ints]]:
    """The words, those of direction or of strike being another student's in the share of clubs that are told wrong."""
    result = {}
    for club, words in said.items():
        count = len(words["start"])
        wrong = [random.random(count) < error for _ in range(2)]
        other = random.integers(len(others[club]["start"]), size=count)
        result[club] = {
            variable: np.where(wrong[variable in OF_DIRECTION], others[club][variable][other], codes)
            for variable, codes in words.items()
        }
    return result
