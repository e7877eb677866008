"""``python -m tests.students.questions driver,mid-iron [STUDENTS] [LEVEL]``: what an order of questions buys.

Expected bits of each answer about which causes act, added up in three orders: as the desk asks, club by club, and the
most telling question each time. Students are drawn from the model itself: each answer with the chance that the answers
before it give it.
"""

from __future__ import annotations

import argparse

import numpy as np
from arclore.engine.diagnosis.triage import Bench
from arclore.engine.library.stack import load_library
from arclore.engine.quantities import Array
from arclore.tui.lesson import LISTS, Lesson, case_input
from arclore.tui.questions import club_questions, flight_questions

LEFT_OUT = ("varies", "miss", "shank", "as-meant")  # answers that say nothing of the flight's words
MOST = 8  # answers of a lesson that are looked at
Answers = tuple[tuple[str, object], ...]


class Asked:
    """The questions about these clubs, and what each would tell."""

    def __init__(self, clubs: list[str], level: str) -> None:
        self.bench = Bench(load_library())
        self.base: Answers = (("handed", "right"), ("level", level), ("clubs", clubs))
        self.by_club = [q.id for club in clubs for q in club_questions(club) if not q.id.startswith("balls")]
        self.at_desk = [q.id for q in flight_questions(clubs) if q.id in self.by_club]
        self.values = {
            q.id: [c.value for c in q.choices if c.value not in LEFT_OUT] for q in flight_questions(clubs)
        }  # of a question that takes several, one at a time

    def told(self, answers: Answers, question: str, value: str) -> Answers:
        several = question.partition("@")[0] in LISTS
        return (*answers, (question, [value] if several else value))

    def joint(self, answers: Answers) -> Array:
        """Chance of the answers together with each set of causes."""
        events = (*self.base, *answers)
        ranking = self.bench.ranking(self.bench.case({**case_input(Lesson(events, len(events))), "pain": False}))
        return np.asarray(ranking.model.prior * ranking.flight(frozenset(ranking.answers)))

    def worth(self, answers: Answers, question: str) -> tuple[float, Array]:
        """Expected bits of the question, and the chance of each of its answers."""
        joint = np.array([self.joint(self.told(answers, question, value)) for value in self.values[question]])
        joint /= joint.sum()
        chance, sets = joint.sum(axis=1), joint.sum(axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            bits = np.where(joint > 0.0, joint * np.log2(joint / (chance[:, None] * sets)), 0.0)
        return float(bits.sum()), chance

    def lesson(self, order: list[str], random: np.random.Generator, chosen: bool) -> list[float]:
        """Bits after each answer of one lesson; chosen: the most telling question each time."""
        answers: Answers = ()
        left, bits = list(order), [0.0]
        while left and len(bits) <= MOST:
            offered = left if chosen else left[:1]
            (gain, chance), question = max(((self.worth(answers, q), q) for q in offered), key=lambda row: row[0][0])
            value = self.values[question][random.choice(len(chance), p=chance)]
            answers = self.told(answers, question, value)
            left.remove(question)
            bits.append(bits[-1] + gain)
        return bits[1:]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.students.questions")
    parser.add_argument("clubs")
    parser.add_argument("students", type=int, nargs="?", default=16)
    parser.add_argument("level", nargs="?", default="intermediate")
    given = parser.parse_args()
    asked = Asked(given.clubs.split(","), given.level)
    ways = {"at the desk": asked.at_desk, "club by club": asked.by_club, "most telling": asked.by_club}
    for name, order in ways.items():
        random = np.random.default_rng(2)
        rows = np.array([asked.lesson(order, random, name == "most telling") for _ in range(given.students)])
        print(f"{name:14}", *(f"{mean:.2f}" for mean in rows.mean(axis=0)), flush=True)


if __name__ == "__main__":
    main()
