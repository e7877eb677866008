"""An answer of the engine in the words a coach speaks: chances, bits, places in the swing, what the club did.

Every figure stands inside a sentence. Nothing here draws; the results are plain strings that a screen escapes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from arclore.tui.chances import STANDS_OUT, likely, standing
from arclore.tui.command.page import counted, listed, sentence
from arclore.tui.hand import for_hand, side_for_hand
from arclore.tui.measures import measured
from arclore.tui.questions import CLUB_WORDS, FLAGS

STAGE_WORDS = {
    "set-up": "set-up",
    "aim": "aim",
    "grip": "hold on the club",
    "backswing": "backswing",
    "change-of-direction": "change of direction",
    "downswing": "downswing",
    "strike": "strike",
    "release": "release",
    "body": "body",
    "equipment": "equipment",
    "lie-and-turf": "lie and turf",
    "strategy-and-mind": "strategy and mind",
    "nothing-to-fix": "nothing to fix",
    "see-a-health-professional": "see a health professional",
}
GROUPS = {
    "set-up": ("set-up", "aim", "grip"),
    "swing": ("backswing", "change-of-direction", "downswing", "strike", "release"),
}
"""What is settled before the club moves, and what happens while it moves."""
WORTH_SAYING = 1 / 3  # from here on "nothing to fix" and "none of these" may head the page
CLEARLY = 2.5  # how many times the other group's share makes it plain
BENDS = {"strong": "far", "slight": "a bit"}
BITS_WORDS = ((3.0, "very strongly"), (1.5, "strongly"), (0.5, "somewhat"), (0.0, "slightly"))
VARIABLE_WORDS = {
    "start": "started",
    "curve": "bent",
    "finish": "finished",
    "height": "flew",
    "contact": "contact was",
    "face part": "was struck",
    "turf": "left",
}
VALUE_WORDS = {
    "start": {"on-line": "at the target"},
    "curve": {
        "none": "not at all",
        **{f"{side} ({bend})": f"{much} {side}" for side in ("left", "right") for bend, much in BENDS.items()},
    },
    "finish": {"on-line": "at the target"},
    "height": {"normal": "as high as usual"},
    "contact": {
        "top": "topped",
        "fat": "fat (the ground before the ball)",
        "sky": "high on the face",
        "heel": "toward the heel",
        "toe": "toward the toe",
        "shank": "off the neck of the club",
        "miss": "missed",
    },
    "face part": {
        "heel": "toward the heel",
        "toe": "toward the toe",
        "middle": "in the middle",
        "shank": "off the neck",
    },
    "turf": {
        "none": "no mark",
        "after": "a mark past the ball",
        "deep": "a deep mark",
        "behind": "a mark before the ball",
    },
}
"""What is said of a flight, in words; a value that is not listed is a word already."""


def bits_words(bits: float) -> str:
    """How strongly an answer speaks for or against, in words, with the number of bits."""
    return f"{bits_strength(bits)} {'for' if bits >= 0 else 'against'} it"


def bits_strength(bits: float) -> str:
    """A number of bits, either way, in words with the number."""
    word = next(word for least, word in BITS_WORDS if abs(bits) >= least)
    return f"{word} ({abs(bits):.1f} bits)"


def group_of(stage: str) -> str:
    """set-up, swing or neither ("")."""
    return next((name for name, stages in GROUPS.items() if stage in stages), "")


def shares(answer: Mapping[str, Any]) -> dict[str, float]:
    """How the suspicion divides: set-up (with aim and hold), swing, the rest; they sum to 1."""
    involved = {row["id"]: row["probability"] for row in answer["stages"]["involved"]}
    total = sum(involved.values()) or 1.0
    parts = {name: sum(involved.get(stage, 0.0) for stage in stages) / total for name, stages in GROUPS.items()}
    return {**parts, "rest": max(0.0, 1.0 - sum(parts.values()))}


def place_line(answer: Mapping[str, Any]) -> str:
    """Set-up or swing, said plainly: the group of the leader, and whether the other one is ruled out."""
    parts = shares(answer)
    stage = answer["stages"]["leading"] or ""
    own = group_of(stage)
    if not own:
        return f"Neither set-up nor swing leads, but {STAGE_WORDS.get(stage, stage)}."
    if answer["causes"][0]["probability"] < STANDS_OUT:
        return "Set-up or swing: not told apart yet."
    other = "swing" if own == "set-up" else "set-up"
    if parts[own] >= CLEARLY * parts[other]:
        return f"{own.capitalize()}, not {other}."
    return f"Look at the {own} first; the {other} is not ruled out."


def share_line(answer: Mapping[str, Any]) -> str:
    """The shares that `place_line` rests on."""
    parts = shares(answer)
    numbers = [f"{round(100 * parts[name])}" for name in ("set-up", "swing", "rest")]
    return f"Suspicion, of 100: set-up, aim and hold {numbers[0]}, swing {numbers[1]}, else {numbers[2]}."


NOTHING_TOLD = "Nothing that was said tells causes apart yet; this is what is common at this level."


def nothing_told(answer: Mapping[str, Any]) -> bool:
    """Whether an explained answer rests on nothing but what is common."""
    return all("because" in cause and not cause["because"] for cause in answer["causes"])


def headline(answer: Mapping[str, Any]) -> str:
    """What the lesson says at this moment, in one line."""
    if not answer["causes"]:
        return beyond_the_list(answer) or "No cause is listed for these clubs."
    if nothing_told(answer):
        return NOTHING_TOLD
    leader = answer["causes"][0]
    stands = standing(leader["probability"], leader["probability"], first=True)
    return beyond_the_list(answer) or f"{stands[:1].upper()}{stands[1:]}: {leader['title']}."


def first_line(answer: Mapping[str, Any]) -> str:
    """What to change first, where that is not the leader; "" where it is, and where nothing was told."""
    first = answer["priority"]
    apart = first and first["id"] != answer["causes"][0]["id"] and not nothing_told(answer)
    return f"Change first: {first['title']}." if apart else ""


def beyond_the_list(answer: Mapping[str, Any]) -> str:
    """Said where "nothing to fix" or "something not listed" is likelier than any listed cause; "" where not."""
    first = max([WORTH_SAYING, *(cause["probability"] for cause in answer["causes"])])
    nothing, unlisted = answer["nothing_to_fix"], answer["none_of_these"]
    if nothing > max(first, unlisted):
        return f"Likelier than any cause: nothing to fix, {likely(nothing)}."
    if unlisted > first:
        return f"Likelier than any cause: something not listed here, {likely(unlisted)}."
    return ""


def stand_out(answer: Mapping[str, Any]) -> str:
    """How far the leader stands out from the rest, in words; "" where it does."""
    chances = [cause["probability"] for cause in answer["causes"]]
    if not chances or beyond_the_list(answer):
        return ""
    if nothing_told(answer):
        return NOTHING_TOLD
    if chances[0] < STANDS_OUT:
        return "No cause stands out yet."
    close = sum(chance >= chances[0] / CLEARLY for chance in chances)
    return "" if close < 2 else f"The first {close} are close; the next check parts them."


def tail_lines(answer: Mapping[str, Any]) -> list[str]:
    """What is always said beside the causes: nothing to fix, none of these."""
    return [
        f"Nothing to fix: {likely(answer['nothing_to_fix'])}.",
        f"None of these: {likely(answer['none_of_these'])}; checks that rule causes out raise it.",
    ]


def too_early(answer: Mapping[str, Any]) -> str:
    """A warning where too few balls were seen; "" where there were enough."""
    more = answer["need_balls"]
    return f"Too early to say: hit {more} more {'ball' if more == 1 else 'balls'}." if more else ""


def kin_mark(causes: Sequence[Mapping[str, Any]], number: int) -> str:
    """Which earlier cause of the same family stands before this one, in words; "" where none does."""
    family = causes[number - 1]["family"]
    first = next(place for place, cause in enumerate(causes, start=1) if cause["family"] == family)
    return f"akin to {first}" if first < number else ""


# --- why, and what the club did -----------------------------------------------------------------------------------


def finding_words(finding: str, titles: Mapping[str, str], handed: str) -> str:
    """A finding's name as the engine writes it, in words. ``titles``: ids of symptoms and checks to their titles."""
    head, _, value = finding.partition(": ")
    if head in titles:
        return f"{for_hand(titles[head], handed)}: {value}" if value != "present" else for_hand(titles[head], handed)
    club = CLUB_WORDS.get(head, head)
    for variable, words in VARIABLE_WORDS.items():
        if value.startswith(variable + " "):
            seen = value[len(variable) + 1 :].split(" or ")
            return f"{club} {words} {listed([_value(variable, part) for part in seen], 'or')}"
    return f"{club}: {value}" if value else finding


def _value(variable: str, value: str) -> str:
    return VALUE_WORDS.get(variable, {}).get(value, value)


def because_lines(cause: Mapping[str, Any], titles: Mapping[str, str], handed: str, most: int = 4) -> list[str]:
    """Why a cause stands where it stands, strongest first."""
    return [
        f"{finding_words(row['finding'], titles, handed)}: {bits_words(row['bits'])}"
        for row in cause["because"][:most]
    ]


def verdict_lines(cause: Mapping[str, Any], units: str = "metric") -> list[str]:
    """What the geometry says of a cause: the verdict, and the numbers it would give."""
    geometry = cause["geometry"]
    path, low_point = geometry["path_deg"], geometry["low_point_cm"]
    if path is None or low_point is None:
        return ["The geometry is silent: with the clubs described this moves neither path nor low point."]
    strength = f"{abs(geometry['bits']):.1f} bits"
    lines = {
        "agrees": [f"The geometry agrees with it ({strength}): the flight is what this cause would give."],
        "disagrees": [f"The geometry disagrees ({strength}): this cause would give another flight."],
    }.get(geometry["verdict"], [f"The geometry is silent ({strength} either way): the flight fits with it or without."])
    club = geometry["text"].partition(" it would give ")[0] if geometry["text"].startswith("with the ") else ""
    for name, words in CLUB_WORDS.items():
        if club == f"with the {name}":
            club = f"with the {words}"
    lines.append(
        sentence(
            f"{club or 'alone'} it would send the club {_sideways(*path)}, "
            f"and its arc would bottom out {_along(low_point[0], low_point[1], units)}"
        )
    )
    return lines


def delivery_lines(club: str, delivery: Mapping[str, Mapping[str, float]], units: str = "metric") -> list[str]:
    """Where the club was going, where it looked, where it bottomed out: three sentences with their figures."""
    path, face, attack, low = (delivery[name] for name in ("path_deg", "face_deg", "attack_deg", "low_point_cm"))
    return [
        f"{CLUB_WORDS.get(club, club).capitalize()}: the club was going {_middle_side(path['mid'])} "
        f"({_sideways(path['low'], path['high'])}), {span(attack['low'], attack['high'], 'down', 'up', 'degree')}.",
        f"The face looked {_middle_side(face['mid'])} ({_sideways(face['low'], face['high'])}).",
        f"The swing bottomed out {_middle_along(low['mid'], units)} ({_along(low['low'], low['high'], units)}).",
    ]


MODEL_LIMITS = "Ranges hold 8 of 10 such players; the model itself is good to {limits}."


def span(low: float, high: float, minus: str, plus: str, unit: str, zero: str = "level") -> str:
    """An interval of a signed quantity in words; ``minus`` and ``plus`` name the sides of zero."""
    a, b = round(low), round(high)
    if a == b:
        return _amount(a, minus, plus, unit) if a else zero
    if a < 0 < b:
        return f"between {_amount(a, minus, plus, unit)} and {_amount(b, minus, plus, unit)}"
    near, far = sorted((a, b), key=abs)
    return f"{f'{abs(near)} to' if near else 'up to'} {_amount(far, minus, plus, unit)}"


def _amount(value: int, minus: str, plus: str, unit: str) -> str:
    plural = "s" if abs(value) != 1 and unit not in ("cm", "in") else ""
    return f"{abs(value)} {unit}{plural} {plus if value > 0 else minus}"


def _sideways(low: float, high: float) -> str:
    return span(low, high, "left", "right", "degree", "straight at the target")


def _along(low: float, high: float, units: str) -> str:
    (near, unit), (far, _) = measured(low, "cm", units), measured(high, "cm", units)
    words = span(near, far, "behind", "ahead of", unit, "")
    return f"{words} the ball" if words else "at the ball"


def _middle_side(value: float) -> str:
    size = round(abs(value))
    if not size:
        return "at the target"
    return f"about {size} {'degree' if size == 1 else 'degrees'} {'right' if value > 0 else 'left'} of the target"


def _middle_along(value: float, units: str) -> str:
    amount, unit = measured(abs(value), "cm", units)
    size = round(amount)
    return f"about {size} {unit} {'ahead of' if value > 0 else 'behind'} the ball" if size else "at the ball"


# --- proposals, drills --------------------------------------------------------------------------------------------

OUTCOME_WORDS = {"start": "it started", "curve": "it bent", "finish": "it finished", "height": "it flew"}


def proposal_words(proposal: Mapping[str, Any], titles: Mapping[str, str], handed: str) -> str:
    """What a student's expression may mean, in words."""
    outcome, parts = dict(proposal.get("outcome", {})), []
    bend, club = outcome.pop("bend", None), proposal.get("club", "")
    for name, value in outcome.items():
        if name in OUTCOME_WORDS:
            side = _value(name, side_for_hand(str(value), handed))
            much = BENDS.get(str(bend), "") + " " if name == "curve" and bend else ""
            parts.append(f"{OUTCOME_WORDS[name]} {much}{side}")
        else:
            parts.append(f"{name}: {listed([_value(name, str(item)) for item in value], 'or')}")
    if parts and club:
        parts[0] = f"{CLUB_WORDS.get(club, club)}: {parts[0]}"
    parts += [for_hand(titles.get(name, name), handed) for name in proposal.get("findings", ())]
    if proposal.get("theory"):
        parts.append(f"the student's own theory, kept apart from what was seen: {proposal['theory']}")
    return "; ".join(parts) or "nothing that can be counted; ask further"


def dose_line(dose: Mapping[str, Any]) -> str:
    """How much of a drill, in words."""
    days = f", {counted(dose['days_a_week'], 'day')} a week" if "days_a_week" in dose else ""
    return f"{dose['sets']} x {dose['repetitions']}, {'with' if dose['with_ball'] else 'without'} a ball{days}"


def drill_lines(drill: Mapping[str, Any], handed: str) -> list[str]:
    """A drill's body: what counts as passed, how much, the steps."""
    mark = drill["pass_mark"]
    lines = [
        f"Pass mark: {mark['hits']} of {mark['of']} {for_hand(mark['counts'], handed)}.",
        f"Dose: {dose_line(drill['dose'])}; {counted(drill['minutes'], 'minute')} here.",
        f"Cue: {for_hand(drill['cue'], handed)}.",
    ]
    lines += [f"{number}. {for_hand(step, handed)}" for number, step in enumerate(drill["steps"], start=1)]
    return lines + [f"{name.capitalize()}: {for_hand(drill[name], handed)}." for name in ("easier", "harder")]


def left_out(drills: Mapping[str, Mapping[str, Any]], cause: str, avoid: Sequence[str], handed: str) -> list[str]:
    """The drills for a cause that must not be done with what is to be spared, each with a word why."""
    lines = []
    for drill in drills.values():
        kept_from = [FLAGS.get(flag, flag) for flag in drill.get("not_for", ()) if flag in avoid]
        if kept_from and cause in drill.get("for", {}).get("causes", ()) and "retired" not in drill:
            lines.append(f"Left out: {for_hand(str(drill['title']), handed)} (not with: {listed(kept_from, 'or')}).")
    return lines


def caution_lines(entry: Mapping[str, Any], always: Sequence[str], handed: str) -> list[str]:
    """The cautions of a drill or check, its hazards among them, and those of the library where it has none."""
    own = [for_hand(text, handed) for text in entry.get("cautions", ())]
    if entry.get("hazards"):
        own.append(sentence(for_hand(str(entry["hazards"]), handed)))
    return list(dict.fromkeys(own or list(always)))
