"""What the club did: a club's typical delivery, the faults in it, and the geometry's verdict on a cause.

For each club and block the sets, sizes and shared deviations are laid on the grid as weights, blurred by the club's own
spread and multiplied by the likelihood of what that club did: the exact posterior field of its typical delivery.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
import numpy.typing as npt
from arclore.engine.diagnosis.condition import BLOCKS, Condition
from arclore.engine.diagnosis.grid import Axis, Grid
from arclore.engine.diagnosis.moves import amounts
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.geometry import arc
from arclore.engine.quantities import Array

FLIGHT_BLOCKS = ("direction", "strike", "toe")
PLAUSIBLE = {"direction": 15.0, "strike": 30.0}  # deg of path and face; cm and mm of low point and arc
QUANTILES = (0.1, 0.5, 0.9)
MASS_KEPT = 0.995  # of the pairs of nodes that carry a field: the rest is spread over thousands of them
AGREES_BITS = 0.5
INTERVAL_SD = 1.2816  # half of an 80 % interval in standard deviations
SPEED = Grid((Axis(-60.0, 40.0, 0.5),), fineness=(1,))  # percent


@dataclass(frozen=True)
class Verdict:
    """Whether a cause's predicted delivery fits the flight: word, bits, and the intervals compared."""

    word: str
    bits: float
    predicted: Mapping[str, tuple[float, float]]
    inferred: Mapping[str, tuple[float, float]]
    club: str


class Delivery:
    """Posterior fields of the typical delivery, club by club."""

    def __init__(self, ranking: Ranking) -> None:
        self.ranking = ranking
        self.model = ranking.model
        self.answers = frozenset(ranking.answers)

    @property
    def clubs(self) -> list[str]:
        """The clubs of the case in their own set-ups."""
        return [name for name, condition in self.model.conditions.items() if not condition.put_right]

    @cached_property
    def _other(self) -> Array:
        return self.ranking.other(self.answers)

    def _pair_weights(self, block: str) -> Array:
        """Mass of each pair of nodes of a block, everything but that block's own evidence counted."""
        ranking = self.ranking
        places = ranking._pairs[block]
        by_size = ranking.flight_by_size(self.answers, leave=block)
        weights = np.zeros(len(ranking.table(block).scatter))
        for place, size, flight in zip(places, self.model.sizes, by_size, strict=True):
            weights += np.bincount(place, self._other * size * flight, minlength=len(weights))
        return weights

    @cached_property
    def fields(self) -> dict[tuple[str, str], Array]:
        """(block, club) -> posterior field over the block's grid, summing to 1."""
        return {
            (block, club): self._block_field(block, club) for block in BLOCKS for club in self.ranking.clubs_of(block)
        }

    def _block_field(self, block: str, club: str) -> Array:
        table = self.ranking.table(block)
        clubs = self.ranking.clubs_of(block)
        c = clubs.index(club)
        grid = self.model.conditions[club].grids[block]
        weights = self._pair_weights(block)
        where = np.flatnonzero(_heaviest(weights, MASS_KEPT))
        laid = table.quadrature.weights[:, None] * weights[where]
        for d, lookups in enumerate(table.lookups):
            if d != c:
                laid *= lookups.read(partial(self.ranking.smoothed, block, clubs[d], self.answers))[
                    lookups.numbers[:, where]
                ]
        points, own = table.points[c], np.broadcast_to(table.own[c], table.points[c].shape)
        total: Array = np.zeros(grid.shape)
        for scatter, bend, _ in table.lookups[c].classes:
            of_class = np.flatnonzero((table.scatter[where] == scatter) & (table.bends[where, c] == bend))
            if not len(of_class):
                continue
            self.ranking.still()
            pairs = where[of_class]
            at = points[pairs] + table.quadrature.nodes[:, None, :] * own[pairs]
            mass = grid.scattered(at.reshape(-1, at.shape[-1]), laid[:, of_class].ravel())
            field = self.ranking.field(block, club, self.answers, scatter, bend)
            total += table.smoothed(c, mass, scatter) * field
        result: Array = total / total.sum()
        return result

    def prior_field(self, block: str, club: str) -> Array:
        """The field of a block about which nothing was seen of this club: the sets' own weights, blurred."""
        condition = self.model.conditions[club]
        grid = condition.grids[block]
        spread = np.sqrt(sum(condition.spread(kind)[block] ** 2 for kind in ("own", "club")))
        shifts = self.model.mean_shifts[club][block]
        chance = self.ranking.marginal[:-1]
        mean = condition.fault_free_point[block] + chance @ shifts
        wide = np.sqrt(spread**2 + chance @ shifts**2 - (chance @ shifts) ** 2 / max(chance.sum(), 1e-9))
        field = np.ones(grid.shape)
        for dimension, axis in enumerate(grid.axes):
            profile = np.exp(-0.5 * ((axis.points - mean[dimension]) / max(wide[dimension], axis.step)) ** 2)
            field = field * profile.reshape([-1 if d == dimension else 1 for d in range(len(grid.axes))])
        result: Array = field / field.sum()
        return result

    def field(self, block: str, club: str) -> Array:
        """The posterior field of a block of a club."""
        return self.fields[block, club] if (block, club) in self.fields else self.prior_field(block, club)

    def intervals(self, club: str) -> dict[str, dict[str, float]]:
        """low, mid, high (10, 50, 90 %) of this club's delivery, right-hander's signs.

        Path, face, attack and low point are as they are; height of the arc (mm), loft (deg) and speed (percent) are
        measured from this player's own without a fault, as the moves of a cause are.
        """
        condition = self.model.conditions[club]
        direction, strike = self.field("direction", club), self.field("strike", club)
        path, face = (axis.points for axis in condition.grids["direction"].axes)
        edges = np.concatenate([[-np.inf], 0.5 * (face[1:] + face[:-1]), [np.inf]])
        of_face, _ = np.histogram(condition.path_and_face()[1], edges, weights=direction)
        low_point, height, loft = (axis.points for axis in condition.grids["strike"].axes)
        usual = condition.fault_free_point["strike"]
        result = {
            "path_deg": _quantiles(path, direction.sum(axis=1)),
            "face_deg": _quantiles(face, of_face),
            "low_point_cm": _quantiles(low_point, strike.sum(axis=(1, 2))),
            "arc_height_mm": _quantiles(height - usual[1], strike.sum(axis=(0, 2))),
            "loft_deg": _quantiles(loft - usual[2], strike.sum(axis=(0, 1))),
            "speed_percent": _quantiles(SPEED.axes[0].points, self._speed(condition)),
        }
        result["attack_deg"] = [float(attack_of(condition, x)) for x in reversed(result["low_point_cm"])]
        return {name: {"low": low, "mid": mid, "high": high} for name, (low, mid, high) in result.items()}

    def _speed(self, condition: Condition) -> Array:
        """Weights over SPEED: what the sets of causes take from the speed, with the player's and the club's spread."""
        lost = [amounts(c.entry, condition.club.family).get("speed_percent", 0.0) for c in self.model.candidates]
        of_set = np.array([*lost, 0.0, 0.0])[self.model.sets.members].sum(axis=1)
        stated = self.model.settings["spreads"]
        own = np.hypot(*(stated[kind][condition.level]["speed_percent"] for kind in ("own", "club")))
        return SPEED.blurred(SPEED.scattered(of_set[:, None], self.ranking.probability), np.array([own]))

    def faults(self) -> dict[str, float]:
        """Probability of each delivery fault with the club that shows it most; speed's from the causes that cost it."""
        worst: dict[str, float] = {}
        for club, condition in self.model.conditions.items():
            if condition.put_right:
                continue
            for name, value in self._faults_with(club, condition).items():
                worst[name] = max(worst.get(name, 0.0), value)
        slow = [
            any(
                m["input"] == "speed_percent" and m["size"] <= -self.model.settings["faults"]["speed_percent"]
                for m in c.entry.get("moves", ())
            )
            for c in self.model.candidates
        ]
        worst["speed-lost"] = self.ranking.holding([*slow, False])
        return worst

    def _faults_with(self, club: str, condition: Condition) -> dict[str, float]:
        border = condition.numbers("faults")
        direction, strike, toe = (self.field(block, club) for block in FLIGHT_BLOCKS)
        path, face = condition.path_and_face()
        low_point, height, loft = condition.grids["strike"].mesh()
        side = condition.grids["toe"].mesh()[0]
        usual = condition.fault_free_point["strike"]
        attack = attack_of(condition, low_point) - attack_of(condition, usual[0])
        behind, up = low_point - usual[0], height - usual[1]
        chances = {
            "path-out-to-in": direction[path < -border["path_deg"]],
            "path-in-to-out": direction[path > border["path_deg"]],
            "face-open": direction[face > border["face_deg"]],
            "face-closed": direction[face < -border["face_deg"]],
            "low-point-behind": strike[behind < -border["low_point_cm"]],
            "low-point-ahead": strike[behind > border["low_point_cm"]],
            "arc-too-high": strike[up > border["arc_height_mm"]],
            "arc-too-low": strike[up < -border["arc_height_mm"]],
            "steep": strike[attack < -border["attack_deg"]],
            "shallow": strike[attack > border["attack_deg"]],
            "loft-added": strike[loft > border["loft_deg"]],
            "loft-removed": strike[loft < -border["loft_deg"]],
            "strike-toe": toe[side > border["strike_toe_mm"]],
            "strike-heel": toe[side < -border["strike_toe_mm"]],
        }
        return {name: float(np.sum(part)) for name, part in chances.items()}

    def verdict(self, member: int) -> Verdict:
        """Compare what a cause predicts for path and low point with what the flight says by itself."""
        bits = float(self.ranking.flight_bits[member])
        club = self._telling_club(member)
        predicted = self._predicted(member, club) if club else {}
        inferred = self._inferred(club) if club else {}
        if not predicted:
            return Verdict("silent", bits, predicted, inferred, club)
        word = "agrees" if bits > AGREES_BITS else "disagrees" if bits < -AGREES_BITS else "silent"
        return Verdict(word, bits, predicted, inferred, club)

    def _telling_club(self, member: int) -> str:
        """The club with which the cause moves path or low point most; "" where none.

        Of those that were described, or of all where nothing was said of any.
        """
        named = {answer.club for answer in self.ranking.answers}
        best, most = "", 0.0
        for club in [club for club in self.clubs if club in named] or self.clubs:
            blocks = self.model.mean_shifts[club]
            moves = np.concatenate([np.abs(blocks[b][member]) for b in FLIGHT_BLOCKS])
            if moves.sum() > most + 1e-6 and moves.max() > 0.05:
                best, most = club, float(moves.sum())
        return best

    def _predicted(self, member: int, club: str) -> dict[str, tuple[float, float]]:
        condition = self.model.conditions[club]
        result = {}
        for name, block, dimension in (("path_deg", "direction", 0), ("low_point_cm", "strike", 0)):
            nodes = self.model.shifts[club][block][member, :, dimension]
            weights = self.model.size_weights[member]
            centre = condition.fault_free_point[block][dimension] + nodes @ weights
            own = np.hypot(condition.spread("own")[block][dimension], condition.spread("club")[block][dimension])
            sd = np.hypot(own, np.sqrt(weights @ (nodes - nodes @ weights) ** 2))
            result[name] = (float(centre - INTERVAL_SD * sd), float(centre + INTERVAL_SD * sd))
        return result

    def _inferred(self, club: str) -> dict[str, tuple[float, float]]:
        """80 % intervals of path and low point under a flat prior: the likelihood field alone."""
        result = {}
        for name, block in (("path_deg", "direction"), ("low_point_cm", "strike")):
            if any(a.club == club for a in self.ranking.block_answers(block, self.answers)):
                grid = self.model.conditions[club].grids[block]
                field = self.ranking.field(block, club, self.answers) * _plausible(grid, PLAUSIBLE[block])
                axes = tuple(range(1, field.ndim))
                low, _, high = _quantiles(grid.axes[0].points, field.sum(axis=axes))
                result[name] = (low, high)
        return result


def _plausible(grid: Grid, furthest: float) -> Array:
    """1 where a golfer's typical delivery may lie: a flat prior needs an end, since a strong bend has none."""
    inside = np.ones(grid.shape)
    for points in grid.mesh()[:2]:
        inside = inside * (np.abs(points) <= furthest)
    return inside


def attack_of(condition: Condition, low_point_cm: float | Array) -> Array:
    """The attack angle (deg) at which this club meets a ball with the low point so far ahead of it (cm)."""
    club = condition.club
    return np.asarray(arc.attack_from_low_point(np.asarray(low_point_cm) / 100.0, club.arc_radius_m, club.plane_deg))


def _heaviest(weights: Array, share: float) -> npt.NDArray[np.bool_]:
    """The fewest weights that hold this share of their sum."""
    order = np.argsort(-weights)
    enough = int(np.searchsorted(np.cumsum(weights[order]), share * weights.sum())) + 1
    kept = np.zeros(len(weights), dtype=bool)
    kept[order[:enough]] = True
    return kept


def _quantiles(points: Array, weights: Array) -> list[float]:
    """The QUANTILES of weights on evenly spaced points, each point's weight spread over its cell."""
    step = points[1] - points[0]
    share = np.concatenate([[0.0], np.cumsum(weights / weights.sum())])
    edges = np.concatenate([[points[0] - step / 2], points + step / 2])
    return [float(np.interp(q, share, edges)) for q in QUANTILES]
