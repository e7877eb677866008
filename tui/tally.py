"""Balls counted one key at a time: what is counted, what a count tells, and a count beside that of a first visit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from arclore.engine.diagnosis.visits import compare
from arclore.tui.lesson import Lesson
from arclore.tui.questions import CLUB_WORDS, Choice, club_questions

TEN, MOST, ENOUGH = 10, 30, 5  # balls: asked for, taken at most, needed before anything is said
MIXED = "varies"
SURE, HINT = 0.05, 0.2  # chances by luck alone below which a change is more than that, or perhaps more
KEPT = ("handed", "level", "avoid", "clubs")  # what the next visit need not ask again


def key_of(variable: str, club: str) -> str:
    """What a count is kept under in the lesson."""
    return f"tally:{variable}@{club}"


def choices_of(variable: str, club: str) -> tuple[str, tuple[Choice, ...]]:
    """The question of a count and the kinds of ball that it tells apart."""
    question = next(q for q in club_questions(club) if q.id == f"{variable}@{club}")
    ask = question.ask.replace(" Several may be chosen.", "").partition(": ")[2]
    return ask[:1].upper() + ask[1:], tuple(choice for choice in question.choices if choice.value != MIXED)


def worth(balls: int) -> str:
    """What so many balls are worth, and what more of them would tell."""
    if balls < ENOUGH:
        more = ENOUGH - balls
        return f"Too early to say: hit {more} {'more ' if balls else ''}{'ball' if more == 1 else 'balls'} at least."
    if balls < TEN:
        return f"The ranking counts on them. {TEN - balls} more also tell how much the balls scatter."
    return "The ranking counts on them, and on how much they scatter."


def next_visit(earlier: Lesson, name: str) -> Lesson:
    """The lesson of a next visit: who and which clubs as before, and the first visit's counts to compare with."""
    answers = earlier.answers
    kept = [(question, answers[question]) for question in KEPT if question in answers]
    first = {q.partition(":")[2]: v for q, v in answers.items() if q.startswith("tally:")}
    first |= {q.partition(":")[2]: v for q, v in answers.items() if q.startswith("before:")}
    events = [("visit", name), *kept, *((f"before:{what}", balls) for what, balls in first.items() if balls)]
    return Lesson(tuple(events), len(events))


def counted_words(key: str, balls: Sequence[str]) -> str:
    """A count in a line: "driver started: left 7, right 3"."""
    variable, _, club = key.partition(":")[2].partition("@")
    _, choices = choices_of(variable, club)
    counts = Counter(balls)
    short = {"start": "started", "curve": "bent", "contact": "contact"}[variable]
    told = ", ".join(f"{choice.label} {counts[choice.value]}" for choice in choices if counts[choice.value])
    return f"{CLUB_WORDS.get(club, club)} {short}: {told or 'no ball yet'}"


def compared(key: str, before: Sequence[str], now: Sequence[str]) -> list[str]:
    """The commonest ball of the first visit, then and now, and whether luck alone would part them so."""
    if not before or len(now) < ENOUGH:
        return [f"{ENOUGH} balls at least, ten if there is time: then they are set beside the first visit's."]
    variable, _, club = key.partition(":")[2].partition("@")
    labels = {choice.value: choice.label.split(":")[0].split(",")[0] for choice in choices_of(variable, club)[1]}
    kind = Counter(before).most_common(1)[0][0]
    then, here = (Counter(before)[kind], len(before)), (Counter(now)[kind], len(now))
    change = compare(then, here)
    luck = f"by luck alone two such counts lie this far apart {round(100 * change.chance)} times in 100"
    word = (
        "More than luck would give"
        if change.chance < SURE
        else "Perhaps more than luck, but not sure"
        if change.chance < HINT
        else "No more than luck would give"
    )
    return [
        f"{labels.get(kind, kind).capitalize()}: {_of(then)} at the first visit, {_of(here)} now.",
        f"{word}: {luck}.",
        f"In the long run it is between {_points(change.low)} and {_points(change.high)} of 100 balls, 19 times in 20.",
    ]


def _of(count: tuple[int, int]) -> str:
    return f"{count[0]} of {count[1]}"


def _points(share: float) -> str:
    size = round(100 * share)
    return f"{abs(size)} {'more' if size > 0 else 'fewer'}" if size else "no change"
