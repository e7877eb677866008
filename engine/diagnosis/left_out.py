"""What a ranking leaves out, as data: sets of more causes than it weighs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from arclore.engine.diagnosis.classes import ClassedPairs
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.shown import shown_order
from arclore.engine.diagnosis.threes import Threes
from arclore.engine.diagnosis.told import named, ordered


def of_three(ranking: Ranking, order: Sequence[int]) -> dict[str, Any]:
    """What a ranking of two causes at most leaves out: three that act together."""
    found = Threes(ranking)
    causes = [{"id": ranking.model.ids[i], "probability": float(found.marginal[i])} for i in order]
    return {"mass_left_out": found.mass, "sets_of_three": {"estimated": found.unplayed, "causes": causes}}


def of_two(pairs: Ranking) -> dict[str, Any]:
    """What a ranking of one cause at a time leaves out. pairs: a ranking of the same case where two may act."""
    model = pairs.model
    families = [candidate.entry["family"] for candidate in model.candidates]
    names = sorted(set(families))
    group_of = np.array([*(names.index(family) for family in families), len(names)], dtype=np.intp)
    found = ClassedPairs(pairs, group_of)
    order = shown_order(found.marginal[:-1], model.ids, families)
    return {
        "sets_of_two": {
            "classes": found.count,
            "probability": found.mass,
            "nothing_to_fix": found.nothing_to_fix,
            "causes": [{**named(pairs, i), "probability": float(found.marginal[i])} for i in order],
            "families": ordered(dict(zip(names, found.grouped.tolist(), strict=False))),
        }
    }
