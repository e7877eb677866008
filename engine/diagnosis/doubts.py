"""What is doubtful about an answer, as data: answers that disagree, causes that compete, how firm the lead is, and
whether more causes may be acting than are weighed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.conflict import conflict_of
from arclore.engine.diagnosis.explaining_away import explained_away
from arclore.engine.diagnosis.firmness import Turn, turns
from arclore.engine.diagnosis.ranking import Ranking
from arclore.engine.diagnosis.told import named, spoken

LEAST_CONFLICT = 1.0  # bits: twice as unlikely together as if they had nothing to do with each other
SHOWN_TURNS = 3
OFTEN_MOST = 0.5  # P(as many causes as are weighed act at all) from which more may well be acting


def doubts(ranking: Ranking, order: Sequence[int], case: Case) -> dict[str, Any]:
    """The doubts of a ranking whose causes are shown in this order."""
    return {
        "conflict": _conflict(ranking, case),
        "explained_away": _explained_away(ranking, order, case),
        "firmness": [_turn(turn, ranking, case) for turn in turns(ranking)[:SHOWN_TURNS]],
        "acting": _acting(ranking),
    }


def _conflict(ranking: Ranking, case: Case) -> dict[str, Any] | None:
    """How far the answers disagree; ask_again where they do and no cause explains it."""
    found = conflict_of(ranking)
    if found is None:
        return None
    explains = found.bits > 0 and found.given < 0
    asks = found.bits >= LEAST_CONFLICT and not explains
    return {
        "bits": found.bits,
        "explained_by": named(ranking, found.cause) if explains else None,
        "ask_again": {"finding": spoken(ranking.answers[found.answer], case), "bits": found.left} if asks else None,
    }


def _explained_away(ranking: Ranking, order: Sequence[int], case: Case) -> dict[str, Any] | None:
    found = explained_away(ranking, order)
    if found is None:
        return None
    return {
        **named(ranking, found.cause),
        "by": named(ranking, found.by),
        "finding": spoken(found.answer, case),
        "with_it": found.acting,
        "without_it": found.absent,
    }


def _turn(turn: Turn, ranking: Ranking, case: Case) -> dict[str, Any]:
    """A number that would turn the lead, with this golfer's sides."""
    now, until, of = turn.now, turn.until, None
    if turn.answer is not None:
        of = spoken(turn.answer, case)
        if turn.kind == "measured":
            of = turn.answer.name
            now, until = (case.measure(turn.answer.variable, value) for value in (now, until))
    return {
        "number": turn.kind,
        "of": of,
        "now": now,
        "until": until,
        "then": named(ranking, turn.leader),
    }


def _acting(ranking: Ranking) -> dict[str, Any]:
    """How many causes act, as far as they are weighed, and whether more may well be acting."""
    sets = ranking.model.sets
    chances = np.bincount(sets.sizes, weights=ranking.probability)
    most = len(chances) - 1
    return {"chances": chances.tolist(), "more_may_act": bool(most > 0 and chances[most] >= OFTEN_MOST)}
