"""Causes that coaches confuse, and the check that tells each pair apart.

The pairs are common practice, no source. The factor is the engine's own: how many times a result of the check moves
the odds of the one cause acting alone against the other acting alone.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import Library, load_layers
from arclore.engine.upkeep.confusable import Flights, Readings, _normal_distance, best_check, confusable
from arclore.engine.upkeep.subject import Subject
from scipy.integrate import quad
from scipy.stats import norm

from tests.upkeep.conftest import Small

LEAST, CAP = 4.0, 6.0
# club, cause, the cause it is taken for
PAIRS = [
    ("mid-iron", "lead-hand-toward-target", "forearms-do-not-turn"),  # a weak hold or quiet forearms
    ("mid-iron", "lead-hand-away-from-target", "face-held-shut-early"),
    ("mid-iron", "lead-hand-away-from-target", "face-rolled-shut"),
    ("mid-iron", "face-rolled-open-early", "forearms-do-not-turn"),
    ("mid-iron", "lead-wrist-bent-back-at-top", "face-rolled-open-early"),
    ("mid-iron", "squeezes-the-handle", "forearms-do-not-turn"),
    ("mid-iron", "shoulder-and-arms-start-outward", "body-aimed-across"),  # swings across, or stands across
    ("mid-iron", "shoulder-and-arms-start-outward", "shoulders-open-feet-square"),
    ("mid-iron", "shoulders-open-feet-square", "body-aimed-across"),
    ("mid-iron", "club-drops-under", "body-aimed-away"),
    ("mid-iron", "club-across-at-top", "body-aimed-away"),
    ("mid-iron", "hangs-on-trail-foot", "iron-ball-too-far-forward"),  # fat: the body stays back, or the ball is ahead
    ("mid-iron", "hangs-on-trail-foot", "sways-away"),
    ("mid-iron", "hangs-on-trail-foot", "throws-the-angle-early"),
    ("mid-iron", "hangs-on-trail-foot", "stance-too-wide"),
    ("mid-iron", "mat-hides-the-ground", "hangs-on-trail-foot"),
    ("mid-iron", "dips-going-back", "drops-into-the-ball"),
    ("mid-iron", "throws-the-angle-early", "lead-wrist-bends-back-before-strike"),
    ("mid-iron", "rises-through-the-ball", "arms-pulled-in"),  # thin: the body rises, or the arms do
    ("chip", "rises-through-the-ball", "looks-up-before-the-strike"),
    ("mid-iron", "iron-ball-too-far-back", "handle-dragged-ahead"),
    ("mid-iron", "slides-past-the-lead-foot", "lunges-past-the-ball"),
    ("mid-iron", "hips-move-toward-ball", "stands-too-close"),  # heel: moves to the ball, or stood too near it
    ("mid-iron", "hips-move-toward-ball", "body-drifts-toward-ball"),
    ("mid-iron", "hands-thrown-outward", "stands-too-close"),
    ("mid-iron", "lie-too-upright", "face-set-toward"),  # the club's lie, or where the face was set
    ("mid-iron", "lie-too-flat", "face-set-away"),
    ("mid-iron", "shaft-too-stiff-or-heavy", "slows-into-the-ball"),
    ("mid-iron", "turns-too-little", "trunk-turn-limited"),  # does not turn, or can't
    ("mid-iron", "arc-bottom-wanders", "ball-position-drifts"),
    ("mid-iron", "normal-spread", "no-steady-routine"),  # nothing wrong, or no two set-ups alike
    ("mid-iron", "tension-before-the-result", "practice-all-alike"),
    ("driver", "driver-ball-too-far-back", "driver-weight-on-lead-foot"),
    ("driver", "driver-ball-too-far-back", "hits-down-on-driver"),
    ("driver", "driver-tilt-too-far-away", "driver-ball-too-far-forward"),
    ("driver", "driver-teed-high", "hits-down-on-driver"),
    ("putt", "putter-face-aimed-away", "putter-face-arrives-open"),  # aimed there, or turned there
    ("putt", "putter-face-aimed-toward", "putter-face-arrives-shut"),
    ("putt", "putt-break-read-too-small", "putter-face-aimed-toward"),
    ("putt", "green-speed-not-felt-first", "putt-length-does-not-match"),
    ("sand", "sand-pressure-stays-back", "sand-tries-to-scoop"),
    ("sand", "sand-swing-too-soft", "firm-sand-played-as-soft"),
    ("chip", "chip-chest-leans-back", "short-shot-ball-too-far-forward"),
    ("pitch", "short-shot-backswing-too-long", "slows-into-the-ball"),
    ("driver", "driver-shoulders-level", "driver-ball-too-far-back"),  # down on the ball: tilt or ball place
    ("driver", "driver-head-ahead", "driver-weight-on-lead-foot"),
    ("driver", "driver-loft-too-low", "driver-teed-low"),  # low: the club or the tee
    ("driver", "driver-loft-too-high", "driver-loft-thrown-on"),  # high: the club or the hands
    ("driver", "body-aimed-across", "aims-further-across-to-cure-a-curve"),  # by habit, or on purpose
    ("mid-iron", "stands-too-far", "arms-pulled-in"),  # toe: stands off, or draws in
    ("mid-iron", "weight-in-toes", "stands-too-close"),
    ("mid-iron", "face-set-away", "lead-hand-toward-target"),  # open before the swing, or made so by the hold
    ("mid-iron", "handle-rises-at-strike", "lie-too-flat"),  # the toe digs: the hands or the club
    ("mid-iron", "hands-too-low-or-high", "lie-too-upright"),
    ("mid-iron", "backswing-runs-long", "lead-arm-collapses-at-top"),
    ("mid-iron", "stands-up-going-back", "rises-through-the-ball"),  # tall too soon or too late
    ("mid-iron", "iron-tilt-away", "iron-weight-on-trail-foot"),
    ("hybrid", "long-club-asks-more-speed", "tries-to-lift-the-ball"),  # will not rise: speed, or the wish to help
    ("putt", "putt-stroke-brakes", "putt-length-does-not-match"),
    ("putt", "short-putts-guided", "movement-comes-unasked"),
    ("sand", "sand-entry-wanders", "sand-feet-not-settled"),
    ("pitch", "wedge-handle-dragged", "sole-does-not-suit-the-ground"),  # digs: the hands or the sole
]


@pytest.fixture(scope="module")
def bench(built_in: Library) -> Bench:
    return Bench(built_in)


def test_there_are_sixty_pairs_and_no_two_alike() -> None:
    assert len({frozenset(pair[1:]) for pair in PAIRS}) == len(PAIRS) >= 60


@pytest.mark.parametrize(("club", "first", "second"), PAIRS)
def test_a_check_tells_the_pair_apart(subject: Subject, bench: Bench, club: str, first: str, second: str) -> None:
    check, factor = best_check(subject, first, second)
    assert check is not None
    results = [result["id"] for result in subject.checks[check]["results"]]
    moved = max(
        abs(_log_odds(bench, club, first, second, {check: r}) - _log_odds(bench, club, first, second, {}))
        for r in results
    )
    assert math.exp(moved) == pytest.approx(factor, rel=1e-6)
    assert LEAST <= factor <= CAP


def _log_odds(bench: Bench, club: str, first: str, second: str, checks: dict[str, str]) -> float:
    """Log odds of the first cause acting alone against the second acting alone."""
    ranking = bench.ranking(bench.case({"shots": [{"club": club}], "checks": checks}))
    sets = ranking.model.sets
    alone = {
        name: np.flatnonzero((sets.sizes == 1) & (sets.members[:, 0] == ranking.model.place[name]))
        for name in (first, second)
    }
    chances = [float(ranking.probability[alone[name]].item()) for name in (first, second)]
    return math.log(chances[0] / chances[1])


def test_distance_is_the_integral_it_stands_for() -> None:
    """Bhattacharyya 1943: the distance is minus the log of the integral of the root of the product of densities."""
    for mean, sd in ((0.0, 1.0), (1.5, 1.0), (0.4, 2.5)):
        whole, _ = quad(lambda x, m=mean, s=sd: math.sqrt(norm.pdf(x, 0.3, 0.8) * norm.pdf(x, m, s)), -20, 20)
        found = _normal_distance(np.array([0.3]), np.array([0.64]), np.array([[mean]]), np.array([[sd**2]]))
        assert found[0] == pytest.approx(-math.log(whole), abs=1e-6)


def test_likeness_is_whole_for_itself_and_the_same_both_ways(subject: Subject) -> None:
    flights = Flights(subject)
    rows = np.stack([flights.alike(i) for i in range(len(flights.names))])
    assert np.allclose(np.diag(rows), 1.0)
    assert np.allclose(rows, rows.T)
    assert rows.min() >= 0.0


def test_opposite_causes_are_far_apart_and_aim_and_face_of_a_putter_are_not(subject: Subject) -> None:
    flights = Flights(subject)

    def alike(first: str, second: str) -> float:
        return float(flights.alike(flights.names.index(first))[flights.names.index(second)])

    assert alike("lead-hand-toward-target", "lead-hand-away-from-target") < 0.3
    assert alike("putter-face-aimed-away", "putter-face-arrives-open") > 0.9


def test_pairs_are_likest_first_and_named_once(subject: Subject) -> None:
    pairs = confusable(subject, least=0.9)
    assert [pair.flight for pair in pairs] == sorted((pair.flight for pair in pairs), reverse=True)
    assert len({frozenset((pair.first, pair.second)) for pair in pairs}) == len(pairs) > 0
    assert all(0.9 <= pair.flight <= 1.0 and 1.0 <= pair.factor <= CAP + 1e-9 for pair in pairs)
    assert all(subject.clubs_of_cause[pair.first] & subject.clubs_of_cause[pair.second] for pair in pairs)


def test_a_measurement_tells_causes_apart_that_move_what_it_reads(subject: Subject) -> None:
    readings = Readings(subject)
    check, factor = readings.best("body-aimed-across", "club-drops-under")
    assert check is not None
    assert factor > LEAST
    assert readings.best("body-aimed-across", "body-aimed-across")[1] == 1.0


def test_nothing_is_compared_where_there_is_no_geometry(small: Small) -> None:
    bare = Subject(load_layers([]))
    for compare in (Flights, Readings, confusable):
        with pytest.raises(ValueError, match="without clubs"):
            compare(bare)
    both = Subject(load_layers([small()]))
    assert confusable(both, least=0.0)[0].factor == pytest.approx(4.0)
