"""Brute force against the engine's short cuts: every typical delivery is sampled and played through the full geometry.

The engine keeps a cause at two sizes, blocks apart and each block's deviations Gaussian on a grid. Here sizes, the
player's own and each club's deviations and the blur of words are drawn (scrambled Sobol points), played with `deliver`
and a sound flight, and the words checked on each draw. ``python -m tests.diagnosis.brute_force`` prints the worst cases
with 131,072 draws a set.
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.condition import BLOCK_OF, Condition
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import amounts, moved
from arclore.engine.diagnosis.posterior import marginals, normalised
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.sound import sound_strike, steepness_log
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.geometry.check import LIMITS
from arclore.engine.geometry.shot import CONTACTS, TURFS, deliver, shot, side_of_face
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array
from scipy.special import gammaincinv, ndtr, ndtri
from scipy.stats import qmc

INPUTS = (
    "swing_direction_deg",
    "face_deg",
    "low_point_cm",
    "arc_height_mm",
    "loft_deg",
    "strike_toe_mm",
    "speed_percent",
)
BLURRED = {
    "swing_direction_deg": "start_deg",
    "face_deg": "start_deg",
    "low_point_cm": "low_point_cm",
    "arc_height_mm": "arc_height_mm",
    "loft_deg": "loft_deg",
    "strike_toe_mm": "strike_toe_mm",
}
CHOSEN = (
    "shoulder-and-arms-start-outward",
    "lead-hand-toward-target",
    "body-aimed-across",
    "hangs-on-trail-foot",
    "iron-ball-too-far-forward",
    "driver-ball-too-far-back",
    "club-drops-under",
    "stands-too-close",
)
CASES: tuple[dict[str, Any], ...] = (
    {
        "handed": "right",
        "level": "intermediate",
        "shots": [
            {"club": "driver", "start": "left", "curve": "right"},
            {"club": "mid-iron", "start": "left", "curve": "none"},
        ],
    },
    {
        "handed": "right",
        "level": "intermediate",
        "shots": [
            {"club": "driver", "curve": "right", "bend": "strong"},
            {"club": "mid-iron", "contact": ["fat"], "height": "high"},
        ],
    },
    {"handed": "right", "level": "novice", "shots": [{"club": "driver", "start": "right", "curve": "left"}]},
)


def draws(count: int, dimensions: int, seed: int) -> Array:
    """Standard normal draws (count, dimensions) from a scrambled Sobol sequence."""
    points = qmc.Sobol(dimensions, seed=seed).random(count)
    return np.asarray(ndtri(np.clip(points, 1e-9, 1 - 1e-9)))


def flight_of_set(model: Model, case: Case, members: Sequence[int], count: int, seed: int = 3) -> float:
    """P(what was seen | exactly these causes act), by playing `count` draws through the full geometry."""
    clubs = [name for name in model.conditions if any(line.club == name for line in case.shots)]
    z = draws(count, len(INPUTS) * (1 + 2 * len(clubs)) + max(len(members), 1), seed)
    width = len(INPUTS)
    own, rest = z[:, :width], z[:, width:]
    sizes = [_sizes(model.candidates[i].size_spread, z[:, -1 - k]) for k, i in enumerate(members)]
    total = np.ones(count)
    for c, name in enumerate(clubs):
        mine = rest[:, 2 * width * c : 2 * width * (c + 1)]
        of_club, blur = mine[:, :width], mine[:, width:]
        total *= _club_likelihood(model, case, model.conditions[name], members, sizes, own, of_club, blur)
    return float(total.mean())


def playable(given: Any) -> Any:
    """A swing or set-up with every field brought inside what the geometry takes: a drawn size has a long tail."""
    limits = {name: LIMITS[name] for name in vars(given) if name in LIMITS and getattr(given, name) is not None}
    return replace(given, **{name: np.clip(getattr(given, name), *bounds[:2]) for name, bounds in limits.items()})


def _sizes(spread: float, z: Array) -> Array:
    """Sizes of a cause: gamma distributed, mean 1 and this spread, one for each standard normal draw."""
    shape = 1.0 / spread**2
    return np.asarray(gammaincinv(shape, ndtr(z)) / shape)


def _club_likelihood(
    model: Model,
    case: Case,
    condition: Condition,
    members: Sequence[int],
    sizes: Sequence[Array],
    own: Array,
    of_club: Array,
    blur: Array,
) -> Array:
    settings = model.settings
    spread = {kind: settings["spreads"][kind][condition.level] for kind in ("own", "club")}
    change: dict[str, Array] = {}
    for j, name in enumerate(INPUTS):
        change[name] = (
            spread["own"][name] * own[:, j]
            + spread["club"][name] * of_club[:, j]
            + settings["blur"].get(BLURRED.get(name, ""), 0.0) * blur[:, j]
        )
    for i, size in zip(members, sizes, strict=True):
        for name, amount in amounts(model.candidates[i].entry, condition.club.family).items():
            change[name] = change.get(name, 0.0) + amount * size
    swing, set_up = moved(condition.swing, condition.set_up, condition.club, change)
    swing, set_up = playable(swing), playable(set_up)
    delivered = deliver(swing, set_up, condition.club)
    delivered = (
        type(delivered)(**{k: np.broadcast_to(getattr(delivered, k), (len(own),)) for k in delivered.__slots__})
        if hasattr(delivered, "__slots__")
        else delivered
    )
    words = sound_strike(delivered, condition.club, np.broadcast_to(swing.speed_mps, delivered.attack_deg.shape))
    played = shot(swing, set_up, condition.club, flight=True)
    error = settings["statement"]["label_error"]
    result = np.ones(len(own))
    for block in ("direction", "strike", "toe"):
        said = {
            v: x[0]
            for line in case.shots
            if line.club == condition.named
            for v, x in line.values.items()
            if BLOCK_OF[v] == block
        }
        if said:
            inside = np.prod([_is(condition, words, played, v, x) for v, x in said.items()], axis=0)
            result *= (1 - error) * inside + error / 3.0 ** len(said)
    return result


def height_log(played: Any) -> Array:
    """Log of how high a flight stands in the eye: its apex over how far off it lands."""
    return steepness_log(played.apex_m, np.hypot(played.carry_m, played.side_m))


_USUAL: dict[tuple[str, ...], float] = {}


def usual_height_log(condition: Condition, kinds: Sequence[str] = ("own", "club")) -> float:
    """The usual height in the eye: the median of fault-free players, who curve the ball and miss the middle a little.

    kinds: the spreads of what is held against it: of typical balls, or with "scatter" of single ones.
    """
    key = (condition.club.id, condition.level, *kinds)
    if key in _USUAL:
        return _USUAL[key]
    z = draws(4096, len(INPUTS), 5)
    spread = [condition.settings["spreads"][kind][condition.level] for kind in kinds]
    change = {name: np.hypot.reduce([one[name] for one in spread]) * z[:, j] for j, name in enumerate(INPUTS)}
    played = shot(*moved(condition.swing, condition.set_up, condition.club, change), condition.club, flight=True)
    _USUAL[key] = float(np.median(height_log(played)[played.contact == 0]))
    return _USUAL[key]


def _is(condition: Condition, words: Any, played: Any, variable: str, value: str) -> Array:
    border = condition.settings["borders"]
    if variable in ("start", "curve", "finish"):
        amount = {"start": words.start_deg, "curve": words.bend, "finish": np.tan(words.finish)}[variable]
        edge = border[{"start": "start_deg", "curve": "curve_share", "finish": "finish_share"}[variable]]
        side, _, bend = value.partition("-")
        if variable == "curve" and bend:
            edge = border["strong_curve_share"]
        chosen = {"left": amount < -edge, "right": amount > edge}.get(side, np.abs(amount) <= edge)
    elif variable == "height":
        log = height_log(played) - usual_height_log(condition)
        chosen = log < border["low_height_log"] if value == "low" else log > border["high_height_log"]
    elif variable == "contact":
        chosen = played.contact == CONTACTS.index(value)
    elif variable == "turf":
        chosen = played.turf == TURFS.index(value)
    else:
        chosen = side_of_face(played.strike_toe_m, condition.club.head) == value
    return np.asarray(chosen, dtype=float)


def compare(given: Mapping[str, Any], bench: Bench, chosen: Sequence[str], count: int) -> tuple[float, list[str]]:
    """Largest difference of a cause's probability between the engine and brute force, and the rows behind it."""
    library = bench.library
    case = bench.case(given)
    full = bench.model(case)
    causes = {name: library.causes[name] for name in chosen}
    model = Model(causes, library.settings, case.families, full.conditions, case.level)
    ranking = Ranking(model, case, library.symptoms, library.checks)
    listed = ~model.sets.holding(np.arange(model.unlisted + 1) == model.unlisted)
    engine = ranking.flight(frozenset(ranking.answers))
    brute = np.zeros(len(engine))
    for row in np.flatnonzero(listed):
        members = [int(i) for i in model.sets.members[row] if i < model.unlisted]
        brute[row] = flight_of_set(model, case, members, count)
    rows = []
    worst = 0.0
    ours, theirs = (marginals(model.sets, normalised(model.prior * listed * x)) for x in (engine, brute))
    for i, name in enumerate(model.ids):
        difference = float(ours[i] - theirs[i])
        worst = max(worst, abs(difference))
        rows.append(f"  {name:34s} engine {ours[i]:.4f} brute {theirs[i]:.4f} difference {difference:+.4f}")
    return worst, rows


def main(count: int = 131_072) -> int:
    bench = Bench(load_library())
    for given in CASES:
        worst, rows = compare(given, bench, CHOSEN, count)
        print(f"{given['shots']}\n  worst difference {worst:.4f} with {count} draws a set")
        print("\n".join(rows))
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])) if len(sys.argv) > 1 else main())
