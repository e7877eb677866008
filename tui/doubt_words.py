"""The doubts of an answer in words, each one line: answers that disagree, causes that compete, how firm the lead is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.tui.command.page import in_hundred, number, sentence
from arclore.tui.hand import for_hand
from arclore.tui.measures import measured
from arclore.tui.questions import CLUB_WORDS
from arclore.tui.wording import finding_words

CLOSE = 0.8  # times as common: nearer than that the first two are as good as equal, which is said elsewhere
WORTH_WARNING = 0.25  # P(three causes act) from which it is said


def doubt_lines(answer: Mapping[str, Any], titles: Mapping[str, str], units: str = "metric") -> list[str]:
    """All that is doubtful, most urgent first. titles: of symptoms and checks, by id."""
    handed = answer["handed"]
    lines = [
        conflict_line(answer, titles),
        more_line(answer),
        _explained(answer["explained_away"], titles, handed),
        *_firm(answer["firmness"], titles, handed, units),
    ]
    return [line for line in lines if line]


def conflict_line(answer: Mapping[str, Any], titles: Mapping[str, str]) -> str:
    """Answers that do not fit together, and which one to ask again; "" where they do."""
    found = answer["conflict"]
    if not found or not found["ask_again"]:
        return ""
    asked = finding_words(found["ask_again"]["finding"], titles, answer["handed"])
    return f"The answers do not fit together ({number(found['bits'])} bits against): ask again about {asked}."


def more_line(answer: Mapping[str, Any]) -> str:
    """A warning where more causes may be acting than are weighed; "" where not."""
    acting, three = answer["acting"], answer["mass_left_out"]
    if (two := answer["sets_of_two"]) is not None:
        return _of_two(two, answer["handed"])
    if three is not None:
        told = f"Three causes at once: {in_hundred(three)}, and only up to two are weighed here."
        return told if three >= WORTH_WARNING else ""
    if not acting or not acting["more_may_act"]:
        return ""
    most = len(acting["chances"]) - 1
    chance = in_hundred(acting["chances"][most])
    return f"{most} causes at once, the most that are weighed here: {chance}; more may be acting."


def _of_two(found: Mapping[str, Any], handed: str) -> str:
    """What pairs of causes change in a library so large that one cause at a time is ranked."""
    first = found["causes"][0]
    leads = f"{for_hand(first['title'], handed)} ({in_hundred(first['probability'])})"
    told = f"The library is large: one cause at a time is ranked. Two at once: {in_hundred(found['probability'])}"
    return f"{told}; with those counted, first comes: {leads}."


def _explained(found: Mapping[str, Any] | None, titles: Mapping[str, str], handed: str) -> str:
    if found is None:
        return ""
    finding = finding_words(found["finding"], titles, handed)
    return sentence(
        f"{for_hand(found['title'], handed)}: this would show as {finding} too, but the leading cause explains that; "
        f"{in_hundred(found['with_it'])} where that one acts, {in_hundred(found['without_it'])} where it does not"
    )


def _firm(turns: list[Mapping[str, Any]], titles: Mapping[str, str], handed: str, units: str) -> list[str]:
    """The number that would have to move least before another cause leads, and the nearest measured one."""
    chosen = turns[:1]
    chosen += [turn for turn in turns[1:] if turn["number"] == "measured"][:1]
    lines = []
    for turn in chosen:
        if turn["number"] == "how_common" and turn["until"] > CLOSE:
            continue
        then = for_hand(turn["then"]["title"], handed)
        lines.append(sentence(f"{_were(turn, titles, handed, units)}, another would lead: {then}"))
    return lines


def _were(turn: Mapping[str, Any], titles: Mapping[str, str], handed: str, units: str) -> str:
    kind, now, until = turn["number"], turn["now"], turn["until"]
    if kind == "how_common":
        return f"Were the leading cause {number(until, 2)} times as common as the library says"
    if kind == "measured":
        club, _, quantity = turn["of"].partition(": ")
        name, _, unit = quantity.rpartition("_")
        (read, shown), (moved, _) = (measured(value, unit, units) for value in (now, until))
        words = f"{name.replace('_', ' ')} with the {CLUB_WORDS.get(club, club)}"
        return f"Had the {words} read {number(moved)} {shown}, not {number(read)}"
    of = finding_words(turn["of"], titles, handed)
    often = f"{in_hundred(until)}, not {in_hundred(now)}"
    if kind == "link":
        return f"Did the leading cause alone show this in {often} ({of})"
    where = "one of its causes acts" if kind == "sensitivity" else "none of its causes acts"
    return f"Were this check right in {often}, where {where} ({of})"
