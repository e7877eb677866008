"""One lesson as plain state: the answers in the order they were given, undo and redo, and the case they make.

Nothing here knows of a screen or a file. An answer is whatever JSON can hold; the id of a question says what it is
about: ``safety:0``, ``handed``, ``level``, ``clubs``, ``start@driver``, ``check:tee-ladder``, ``said:slice``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

FORMAT = 1
SKIPPED = "skipped"
UNSURE = "unsure"
ASKED = "asked"  # stands for an answer that is still awaited
COUNTED = "counted"  # stands for the balls that were counted
PROVED = "proved"  # the question under which a confirmed cause is kept, as the line of the confirmed lesson
NOT_SAID = (None, SKIPPED, UNSURE, ASKED)
MOST_EVENTS = 5000
WORDS_SAFETY = "safety:words"
FLIGHT = ("start", "curve", "height", "contact", "turf", "finish")
LISTS = ("contact", "turf")  # of which a shot may name several
TALLIED = ("start", "curve", "contact")  # what can be counted ball by ball
VARIES = {
    "start": {"putt": "putts-start-on-both-sides", "": "start-line-scatter"},
    "curve": {"": "two-way-miss"},
    "finish": {
        "putt": "putt-pace-varies",
        "sand": "sand-distances-vary",
        "pitch": "wedge-distances-vary",
        "chip": "wedge-distances-vary",
    },
}
"""The symptom that stands for "it varies" where one side cannot be named, by club; "" for all others."""
Event = tuple[str, Any]


@dataclass(frozen=True)
class Lesson:
    """Events as they were answered, of which the first ``done`` count; those after it can be redone."""

    events: tuple[Event, ...] = ()
    done: int = 0

    @property
    def answers(self) -> dict[str, Any]:
        """The answer that stands for each question; the latest wins."""
        return dict(self.events[: self.done])

    def answered(self, question: str, value: Any) -> Lesson:
        """The lesson with one more answer; what could have been redone is gone."""
        return Lesson((*self.events[: self.done], (question, value)), self.done + 1)

    def undone(self) -> Lesson:
        """The lesson with its last answer taken back; itself where there is none."""
        return Lesson(self.events, max(self.done - 1, 0))

    def redone(self) -> Lesson:
        """The lesson with the answer last taken back given again; itself where there is none."""
        return Lesson(self.events, min(self.done + 1, len(self.events)))

    def last(self) -> Event | None:
        """The answer that an undo would take back."""
        return self.events[self.done - 1] if self.done else None

    @property
    def clubs(self) -> tuple[str, ...]:
        """The clubs of the case, in the order in which they are offered."""
        chosen = self.answers.get("clubs")
        return tuple(chosen) if isinstance(chosen, (list, tuple)) else ()

    @property
    def handed(self) -> str:
        given = self.answers.get("handed")
        return str(given) if given in ("left", "right") else "unknown"


def to_json(lesson: Lesson) -> dict[str, Any]:
    """The lesson as a mapping that JSON can hold."""
    return {"format": FORMAT, "done": lesson.done, "events": [list(event) for event in lesson.events]}


def from_json(value: Any) -> Lesson:
    """The lesson of such a mapping. Raises ValueError, one line, for anything else."""
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise ValueError(f"not a lesson of format {FORMAT}")
    events, done = value.get("events"), value.get("done")
    if not isinstance(events, list) or len(events) > MOST_EVENTS:
        raise ValueError("its events are missing or too many")
    if not all(isinstance(e, list) and len(e) == 2 and isinstance(e[0], str) for e in events):
        raise ValueError("an event is not a pair of question and answer")
    if not isinstance(done, int) or isinstance(done, bool) or not 0 <= done <= len(events):
        raise ValueError("its count of answers is out of range")
    if not all(_sound(question, answer) for question, answer in events):
        raise ValueError("an answer is of a kind that no question takes")
    return Lesson(tuple((str(question), answer) for question, answer in events), done)


def _sound(question: str, answer: Any) -> bool:
    """Whether an answer is of a kind that a question takes: words, a number, a list of words, or accepted words."""
    if question.startswith("said:"):
        return (
            isinstance(answer, dict)
            and isinstance(answer.get("outcome"), dict)
            and isinstance(answer.get("findings"), list)
            and isinstance(answer.get("club", ""), str)
            and all(isinstance(name, str) for name in [*answer["findings"], *answer["outcome"]])
        )
    if isinstance(answer, list):
        return all(isinstance(item, str) for item in answer)
    return isinstance(answer, (str, int, float)) and not isinstance(answer, bool)


def gate(answers: Mapping[str, Any], questions: int) -> str:
    """Where the safety questions stand: ``stopped``, ``open`` (all answered no) or ``waiting``.

    "Not sure" counts as yes: whoever is not sure is looked at first.
    """
    given = [answers.get(f"safety:{number}") for number in range(questions)]
    if WORDS_SAFETY in answers:
        given.append(answers[WORDS_SAFETY])
    if any(answer in ("yes", UNSURE) for answer in given):
        return "stopped"
    return "open" if given and all(answer == "no" for answer in given) else "waiting"


def case_input(lesson: Lesson) -> dict[str, Any]:
    """The case that the answers make, as ``triage`` takes it: literal left and right as seen."""
    answers = lesson.answers
    said = [value for question, value in answers.items() if question.startswith("said:") and isinstance(value, dict)]
    stated = {question: value for question, value in answers.items() if value not in NOT_SAID}
    case: dict[str, Any] = {
        "handed": lesson.handed,
        "level": stated.get("level", "unknown"),
        "shots": [shot for club in lesson.clubs for shot in _shots(club, stated, said, lesson.handed)],
    }
    present = [
        of_club.get(club, of_club.get("", ""))
        for name, of_club in VARIES.items()
        for club in lesson.clubs
        if stated.get(f"{name}@{club}") == "varies"
    ]
    present += [finding for proposal in said for finding in proposal.get("findings", ())]
    if present:
        case["present"] = list(dict.fromkeys(present))
    theories = [proposal["theory"] for proposal in said if proposal.get("theory")]
    if theories:
        case["theories"] = theories
    checks = {q.removeprefix("check:"): value for q, value in stated.items() if q.startswith("check:")}
    if checks:
        case["checks"] = checks
    case |= _at_hand(stated)
    if stated.get("avoid"):
        case["avoid"] = [str(flag) for flag in stated["avoid"]]
    case["pain"] = any(q.startswith("safety:") and v in ("yes", UNSURE) for q, v in answers.items())
    return case


def _at_hand(stated: Mapping[str, Any]) -> dict[str, Any]:
    """Minutes, place and missing kit, as far as they were told."""
    given = {name: stated[name] for name in ("place", "without") if stated.get(name)}
    minutes = stated.get("minutes")
    return {**given, "minutes": int(minutes)} if isinstance(minutes, str) and minutes.isdecimal() else given


def balls_of(answers: Mapping[str, Any], key: str) -> list[str]:
    """The balls kept under a key, in the order in which they were hit."""
    given = answers.get(key)
    return [str(ball) for ball in given] if isinstance(given, list) else []


def _shots(
    club: str, stated: Mapping[str, Any], said: Sequence[Mapping[str, Any]], handed: str
) -> list[dict[str, Any]]:
    """What one club did: what was said of it, and its balls that were counted, a line for each kind."""
    kinds: list[dict[str, Any]] = []
    for variable in TALLIED:
        balls = balls_of(stated, f"tally:{variable}@{club}")
        if balls and stated.get(f"{variable}@{club}", COUNTED) == COUNTED:
            counts = sorted(Counter(balls).items())
            kinds += [{"club": club, **_named(variable, kind), "count": count} for kind, count in counts]
    counted = {name for kind in kinds for name in kind}
    shot = _shot(club, {q: v for q, v in stated.items() if v != COUNTED}, said, handed, counted)
    return [shot, *kinds] if len(shot) > 1 or not kinds else kinds


def _shot(
    club: str, stated: Mapping[str, Any], said: Sequence[Mapping[str, Any]], handed: str, counted: Container[str]
) -> dict[str, Any]:
    """What was said of one club: the coach's own answers, and accepted words where the coach has said nothing."""
    shot: dict[str, Any] = {"club": club}
    for variable in (name for name in FLIGHT if name not in counted):
        value = stated.get(f"{variable}@{club}")
        if value is None:
            own = (p for p in said if p.get("club", "") in ("", club))  # words that name another club are of that one
            value = next((v for p in own if (v := _accepted(p, variable, handed)) is not None), None)
        if value is None or value in ("varies", "as-meant"):
            continue
        shot |= _named(variable, value)
    balls = stated.get(f"balls@{club}")
    if isinstance(balls, str) and balls.isdecimal() and len(shot) > 1:
        shot["count"] = int(balls)
    return shot


def _named(variable: str, value: Any) -> dict[str, Any]:
    """A value of a variable as a shot has it."""
    if variable == "curve":
        side, _, bend = str(value).partition("-")
        return {"curve": side, **({"bend": bend} if bend else {})}
    if variable in LISTS:
        return {variable: [value] if isinstance(value, str) else list(value)}
    return {variable: value}


def _accepted(proposal: Mapping[str, Any], variable: str, handed: str) -> Any:
    """What accepted words say of a variable, as this golfer sees it; None where they say nothing."""
    outcome = proposal.get("outcome", {})
    value = outcome.get(variable)
    if variable not in ("start", "curve", "finish") or value is None:
        return value
    near, far = ("right", "left") if handed == "left" else ("left", "right")
    side = {"toward": near, "away": far}.get(value, value)
    if variable == "curve" and side != "none" and outcome.get("bend"):
        return f"{side}-{outcome['bend']}"
    return side
