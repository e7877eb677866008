"""What to change: drills by how much of the posterior they cover in their minutes, safe for this player first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from arclore.engine.diagnosis.moves import covers
from arclore.engine.diagnosis.ranking import Ranking


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
    families = ranking.case.families
    overhead = ranking.model.settings["next_check"]["overhead_minutes"]
    for name in sorted(drills):
        drill = drills[name]
        if "retired" in drill or set(drill["not_for"]) & set(ranking.case.avoid):
            continue
        if not any(covers(drill["clubs"], family) for family in families):
            continue
        causes = [cause for cause in drill["for"]["causes"] if cause in ranking.model.place]
        if not set(causes) & set(leading[:3]):
            continue
        chosen = [candidate.id in causes for candidate in ranking.model.candidates]
        covered = ranking.holding([*chosen, False])
        served = tuple(cause for cause in leading if cause in causes)
        found.append((leading[0] not in causes, -covered / (drill["minutes"] + overhead), Offer(name, served, covered)))
    return [offer for *_, offer in sorted(found, key=lambda row: (row[0], row[1], row[2].id))[:at_most]]
