"""The answer to a case as a page of plain text, in the order in which a coach needs it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from arclore.engine.library.stack import Library
from arclore.tui.chances import standing
from arclore.tui.command.page import Page, between, counted, in_hundred, listed, number, sentence, side
from arclore.tui.doubt_words import doubt_lines
from arclore.tui.hand import for_hand, side_for_hand
from arclore.tui.measures import measured, model_limits
from arclore.tui.outlook_words import ACT_NOW, result_means
from arclore.tui.plan_words import plan_line, practice_lines, why_line
from arclore.tui.questions import CLUB_WORDS
from arclore.tui.wording import (
    NOTHING_TOLD,
    beyond_the_list,
    dose_line,
    kin_mark,
    left_out,
    nothing_told,
    verdict_lines,
)

CHANGES = (
    ("path_deg", "club path", "deg", ("left", "right", "straight")),
    ("face_deg", "face", "deg", ("left", "right", "square")),
    ("attack_deg", "attack", "deg", ("down", "up", "level")),
    ("low_point_cm", "low point", "cm", ("behind the ball", "ahead of it", "at the ball")),
)
"""What is told of a change: quantity, its name, unit, and words for below zero, above it and none."""
SHOWN_CAUSES = 5
SHOWN_REASONS = 4
SHOWN_FAULTS = 3
WHERE = {
    "set-up": "it is in the set-up, not in the swing",
    "aim": "it is in the set-up (aim), not in the swing",
    "grip": "it is in the set-up (how the club is held), not in the swing",
    "backswing": "it is in the swing, on the way back",
    "change-of-direction": "it is in the swing, where it turns round",
    "downswing": "it is in the swing, on the way down",
    "strike": "it is in the swing, at the ball",
    "release": "it is in the swing, in how the face is let through",
    "body": "it is in what the body can do",
    "equipment": "it is in the clubs or the ball",
    "lie-and-turf": "it is in the ground under the ball",
    "strategy-and-mind": "it is in plan or mind",
    "nothing-to-fix": "it is nothing that needs a fix",
    "see-a-health-professional": "it is for a health professional",
}


def write_answer(answer: dict[str, Any], library: Library, avoid: Sequence[str] = (), units: str = "metric") -> Page:
    """The page of an answer of ``triage``; ``avoid`` is what the case asks to spare."""
    page = Page(units=units)
    if answer["stop"]:
        _stop(page, answer)
        return page
    for write in (_early, _club, _causes, _next_check, _priority, _drill):
        write(page, answer, library)
    for cause in answer["causes"][:1]:
        for line in left_out(library.drills, cause["id"], avoid, answer["handed"]):
            page.paragraph(line, 2)
    for write in (_words, _unknown):
        write(page, answer, library)
    page.heading("Take care")
    for caution in (*answer["take_care"], *library.settings["safety"]["cautions"]):
        page.paragraph(caution, 2, "- ")
    return page


def _stop(page: Page, answer: dict[str, Any]) -> None:
    page.heading("STOP: safety first")
    page.paragraph(answer["stop"])
    for cause in answer["causes"]:
        page.paragraph(sentence(cause["title"]), 2)


def _early(page: Page, answer: dict[str, Any], library: Library) -> None:
    if answer["need_balls"]:
        page.heading(f"Too early to lean on this: hit {counted(answer['need_balls'], 'more ball')}")
    for note in answer["notes"]:
        page.paragraph(sentence(note))


def _club(page: Page, answer: dict[str, Any], library: Library) -> None:
    """Three sentences, whatever the number of clubs, with the figures inside them."""
    delivery = answer["delivery"]
    if not delivery:
        return
    page.heading("What the club did")

    def of_each(quantity: str, minus: str, plus: str, unit: str, zero: str) -> str:
        told = []
        for club, rows in delivery.items():
            (low, shown), (high, _) = (measured(rows[quantity][end], unit, page.units) for end in ("low", "high"))
            told.append(f"{between(low, high, minus, plus, shown, zero)} with the {CLUB_WORDS.get(club, club)}")
        return listed(told)

    path = of_each("path_deg", "to the left", "to the right", "deg", "along the target line")
    page.paragraph(f"Through the ball the club was travelling {path}.")
    page.paragraph(f"Its face looked {of_each('face_deg', 'left', 'right', 'deg', 'at the target')}.")
    low = of_each("low_point_cm", "behind the ball", "ahead of the ball", "cm", "at the ball")
    attack = of_each("attack_deg", "down", "up", "deg", "level")
    page.paragraph(f"It bottomed out {low}, so it met the ball moving {attack}.")
    page.paragraph(f"Four times in five it lies in these figures; the arc is good to {model_limits(page.units)}.")
    if faults := answer["delivery_faults"][:SHOWN_FAULTS]:
        page.paragraph(f"In short, by chance: {_chances(faults)}.")


def _chances(rows: list[dict[str, Any]]) -> str:
    return ", ".join(f"{_plain(row['id'])} {in_hundred(row['probability'])}" for row in rows)


def _plain(name: str) -> str:
    return name.replace("-", " ")


def _causes(page: Page, answer: dict[str, Any], library: Library) -> None:
    if not answer["causes"]:
        return
    page.heading("What may lie behind it")
    if nothing_told(answer):
        page.paragraph(NOTHING_TOLD)
    top = answer["causes"][0]["probability"]
    if beyond := beyond_the_list(answer):
        page.paragraph(beyond)
    for rank, cause in enumerate(answer["causes"][:SHOWN_CAUSES]):
        chance = standing(cause["probability"], top, rank == 0)
        page.paragraph(sentence(cause["title"]), 0, f"{rank + 1}. ")
        where = WHERE.get(cause["stage"], _plain(cause["stage"]))
        kin = kin_mark(answer["causes"], rank + 1)
        page.paragraph(f"{chance}; {where}{f'; {kin}' if kin else ''}.", 3)
        for reason in cause["because"][:SHOWN_REASONS]:
            page.paragraph(f"{reason['finding']} makes it {_times(reason['bits'])}", 3, "- ")
        page.paragraph(" ".join(verdict_lines(cause, page.units)), 3, "- ")
    page.paragraph(f"By family: {_chances(answer['families'][:4])}.")
    stages = _chances(answer["stages"]["involved"][:4])
    page.paragraph(f"Set-up or swing? Something acts in: {stages} (they may act together).")
    titles = {name: row["title"] for kind in (library.symptoms, library.checks) for name, row in kind.items()}
    for line in doubt_lines(answer, titles, page.units):
        page.paragraph(line)


def _times(bits: float) -> str:
    """Bits as a ratio of odds: one bit is twice as likely."""
    ratio, sign = number(2.0 ** abs(bits)), "+" if bits > 0 else ""
    return f"{ratio} times {'as' if bits > 0 else 'less'} likely ({sign}{number(bits)} bits)"


def _next_check(page: Page, answer: dict[str, Any], library: Library) -> None:
    checks = answer["next_checks"]
    if answer["act_now"]:
        page.heading(ACT_NOW)
    if not checks:
        return
    first, entry = checks[0], library.checks[checks[0]["id"]]
    handed = answer["handed"]
    page.heading("To be surer all the same" if answer["act_now"] else "Check next")
    told = f"{counted(first['minutes'], 'minute')}, worth {number(first['bits'], 2)} bits"
    page.paragraph(f"{sentence(first['title'])} ({told})")
    for step in entry["how"]:
        page.paragraph(for_hand(step, handed), 2, "- ")
    page.paragraph(for_hand(entry["asks"], handed), 2)
    meant = {result["id"]: result_means(answer, result) for result in first["results"]}
    if entry["type"] == "measurement":
        page.paragraph(f"then say: --check {first['id']}=NUMBER", 4)
        for result in entry["results"]:
            if result["id"] in meant:
                page.paragraph(for_hand(f"{result['when']}: {meant[result['id']]}", handed), 4)
    else:
        for result in entry["results"]:
            told = f" ({meant[result['id']]})" if result["id"] in meant else ""
            page.paragraph(for_hand(f"if {result['when']}: --check {first['id']}={result['id']}", handed) + told, 4)
    for caution in entry.get("cautions", ()):
        page.paragraph(for_hand(caution, handed), 2, "! ")
    for other in checks[1:3]:
        page.paragraph(f"or: {other['title']} ({counted(other['minutes'], 'minute')})", 2)


def _priority(page: Page, answer: dict[str, Any], library: Library) -> None:
    """The one thing to change, and what the geometry says it would do."""
    first = answer["priority"]
    if first is None:
        return
    page.heading("Change first")
    page.paragraph(sentence(first["title"]))
    for line in (why_line(answer), plan_line(answer)):
        if line:
            page.paragraph(line)
    for club, rows in first["undone"].items():
        changes = [
            f"{words} {_change(rows[name], unit, sides, page.units)}"
            for name, words, unit, sides in CHANGES
            if abs(rows[name]["now"] - rows[name]["then"]) >= 0.5
        ]
        if changes:
            page.paragraph(f"Once mended, with the {CLUB_WORDS.get(club, club)}: {listed(changes)}.", 2, "- ")
    page.paragraph(f'Say: "{for_hand(first["tell_student"], answer["handed"])}"', 2, "- ")


def _change(row: dict[str, float], unit: str, sides: tuple[str, str, str], units: str) -> str:
    minus, plus, zero = sides
    (now, shown), (then, _) = (measured(row[time], unit, units) for time in ("now", "then"))
    return f"from {side(now, minus, plus, shown, zero)} to {side(then, minus, plus, shown, zero)}"


def _drill(page: Page, answer: dict[str, Any], library: Library) -> None:
    drills = answer["drills"]
    if not drills:
        return
    first, entry = drills[0], library.drills[drills[0]["id"]]
    handed = answer["handed"]
    page.heading("Practise")
    page.paragraph(sentence(first["title"]))
    for step in entry["steps"]:
        page.paragraph(for_hand(step, handed), 2, "- ")
    mark = entry["pass_mark"]
    page.paragraph(f"Dose: {dose_line(entry['dose'])}.", 2)
    counts = for_hand(mark["counts"], handed)
    page.paragraph(f"Passed when {mark['hits']} of {mark['of']} are right: {counts}.", 2)
    for caution in entry["cautions"]:
        page.paragraph(for_hand(caution, handed), 2, "! ")
    for other in drills[1:3]:
        page.paragraph(f"or: {other['title']}", 2)
    for line in practice_lines(answer):
        page.paragraph(line)


def _words(page: Page, answer: dict[str, Any], library: Library) -> None:
    if answer["proposed"]:
        page.heading("Proposed from the words, counted as not sure until you say so")
    for row in answer["proposed"]:
        seen = [f"{key} {_shown(value, answer['handed'])}" for key, value in row["outcome"].items()]
        seen += [library.symptoms[name]["title"] for name in row["findings"] if name in library.symptoms]
        seen += [f"ask: {question}" for question in row["ask"]]
        meaning = for_hand("; ".join(seen), answer["handed"]) or "nothing to count"
        page.paragraph(f'"{row["phrase"]}": {meaning}', 2, "- ")
    if answer["theories"]:
        page.heading("The golfer's own theory, kept apart from what was seen")
    for theory in answer["theories"]:
        page.paragraph(theory, 2, "- ")


def _shown(value: Any, handed: str) -> str:
    values = value if isinstance(value, list) else [value]
    return " or ".join(side_for_hand(str(item), handed) for item in values)


def _unknown(page: Page, answer: dict[str, Any], library: Library) -> None:
    page.heading("What is not known")
    page.paragraph(
        f"Something that is not in the library acts: {in_hundred(answer['none_of_these'])}. "
        f"Nothing on the list acts: {in_hundred(answer['nothing_to_fix'])}."
    )
