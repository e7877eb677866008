"""What the library expects before anything is seen: attack angle and low point by club and level.

The ranges are typical ones of the trade (common practice, no source); the arc's own error of 1.5 deg and 3 cm is
allowed on top. Eight golfers in ten must lie inside. The audit works shares out in closed form; here golfers are drawn.
"""

from __future__ import annotations

import numpy as np
import pytest
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import attack_of
from arclore.engine.diagnosis.model import Model
from arclore.engine.library.clubs import club_from_entry
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep.audit_prior import ATTACK_DEG, ERROR_CM, ERROR_DEG, LOW_POINT_CM


@pytest.mark.parametrize("level", ["novice", "intermediate", "skilled"])
@pytest.mark.parametrize("family", list(ATTACK_DEG))
def test_most_golfers_lie_inside_the_trade_s_ranges(family: str, level: str) -> None:
    """10 % and 90 % points of the prior predictive low point and attack angle, causes and spreads included."""
    library = load_library()
    club = club_from_entry(library.clubs[family])
    condition = Condition(club, level, club.standard, library.settings, family)
    model = Model(library.causes, library.settings, [family], {family: condition}, level)
    random = np.random.default_rng(7)
    rows = random.choice(len(model.prior), size=20_000, p=model.prior / model.prior.sum())
    shift = np.append(model.mean_shifts[family]["strike"][:, 0], [0.0, 0.0])
    spread = np.hypot(condition.spread("own")["strike"][0], condition.spread("club")["strike"][0])
    low_point = (
        condition.fault_free_point["strike"][0]
        + shift[model.sets.members[rows]].sum(axis=1)
        + random.normal(0.0, spread, len(rows))
    )
    low, high = np.quantile(low_point, [0.1, 0.9])
    least, most = ATTACK_DEG[family][level]
    assert attack_of(condition, high) >= least - ERROR_DEG
    assert attack_of(condition, low) <= most + ERROR_DEG
    if level in LOW_POINT_CM[family]:
        least, most = LOW_POINT_CM[family][level]
        assert low >= least - ERROR_CM
        assert high <= most + ERROR_CM
