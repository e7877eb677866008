"""What to change: one priority and what putting it right would do, then drills by coverage in their minutes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.at_hand import suits
from arclore.engine.diagnosis.delivery import Delivery, attack_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.quantities import Array


@dataclass(frozen=True)
class Offer:
    """A drill on offer: the causes of the ranking that it works on, and the share of the posterior they hold."""

    id: str
    causes: tuple[str, ...]
    covered: float


def offers(
    ranking: Ranking, drills: Mapping[str, Mapping[str, Any]], leading: Sequence[str], at_most: int = 5
) -> list[Offer]:
    """Drills that work on the leading causes, best coverage a minute first; none that the player must not do."""
    found = []
    overhead = ranking.model.settings["next_check"]["overhead_minutes"]
    for name in sorted(drills):
        drill = drills[name]
        if not suits(drill, ranking.case):
            continue
        causes = [cause for cause in drill["for"]["causes"] if cause in ranking.model.place]
        if not set(causes) & set(leading[:3]):
            continue
        chosen = [candidate.id in causes for candidate in ranking.model.candidates]
        covered = ranking.holding([*chosen, False])
        served = tuple(cause for cause in leading if cause in causes)
        found.append((leading[0] not in causes, -covered / (drill["minutes"] + overhead), Offer(name, served, covered)))
    return [offer for *_, offer in sorted(found, key=lambda row: (row[0], row[1], row[2].id))[:at_most]]


@dataclass(frozen=True)
class Priority:
    """The one thing to change first: a candidate's index, and per club each quantity now and with it put right."""

    member: int
    undone: Mapping[str, Mapping[str, tuple[float, float]]]


def priority(ranking: Ranking, delivery: Delivery) -> Priority | None:
    """The cause to change first, and what putting it right would do with each club; None where there is none."""
    best = chosen_first(ranking)
    return None if best is None else Priority(best, {club: _undone(delivery, club, best) for club in delivery.clubs})


def chosen_first(ranking: Ranking) -> int | None:
    """The cause to change first as things stand; None where no cause is listed."""
    return Worths(ranking.model, barred=ranking.barred).first(ranking.marginal)


def barred(model: Model, drills: Mapping[str, Mapping[str, Any]], avoid: Sequence[str]) -> frozenset[int]:
    """The causes that have drills, none of which a student who must spare these may do."""
    if not avoid:
        return frozenset()
    may: dict[str, bool] = {}
    for drill in drills.values():
        if "retired" not in drill:
            for cause in drill["for"]["causes"]:
                may[cause] = may.get(cause, False) or not set(drill["not_for"]) & set(avoid)
    return frozenset(model.place[cause] for cause, safe in may.items() if not safe and cause in model.place)


class Worths:
    """What changing each cause promises: likely, upstream of other likely ones, and quick to change.

    Its own chance and a share of the chances of what it leads to, times how readily its stage changes (settings).
    """

    def __init__(self, model: Model, share: float | None = None, barred: frozenset[int] = frozenset()) -> None:
        """share: of the chances of what a cause leads to, in place of the settings' own. barred: never the first."""
        self._open = np.array([i not in barred for i in range(len(model.candidates))], dtype=bool)
        rule = model.settings["priority"]
        self._share = rule["upstream_share"] if share is None else share
        self._least = rule["least_share_of_leader"]
        stages = [candidate.entry["stage"] for candidate in model.candidates]
        self.ready = np.array([rule["readiness"].get(stage, rule["readiness"]["other"]) for stage in stages])
        links = [
            (i, model.place[name])
            for i, candidate in enumerate(model.candidates)
            for name in candidate.entry.get("upstream_of", ())
            if name in model.place
        ]
        self._above, self._below = (np.array(links, dtype=np.intp).reshape(-1, 2)[:, k] for k in (0, 1))

    def __call__(self, chance: Array) -> Array:
        """The worth (causes,) under these chances of the members (causes + 1,)."""
        led_to = np.bincount(self._above, chance[self._below], minlength=len(self.ready))
        result: Array = (chance[:-1] + self._share * led_to) * self.ready
        return result

    def first(self, chance: Array) -> int | None:
        """The cause of most worth, of those not much less likely than the likeliest; None where there is none."""
        if not self._open.any():
            return None
        likely = self._open & (chance[:-1] >= self._least * chance[:-1][self._open].max())
        return int(np.argmax(np.where(likely, np.round(self(chance), 12), -1.0)))


def _undone(delivery: Delivery, club: str, member: int) -> dict[str, tuple[float, float]]:
    """Middle of each quantity now, and what is left of it when the cause's mean shift is taken away."""
    now = delivery.intervals(club)
    shift = delivery.model.mean_shifts[club]
    condition = delivery.model.conditions[club]
    path, rest = (float(x) for x in shift["direction"][member][:2])
    face = rest + condition.lean * path
    low_point = float(shift["strike"][member][0])
    then = now["low_point_cm"]["mid"] - low_point
    return {
        "path_deg": (now["path_deg"]["mid"], now["path_deg"]["mid"] - path),
        "face_deg": (now["face_deg"]["mid"], now["face_deg"]["mid"] - face),
        "low_point_cm": (now["low_point_cm"]["mid"], then),
        "attack_deg": (now["attack_deg"]["mid"], float(attack_of(condition, then))),
    }
