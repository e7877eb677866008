"""The questions of a lesson, as data, in the order in which they buy most.

Where the ball started and which way it bent are two questions, each with a row of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from arclore.tui.command.page import sentence
from arclore.tui.hand import for_hand, side_for_hand
from arclore.tui.lesson import COUNTED, SKIPPED, UNSURE, WORDS_SAFETY

MOST_CLUBS = 3


@dataclass(frozen=True)
class Choice:
    """One answer that can be chosen: its value, its words, a line of explanation and a letter of its own."""

    value: str
    label: str
    note: str = ""
    letter: str = ""


@dataclass(frozen=True)
class Question:
    """One question. ``several``: how many choices may stand together (1: the first one answers). A number is typed."""

    id: str
    ask: str
    short: str
    choices: tuple[Choice, ...] = ()
    several: int = 1
    number: bool = False
    hint: str = ""
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    must: bool = False
    none: str = ""  # what it means to choose nothing, where that is an answer
    aside: bool = False  # asked only when the coach goes to it

    @property
    def of_clubs(self) -> bool:
        """Whether it asks for the clubs."""
        return self.id == "clubs"

    @property
    def of_ball(self) -> bool:
        """Whether it asks what the ball did with a club."""
        return "@" in self.id

    @property
    def of_check(self) -> bool:
        return self.id.startswith("check:")

    def words(self, value: Any) -> str:
        """An answer to this question in words."""
        if value == SKIPPED:
            return "skipped"
        if value == UNSURE:
            return "not sure"
        if value == COUNTED:
            return "as counted"
        labels = {choice.value: choice.label for choice in self.choices}
        if isinstance(value, (list, tuple)):
            if not value:
                return self.none or "nothing"
            return (" or " if self.of_ball else ", ").join(labels.get(str(item), str(item)) for item in value)
        if isinstance(value, float):
            return f"{value:g}"
        return labels.get(str(value), str(value))


CLUBS = (
    Choice("driver", "driver"),
    Choice("fairway-wood", "fairway wood"),
    Choice("hybrid", "hybrid"),
    Choice("long-iron", "long iron"),
    Choice("mid-iron", "mid iron"),
    Choice("short-iron", "short iron"),
    Choice("wedge", "wedge, full swing"),
    Choice("pitch", "pitch"),
    Choice("chip", "chip"),
    Choice("sand", "sand shot"),
    Choice("putt", "putt"),
)
CLUB_WORDS = {choice.value: choice.label.split(",")[0] for choice in CLUBS}
YES_NO = (Choice("no", "no", letter="n"), Choice("yes", "yes", letter="y"))
HANDED = Question(
    "handed",
    "Which way does the player stand?",
    "hand",
    (Choice("right", "right-handed"), Choice("left", "left-handed")),
    hint="Left and right are then as you see them from behind the ball.",
)
LEVEL = Question(
    "level",
    "How far along is the player?",
    "level",
    (
        Choice("novice", "newer to the game"),
        Choice("intermediate", "plays regularly"),
        Choice("skilled", "skilled"),
    ),
)
FLAGS = {
    "junior": "a child or growing",
    "older-adult": "an older adult",
    "back-history": "back trouble, now or before",
    "neck-history": "neck trouble",
    "shoulder-history": "shoulder trouble",
    "wrist-elbow-history": "wrist or elbow trouble",
    "hip-knee-history": "hip or knee trouble",
    "balance-limits": "unsteady on the feet",
    "bone-fragility": "bones that break easily",
    "heart-history": "heart trouble",
    "pregnancy": "pregnancy",
    "hard-mats": "only hard mats here",
}
"""What a drill or check may not be done with, in words; the library says which of them it names."""
WHICH_CLUBS = Question(
    "clubs",
    "Which clubs show it? One, two or three.",
    "clubs",
    CLUBS,
    several=MOST_CLUBS,
    hint="One swing is played through every club you name: two clubs tell more than one.",
)
START, CURVE, HEIGHT, CONTACT = (
    Question(
        "start",
        "Where did the ball start, before any bend?",
        "started",
        (
            Choice("left", "left"),
            Choice("on-line", "at the target"),
            Choice("right", "right"),
            Choice("varies", "it varies"),
        ),
        hint="Stand behind the line. Not where it finished: where it set off.",
    ),
    Question(
        "curve",
        "Which way did it bend in the air?",
        "bent",
        (
            Choice("left-strong", "far left"),
            Choice("left-slight", "a bit left"),
            Choice("none", "no bend"),
            Choice("right-slight", "a bit right"),
            Choice("right-strong", "far right"),
            Choice("varies", "both ways"),
        ),
    ),
    Question(
        "height",
        "How high did it fly, set against this player's good one?",
        "flew",
        (Choice("low", "lower"), Choice("normal", "as usual"), Choice("high", "higher")),
    ),
    Question(
        "contact",
        "What was the contact? Several may be chosen.",
        "contact",
        (
            Choice("clean", "clean, from the middle"),
            Choice("thin", "thin: low on the ball"),
            Choice("top", "topped: the upper half"),
            Choice("fat", "ground before the ball"),
            Choice("sky", "high on the face, sky-high"),
            Choice("heel", "toward the heel"),
            Choice("toe", "toward the toe"),
            Choice("shank", "off the neck of the club"),
            Choice("miss", "missed the ball"),
        ),
        several=9,
        hint="Mark the face rather than ask: players feel it poorly.",
    ),
)
TURF = Question(
    "turf",
    "What does the turf show?",
    "turf",
    (
        Choice("none", "no mark"),
        Choice("after", "a shallow mark past the ball"),
        Choice("deep", "a deep mark"),
        Choice("behind", "a mark that begins before the ball"),
    ),
)
TEE = Question(
    "turf",
    "What do the tee and the ground show?",
    "tee",
    (
        Choice("none", "ground untouched"),
        Choice("after", "a brush past the tee"),
        Choice("deep", "a deep mark"),
        Choice("behind", "a scuff before the tee"),
    ),
)
SAND_MARK = Question(
    "turf",
    "What does the sand show?",
    "sand",
    (
        Choice("none", "no mark"),
        Choice("after", "a shallow mark from under the ball on"),
        Choice("deep", "a deep mark"),
        Choice("behind", "a mark that begins far behind the ball"),
    ),
)
SPLASH = Question(
    "contact",
    "What did the club meet? Several may be chosen.",
    "contact",
    (
        Choice("clean", "sand, and the ball came out on it"),
        Choice("fat", "too much sand: the ball stayed in or near"),
        Choice("thin", "the ball itself, low, and it flew far"),
        Choice("top", "the ball's upper half"),
        Choice("heel", "toward the heel"),
        Choice("toe", "toward the toe"),
        Choice("shank", "off the neck of the club"),
        Choice("miss", "missed the ball"),
    ),
    several=8,
)
TOUCH = Question(
    "contact",
    "Where on the face was the ball met? Several may be chosen.",
    "met",
    (
        Choice("clean", "the middle"),
        Choice("heel", "toward the heel"),
        Choice("toe", "toward the toe"),
        Choice("fat", "the green before the ball"),
    ),
    several=4,
    hint="Mark the face rather than ask: players feel it poorly.",
)
LAUNCH = Question(
    "height",
    "How did the ball leave the face?",
    "left the face",
    (Choice("low", "pressed into the green first"), Choice("normal", "rolled or skimmed"), Choice("high", "hopped")),
)
DISTANCE = Question(
    "finish",
    "How far did it go, set against what was meant?",
    "went",
    (
        Choice("short", "too short"),
        Choice("as-meant", "as meant"),
        Choice("long", "too far"),
        Choice("varies", "now short, now far"),
    ),
)
BALLS = Question(
    "balls",
    "On how many balls was this seen?",
    "seen on",
    (
        Choice("1", "one ball"),
        Choice("2", "two balls"),
        Choice("3", "three balls"),
        Choice("4", "four balls"),
        Choice("usual", "five or more, or usually"),
    ),
    hint="Fewer than five say little: chance alone moves single balls.",
)


def safety_questions(texts: Sequence[str]) -> list[Question]:
    """The questions that come before anything else; they cannot be skipped."""
    hint = "Not sure counts as yes. Nothing is ranked until all of these are answered with no."
    return [
        Question(f"safety:{number}", text, f"safety {number + 1}", YES_NO, hint=hint, must=True)
        for number, text in enumerate(texts)
    ]


def flags_of(*kinds: Mapping[str, Mapping[str, Any]]) -> tuple[str, ...]:
    """Every flag that some entry of these kinds names, in the order in which they are asked."""
    named = {flag for entries in kinds for entry in entries.values() for flag in entry.get("not_for", ())}
    return tuple(flag for flag in FLAGS if flag in named)


def spared(flags: Sequence[str]) -> Question:
    """The question what must be avoided today; only what changes the choice of drills, nothing personal."""
    return Question(
        "avoid",
        "Does any of this hold today? Several may be chosen.",
        "to avoid",
        tuple(Choice(flag, FLAGS[flag]) for flag in flags),
        several=max(len(flags), 2),
        hint="Drills and checks that must not be done with it are then left out.",
        none="none of these",
    )


FULL_SWING = (START, CURVE, HEIGHT, CONTACT, TURF)
SHORT_SHOT = (START, HEIGHT, CONTACT, TURF, DISTANCE)
ASKED = {
    "driver": (START, CURVE, HEIGHT, CONTACT, TEE),
    "pitch": SHORT_SHOT,
    "chip": SHORT_SHOT,
    "sand": (START, HEIGHT, SPLASH, SAND_MARK, DISTANCE),
    "putt": (START, LAUNCH, TOUCH, DISTANCE),
}
"""What is asked of a club's ball, where it is not what is asked of a full swing from the turf."""


def club_questions(club: str) -> list[Question]:
    """The questions about one club."""
    words = CLUB_WORDS.get(club, club)
    asked = (*ASKED.get(club, FULL_SWING), BALLS)
    return [
        Question(
            f"{q.id}@{club}", f"{words}: {q.ask[:1].lower()}{q.ask[1:]}", f"{words} {q.short}", q.choices,
            several=q.several, hint=q.hint,
        )
        for q in asked
    ]  # fmt: skip


SEVERAL_CLUBS = (("start", "curve"), ("contact",), ("height",), ("turf",), ("balls",))
"""What is asked of every club of the full swing before the next of these is: they share one swing, so that a second
club's start and bend tell more than the rest of the first one's flight."""


def flight_questions(clubs: Sequence[str]) -> list[Question]:
    """The questions about all these clubs: those of one swing in turns, any other club by itself."""
    asked = {club: club_questions(club) for club in clubs}
    together = [club for club in clubs if CURVE in ASKED.get(club, FULL_SWING)]
    if len(together) < 2:
        return [question for club in clubs for question in asked[club]]
    turns = [
        question
        for names in SEVERAL_CLUBS
        for club in together
        for question in asked[club]
        if question.id.partition("@")[0] in names
    ]
    return turns + [question for club in clubs if club not in together for question in asked[club]]


def check_question(name: str, entry: Mapping[str, Any], handed: str) -> Question:
    """A check of the library as a question: its results are the choices, or a number is typed."""
    number = entry["type"] == "measurement"
    results = [(r["id"], for_hand(r["when"], handed), for_hand(r["means"], handed)) for r in entry["results"]]
    return Question(
        f"check:{name}",
        for_hand(entry["asks"], handed),
        f"check: {for_hand(entry['title'], handed)}",
        () if number else tuple(Choice(value, when, means) for value, when, means in results),
        number=number,
        hint=_reading(entry, results, handed) if number else "",
        steps=tuple(for_hand(step, handed) for step in entry["how"]),
        cautions=tuple(for_hand(caution, handed) for caution in entry.get("cautions", ())),
    )


def _reading(entry: Mapping[str, Any], results: Sequence[tuple[str, str, str]], handed: str) -> str:
    """How to read a measured number: which side the away side is, and what ranges of it mean."""
    side = f"The away side is the {side_for_hand('away', handed)} here. " if "away side" in entry["asks"] else ""
    return side + " ".join(f"{sentence(f'{when}: {means}')}" for _, when, means in results)


def questions(
    answers: Mapping[str, Any],
    clubs: Sequence[str],
    safety: Sequence[str],
    checks: Mapping[str, Mapping[str, Any]],
    offered: Sequence[str],
    handed: str,
    flags: Sequence[str] = (),
) -> list[Question]:
    """Every question of the lesson as it stands: safety, who, clubs, what balls did, checks done, checks offered."""
    result = safety_questions(safety)
    if WORDS_SAFETY in answers:
        ask = "The student's words speak of pain or of a warning sign. Is that so today?"
        result.append(Question(WORDS_SAFETY, ask, "safety, words", YES_NO, must=True))
    result += [HANDED, LEVEL, *([spared(flags)] if flags else []), WHICH_CLUBS]
    result += flight_questions(clubs)
    done = [question.removeprefix("check:") for question in answers if question.startswith("check:")]
    for name in dict.fromkeys([*done, *offered]):
        if name in checks:
            result.append(check_question(name, checks[name], handed))
    return result
