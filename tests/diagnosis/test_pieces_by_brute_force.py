"""Each piece of what is said of a strike against brute force: typical deliveries drawn, their balls played one by one.

Tallies, words of frequency, added scatter, a changed set-up, three clubs, and what the club did. Only the meeting with
ball and ground is played, so that thousands of balls cost little. A library of three causes, all sets of two.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pytest
from arclore.engine.diagnosis.condition import Condition
from arclore.engine.diagnosis.delivery import Delivery
from arclore.engine.diagnosis.model import Model
from arclore.engine.diagnosis.moves import amounts, moved
from arclore.engine.diagnosis.ranking import CHANGED_ERROR, Ranking, changed_name
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.geometry.shot import CONTACTS, deliver, shot
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array

from tests.diagnosis.brute_force import BLURRED, INPUTS, _sizes, draws, playable

CAUSES = ("arc-bottom-wanders", "hangs-on-trail-foot", "iron-ball-too-far-forward")
TYPICAL, BALLS = 2048, 32
WIDTH = len(INPUTS)
HARDLY = 1e-9  # of the weight: something not listed is left out here


@pytest.fixture(scope="module")
def bench() -> Bench:
    return Bench(load_library())


def ranking_of(bench: Bench, shots: Sequence[Mapping[str, Any]], **more: Any) -> Ranking:
    library = bench.library
    case = bench.case({"handed": "right", "level": "intermediate", "shots": list(shots), **more})
    settings = {**library.settings, "unlisted_weight": HARDLY}
    causes = {name: library.causes[name] for name in CAUSES}
    model = Model(causes, settings, case.families, bench.model(case).conditions, case.level)
    return Ranking(model, case, library.symptoms, library.checks)


class Players:
    """TYPICAL players with the same causes: their own deviations, their clubs', the sizes and the blur of words."""

    def __init__(self, model: Model, members: Sequence[int], clubs: Sequence[str], seed: int = 7) -> None:
        z = draws(TYPICAL, WIDTH * (1 + 2 * len(clubs)) + max(len(members), 1), seed)
        self.model, self.members, self.clubs = model, members, clubs
        self.own, self.rest = z[:, :WIDTH], z[:, WIDTH:]
        self.sizes = [_sizes(model.candidates[i].size_spread, z[:, -1 - k]) if model.candidates[i].size_spread else
                      np.ones(TYPICAL) for k, i in enumerate(members)]  # fmt: skip

    def change(self, condition: Condition, blurred: bool = True) -> dict[str, Array]:
        """What a player's typical swing and set-up change with a club: input -> (players,)."""
        spreads, blurs = condition.settings["spreads"], condition.settings["blur"]
        at = 2 * WIDTH * self.clubs.index(condition.named)
        change: dict[str, Array] = {}
        for j, name in enumerate(INPUTS):
            change[name] = spreads["own"][condition.level][name] * self.own[:, j]
            change[name] = change[name] + spreads["club"][condition.level][name] * self.rest[:, at + j]
            if blurred:
                change[name] = change[name] + blurs.get(BLURRED.get(name, ""), 0.0) * self.rest[:, at + WIDTH + j]
        for i, size in zip(self.members, self.sizes, strict=True):
            for name, amount in amounts(self.model.candidates[i].entry, condition.club.family).items():
                if name not in condition.put_right:
                    change[name] = change.get(name, np.zeros(TYPICAL)) + amount * size
        return change

    def contacts(self, condition: Condition) -> Array:
        """The contact of each player's typical ball, by its place in CONTACTS."""
        return contacts_of(condition, self.change(condition))

    def shares(self, condition: Condition, contact: str) -> Array:
        """The share of each player's balls (players,) that have this contact: BALLS of them, scattered."""
        scatter = dict(condition.settings["spreads"]["scatter"][condition.level])
        variance = {name: sd**2 for name, sd in scatter.items()}
        for i in self.members:
            for name, sd in amounts(self.model.candidates[i].entry, condition.club.family, "sd").items():
                variance[name] = variance.get(name, 0.0) + sd**2
        z = np.random.default_rng(11).standard_normal((len(variance), TYPICAL, BALLS))
        change = {name: value[:, None] + np.zeros((1, BALLS)) for name, value in self.change(condition).items()}
        for row, (name, of_balls) in zip(z, sorted(variance.items()), strict=True):
            change[name] = change.get(name, np.zeros((TYPICAL, BALLS))) + np.sqrt(of_balls) * row
        flat = contacts_of(condition, {name: value.ravel() for name, value in change.items()})
        return np.asarray((flat == CONTACTS.index(contact)).reshape(TYPICAL, BALLS).mean(axis=1))


def contacts_of(condition: Condition, change: Mapping[str, Array]) -> Array:
    swing, set_up = moved(condition.swing, condition.set_up, condition.club, change)
    return np.asarray(shot(playable(swing), playable(set_up), condition.club, flight=False).contact)


def sets_of(model: Model) -> list[tuple[int, list[int]]]:
    """The rows of all sets without "something not listed", and their members."""
    rows = np.flatnonzero(~model.sets.holding(np.arange(model.unlisted + 1) == model.unlisted))
    return [(int(row), [int(i) for i in model.sets.members[row] if i < model.unlisted]) for row in rows]


def assert_alike(ranking: Ranking, brute: Sequence[float], abs_error: float = 0.03) -> None:
    """The flight's likelihoods, each as a share of the sum over the sets, differ by no more than this."""
    ours = ranking.flight(frozenset(ranking.answers))[[row for row, _ in sets_of(ranking.model)]]
    theirs = np.array(brute)
    assert ours / ours.sum() == pytest.approx(theirs / theirs.sum(), abs=abs_error)
    assert np.ptp(theirs / theirs.sum()) > abs_error  # the evidence tells the sets apart


def counted(share: Mapping[str, Array], balls: Mapping[str, float], error: float) -> float:
    """P(balls of these kinds) over the players, where words drawn at random name one of three kinds."""
    kinds = np.prod([np.clip(share[kind], 1e-3, 1.0) ** count for kind, count in balls.items()], axis=0)
    return float(((1 - error) * kinds + error * 3.0 ** -sum(balls.values())).mean())


def test_a_tally_counts_ball_by_ball(bench: Bench) -> None:
    """Five fat balls and two clean ones: within 0.04, as one class of scatter serves all axes of the strike."""
    shots = [{"club": "mid-iron", "contact": [kind], "count": count} for kind, count in (("fat", 5), ("clean", 2))]
    ranking = only(ranking_of(bench, shots), "contact")
    condition = ranking.model.conditions["mid-iron"]
    error = ranking.statement["label_error"]
    brute = []
    for _, members in sets_of(ranking.model):
        players = Players(ranking.model, members, ["mid-iron"])
        share = {kind: players.shares(condition, kind) for kind in ("fat", "clean")}
        brute.append(counted(share, {"fat": 5, "clean": 2}, error))
    assert_alike(ranking, brute, 0.04)


def only(ranking: Ranking, *variables: str) -> Ranking:
    """The same ranking with what was said of other variables left out (a clean ball also names the face's middle)."""
    ranking.__dict__["answers"] = tuple(a for a in ranking.answers if a.kind != "flight" or a.variable in variables)
    return ranking


@pytest.mark.parametrize("how_often", ["often", "almost-always"])
def test_a_word_of_frequency_stands_for_a_few_balls(bench: Bench, how_often: str) -> None:
    """Five balls, of which the word's share were fat and the others not."""
    ranking = ranking_of(bench, [{"club": "mid-iron", "contact": ["fat"], "how_often": how_often}])
    condition = ranking.model.conditions["mid-iron"]
    statement = ranking.statement
    fat = statement["balls"] * bench.library.settings["frequency_words"][how_often]
    others = statement["balls"] - fat
    brute = []
    for _, members in sets_of(ranking.model):
        share = np.clip(Players(ranking.model, members, ["mid-iron"]).shares(condition, "fat"), 1e-3, 1 - 1e-3)
        chance = 3.0**-fat * (2 / 3) ** others
        error = statement["label_error"]
        brute.append(float(((1 - error) * share**fat * (1 - share) ** others + error * chance).mean()))
    assert_alike(ranking, brute)


@pytest.mark.parametrize("result", ["gone", "stays"])
def test_a_changed_set_up_is_the_same_swing(bench: Bench, result: str) -> None:
    """Fat before; after the coach has set the ball the same swing, its own deviations included, is played again."""
    ranking = ranking_of(bench, [{"club": "mid-iron", "contact": ["fat"]}], checks={"coach-sets-the-ball": result})
    conditions = ranking.model.conditions
    changed = conditions[changed_name("mid-iron", "coach-sets-the-ball")]
    error = ranking.statement["label_error"]
    brute = []
    for _, members in sets_of(ranking.model):
        players = Players(ranking.model, members, ["mid-iron"])
        fat, still = (players.contacts(c) == CONTACTS.index("fat") for c in (conditions["mid-iron"], changed))
        told = still if result == "stays" else ~still
        before = (1 - error) * fat + error / 3
        brute.append(float((before * ((1 - CHANGED_ERROR) * told + CHANGED_ERROR / 2)).mean()))
    assert_alike(ranking, brute)


@pytest.mark.parametrize(("result", "within"), [("gone", 0.055), ("stays", 0.03)])
def test_a_changed_set_up_beside_another_club(bench: Bench, result: str, within: float) -> None:
    """Fat with two irons; the ball is set with the first by name, whose deviations are made again."""
    shots = [{"club": "mid-iron", "contact": ["fat"]}, {"club": "long-iron", "contact": ["fat"]}]
    ranking = only(ranking_of(bench, shots, checks={"coach-sets-the-ball": result}), "contact")
    conditions = ranking.model.conditions
    assert [name for name in conditions if "|" in name] == [changed_name("long-iron", "coach-sets-the-ball")]
    error = ranking.statement["label_error"]
    brute = []
    for _, members in sets_of(ranking.model):
        players = Players(ranking.model, members, ["mid-iron", "long-iron"])
        fat, other, still = (players.contacts(c) == CONTACTS.index("fat") for c in _played(conditions))
        told = still if result == "stays" else ~still
        before = np.prod([(1 - error) * x + error / 3 for x in (fat, other)], axis=0)
        brute.append(float((before * ((1 - CHANGED_ERROR) * told + CHANGED_ERROR / 2)).mean()))
    assert_alike(ranking, brute, within)


def _played(conditions: Mapping[str, Condition]) -> list[Condition]:
    """The mid-iron, the long iron, and the long iron in its changed set-up."""
    changed = changed_name("long-iron", "coach-sets-the-ball")
    return [conditions[name] for name in ("mid-iron", "long-iron", changed)]


def test_three_clubs_share_the_player(bench: Bench) -> None:
    """Fat with two irons, clean with the wedge: one swing, each club with a deviation of its own."""
    clubs = {"long-iron": "fat", "mid-iron": "fat", "wedge": "clean"}
    ranking = only(ranking_of(bench, [{"club": c, "contact": [v]} for c, v in clubs.items()]), "contact")
    error = ranking.statement["label_error"]
    brute = []
    for _, members in sets_of(ranking.model):
        players = Players(ranking.model, members, sorted(clubs))
        seen = [players.contacts(ranking.model.conditions[c]) == CONTACTS.index(v) for c, v in clubs.items()]
        brute.append(float(np.prod([(1 - error) * x + error / 3 for x in seen], axis=0).mean()))
    assert_alike(ranking, brute)


def test_what_the_club_did_by_quantiles(bench: Bench) -> None:
    """10, 50 and 90 % of the low point given a fat ball, within 1.5 cm of the weighted draws of all sets."""
    ranking = ranking_of(bench, [{"club": "mid-iron", "contact": ["fat"]}])
    condition = ranking.model.conditions["mid-iron"]
    error = ranking.statement["label_error"]
    low_points, weights = [], []
    for row, members in sets_of(ranking.model):
        players = Players(ranking.model, members, ["mid-iron"])
        fat = players.contacts(condition) == CONTACTS.index("fat")
        swing, set_up = moved(condition.swing, condition.set_up, condition.club, players.change(condition, False))
        played = deliver(playable(swing), playable(set_up), condition.club)
        low_points.append(np.broadcast_to(played.low_point_m, (TYPICAL,)) * 100.0)
        weights.append(ranking.model.prior[row] * ((1 - error) * fat + error / 3))
    points, weight = np.concatenate(low_points), np.concatenate(weights)
    order = np.argsort(points)
    share = np.cumsum(weight[order]) / weight.sum()
    wanted = [float(points[order][np.searchsorted(share, q)]) for q in (0.1, 0.5, 0.9)]
    found = Delivery(ranking).intervals("mid-iron")["low_point_cm"]
    assert [found["low"], found["mid"], found["high"]] == pytest.approx(wanted, abs=1.5)
    assert wanted[2] - wanted[0] > 6.0
