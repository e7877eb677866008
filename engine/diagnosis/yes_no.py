"""A check that answers yes or no, as the inference sees it: the members it speaks of, and how often it is right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.posterior import Mask
from arclore.engine.quantities import Array


@dataclass(frozen=True)
class Test:
    """The members (n,) that a positive result speaks for, its two results, and how often it is right about them."""

    members: Mask
    positive: str
    negative: str
    sensitivity: float
    specificity: float


def test_of(model: Model, check: Mapping[str, Any]) -> Test:
    """The test that a likelihood check makes. Raises KeyError for a check of another type."""
    said = check["likelihood"]
    members = model.kept.of(("members of", check["id"]), lambda: _named(model, said))
    return Test(members.astype(bool), said["positive"], said["negative"], said["sensitivity"], said["specificity"])


def _named(model: Model, said: Mapping[str, Any]) -> Array:
    """1 for each member that a check speaks of, (members + 1,)."""
    causes, families, stages = (set(said.get(kind, ())) for kind in ("causes", "families", "stages"))
    named = [c.id in causes or c.entry["family"] in families or c.entry["stage"] in stages for c in model.candidates]
    return np.array([*named, False], dtype=float)
