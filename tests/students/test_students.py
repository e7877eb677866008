"""Simulated students: they start from the engine's posterior, and what is not listed rises where checks say no."""

from __future__ import annotations

import numpy as np
import pytest
from arclore.engine.diagnosis.next_check import lead_rise
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library

from tests.reference_library import reference_library
from tests.students.drawn import CLUBS, acting, chosen, draw
from tests.students.exact import Proposal, exact, weights
from tests.students.lesson import ASKED, STAGES, Desk, Track, Truth, begun, play
from tests.students.report import acts, calibration, hits
from tests.students.simulate import World, refuted, teach


@pytest.fixture(scope="module")
def desk() -> Desk:
    return Desk(Bench(load_library()), "intermediate")


def test_a_lesson_ends_in_time_and_its_answers_are_the_engines(desk: Desk) -> None:
    random = np.random.default_rng(5)
    world = World.of(desk, random)
    drawn = draw(desk.model, 4, random, world.change)
    start = begun(desk, drawn)
    played = play(desk, drawn, Truth(desk, drawn, world.links), "bits", random, start)
    truth = acts(drawn.members, desk.model.unlisted)
    for k, track in enumerate(played.tracks):
        checked = [float(desk.items[j].minutes) for _, j, _ in track.answers if not desk.items[j].question]
        assert sum(checked) <= STAGES[-1]
        told = [(desk.items[j].id, yes) for _, j, yes in track.answers[:ASKED]]
        given = {
            **drawn.case(k, desk.level),
            "present": [name for name, yes in told if yes],
            "absent": [name for name, yes in told if not yes],
        }
        assert played.marginals[0][k] == pytest.approx(desk.ranking(given, {}).marginal, abs=2e-3)
    assert played.marginals[0].shape == (len(drawn), desk.model.unlisted + 1)
    assert 0.0 <= hits(played.marginals[-1][:, :-1], truth, 3) <= 1.0


def test_answers_make_surer_of_the_leader_as_the_engine_says(desk: Desk) -> None:
    told = {"handed": "right", "level": desk.level, "shots": [{"club": club, "start": "left"} for club in CLUBS]}
    posterior, which = desk.ranking(told, {}).probability, np.arange(0, len(desk.items), 40)
    rates = [desk.items[j].rate for j in which]
    one_by_one = [lead_rise(desk.model.sets, posterior, (rate, 1.0 - rate)) for rate in rates]
    assert max(one_by_one) > 1e-4
    assert desk.rises(posterior.astype(np.float32), which) == pytest.approx(one_by_one, abs=1e-6)


def test_what_is_not_listed_rises_when_the_leaders_are_ruled_out(desk: Desk) -> None:
    random = np.random.default_rng(6)
    before, after = refuted(desk, begun(desk, draw(desk.model, 8, random)))
    assert (after > before).all()


def test_calibration_of_a_perfect_engine_is_chance_alone_and_of_a_bold_one_is_not() -> None:
    random = np.random.default_rng(7)
    said = random.random((20_000, 1)) * 0.8 + 0.1
    truth = random.random((20_000, 1)) < said
    error, noise = calibration(said, truth, random)
    assert error < 2.0 * noise < 0.03
    assert calibration(np.minimum(said + 0.1, 1.0), truth, random)[0] > 0.08


def test_chosen_checks_beat_random_ones_and_counting_symptoms() -> None:
    random = np.random.default_rng(8)
    reference = Desk(Bench(reference_library()), "intermediate")
    taught = teach(World.of(reference, random), reference, 150, random, ("bits", "random"))
    first = {rule: hits(chances[-1], taught.truth, 1) for rule, chances in taught.by_rule.items()}
    assert first["bits"] > max(first["counting"], first["counting alone"], first["random"]) + 0.03
    assert hits(taught.chance("bits", 2), taught.truth, 1) > hits(taught.chance("bits", 0), taught.truth, 1) + 0.1


def test_students_who_say_the_same_bear_the_engine_and_exact_inference_out(desk: Desk) -> None:
    """The commonest complaint, by playing 150,000 students: what causes they have is the exact posterior."""
    random = np.random.default_rng(9)
    many = draw(desk.model, 150_000, random)
    keys, first, times = np.unique(many.keys(), return_index=True, return_counts=True)
    common = int(np.argmax(times))
    same = chosen(many, many.keys() == keys[common])
    assert len(same) > 500
    ranked = desk.ranking(many.case(int(first[common]), desk.level), {})
    counted = acts(same.members, desk.model.unlisted).mean(axis=0)
    proposal = Proposal(desk, ranked.probability)
    weighed, count = exact(desk, int(keys[common]), Track(), proposal, many, 50_000, random)
    assert count > 200.0
    for said, number in ((ranked.marginal[: desk.model.unlisted], np.inf), (weighed, count)):
        noise = np.sqrt(said * (1.0 - said) * (1.0 / len(same) + 1.0 / number))
        assert np.abs(said - counted).max() < 0.03 + 3.0 * noise.max()
    assert np.corrcoef(ranked.marginal[:-1], counted)[0, 1] > 0.8
    assert weights(desk, same, Track()) == pytest.approx(np.ones(len(same)))


def test_proposed_causes_weigh_as_much_as_drawn_ones(desk: Desk) -> None:
    """Whatever the ranking holds likely, weighted proposals have the world's own number and chance of causes."""
    random = np.random.default_rng(10)
    told = {"handed": "right", "level": desk.level, "shots": [{"club": club, "start": "left"} for club in CLUBS]}
    members, ratio = Proposal(desk, desk.ranking(told, {}).probability).draw(100_000, random)
    assert ratio.mean() == pytest.approx(1.0, abs=0.02)
    sizes = np.bincount((members >= 0).sum(axis=1), weights=ratio, minlength=4) / len(members)
    assert sizes == pytest.approx(desk.model.settings["acting_causes"], abs=0.02)
    said = acts(members, desk.model.unlisted)
    world = acts(acting(desk.model, 100_000, random), desk.model.unlisted)
    assert ratio @ said / len(members) == pytest.approx(world.mean(axis=0), abs=0.01)
