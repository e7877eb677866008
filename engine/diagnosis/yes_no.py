"""A check that answers yes or no, as the inference sees it: the members it speaks of, and how often it is right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.posterior import Mask

SET_UP_GONE = 0.80  # how often a fault goes when the coach puts its set-up cause right (estimate)
SET_UP_STAYS = 0.80  # how often it stays where the set-up is not the cause (estimate)


@dataclass(frozen=True)
class Test:
    """The members (n,) that a positive result speaks for, its two results, and how often it is right about them."""

    members: Mask
    positive: str
    negative: str
    sensitivity: float
    specificity: float


def test_of(model: Model, check: Mapping[str, Any]) -> Test:
    """The test that a likelihood or a changed-set-up check makes. Raises KeyError for a measuring check."""
    if check["type"] == "likelihood":
        said = check["likelihood"]
        named = [
            c.id in said.get("causes", ())
            or c.entry["family"] in said.get("families", ())
            or c.entry["stage"] in said.get("stages", ())
            for c in model.candidates
        ]
        sensitivity, specificity = said["sensitivity"], said["specificity"]
    else:
        said = check["changed_set_up"]
        put_right = set(said["puts_right"])
        named = [any(m["input"] in put_right for m in c.entry.get("moves", ())) for c in model.candidates]
        sensitivity, specificity = SET_UP_GONE, SET_UP_STAYS
    return Test(np.array([*named, False]), said["positive"], said["negative"], sensitivity, specificity)
