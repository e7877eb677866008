"""The flags of ``arclore triage``; with them alone a case can be stated without a file."""

from __future__ import annotations

import argparse
import contextlib
import re
from abc import ABC, abstractmethod
from typing import Any

from arclore.engine.library.problems import shortened
from arclore.tui.command.parser import finite, whole

HELP = "rank the causes of what was seen"
ABOUT = """\
Rank what may lie behind a complaint, from a case file, from standard input (-),
or from flags. Sides are literal, as seen: left and right. Flags from --start to
--how-often speak of the --club before them:

  arclore triage --club driver --start left --curve right --bend strong \\
                 --club 7-iron --contact thin,fat"""
OF_A_SHOT = {
    "start": "left, on-line or right",
    "curve": "left, none or right",
    "bend": "slight or strong",
    "finish": "left, on-line, right, short or long",
    "height": "low, normal or high",
    "contact": "clean, thin, top, fat, sky, heel, toe, shank or miss; several with commas",
    "turf": "none, after, deep or behind; several with commas",
    "how_often": "from almost-never to always",
}
LISTS = ("contact", "turf")
SHOT_WORDS = ("start", "curve", "height", "contact", "turf", "finish")
MEASURED = re.compile(
    r"(?P<club>[\w-]+):(?P<quantity>\w+)=(?P<value>[-+]?[\d.]+(?:e[-+]?\d+)?)"
    r"(?:\+-(?P<sd>[\d.]+(?:e[-+]?\d+)?))?",
    re.IGNORECASE,
)


def add_flags(parser: argparse.ArgumentParser) -> None:
    """Declare the flags; what they say of the case is gathered in ``case``."""
    parser.set_defaults(case={}, run=_run)
    parser.add_argument("file", nargs="?", metavar="CASE.yaml", help="a case file, or - for standard input")
    parser.add_argument("--json", action="store_true", help="one JSON object (schemas/triage.schema.json)")
    parser.add_argument(
        "--library",
        action="append",
        metavar="FOLDER",
        help="lay this library over the built-in one, in place of your own folder; may be repeated",
    )
    parser.add_argument(
        "--learned",
        action=argparse.BooleanOptionalAction,
        help="count the confirmed lessons kept here, or not; else as `arclore library learned --count` chose",
    )
    parser.add_argument(
        "--confirm",
        action="append",
        metavar="CAUSE",
        help="this cause proved to be the one: keep what was asked for learning, on this computer, without names",
    )
    parser.add_argument("--units", choices=("metric", "yards"), help="of lengths on the page; else as at the desk")
    said = parser.add_argument_group("what was seen")
    said.add_argument("--club", action=_Club, metavar="CLUB", help="begin a ball: driver, 7-iron, wedge ...")
    for name, words in OF_A_SHOT.items():
        said.add_argument(_flag(name), action=_OfShot, dest=name, metavar="WORD", help=words)
    said.add_argument("--count", action=_OfShot, type=whole, metavar="N", help="balls that did so")
    said.add_argument(
        "--unsure",
        action=_Unsure,
        metavar="NAME",
        help=f"not sure: of the ball ({', '.join(SHOT_WORDS)}) or of a symptom",
    )
    told = parser.add_argument_group("who, and what else is known")
    told.add_argument("--handed", action=_Once, metavar="HAND", help="right, left or unknown")
    told.add_argument("--level", action=_Once, metavar="LEVEL", help="novice, intermediate, skilled or unknown")
    told.add_argument("--words", action=_Words, metavar="TEXT", help="the golfer's own words")
    told.add_argument("--theory", action=_Listed, dest="theories", metavar="TEXT", help="what the golfer thinks it is")
    told.add_argument("--present", action=_Listed, metavar="SYMPTOM", help="a symptom of the library that was seen")
    told.add_argument("--absent", action=_Listed, metavar="SYMPTOM", help="one that was looked for and not seen")
    told.add_argument("--check", action=_Check, metavar="ID=RESULT", help="a check that was done and its result")
    told.add_argument(
        "--measured", action=_Measured, metavar="CLUB:QUANTITY=VALUE[+-SD]", help="such as driver:path_deg=-4+-1.5"
    )
    told.add_argument("--pain", action=_Pain, nargs=0, help="something hurts: stops the lesson")
    told.add_argument("--no-pain", action=_Pain, nargs=0, help="asked, and nothing hurts")
    told.add_argument("--avoid", action=_Listed, metavar="FLAG", help="what to spare, such as back-history")
    here = parser.add_argument_group("what can be done here and now")
    here.add_argument("--minutes", action=_Once, type=finite, metavar="N", help="minutes of practice that are left")
    here.add_argument("--place", action=_Once, metavar="PLACE", help="indoors, mat, grass, sand, green or course")
    here.add_argument("--without", action=_Listed, metavar="WORD", help="kit that is not at hand, such as phone")


def _run(given: argparse.Namespace) -> int:
    from arclore.tui.command.triage import run

    return run(given)


def _flag(name: str) -> str:
    return "--" + name.replace("_", "-")


class _Said(argparse.Action, ABC):
    """Writes what a flag says into the case, in the shape of a case file."""

    def __call__(self, parser: Any, given: Any, values: Any, flag: str | None = None) -> None:
        # the default is shared by all parses, so the first flag makes a case of its own
        if not given.case:
            given.case = {}
        self.put(given.case, values, str(flag))

    @abstractmethod
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        """Write the value into the case."""

    def refuse(self, message: str) -> None:
        raise argparse.ArgumentError(self, message)


class _Club(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        case.setdefault("shots", []).append({"club": value})


class _OfShot(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        if not case.get("shots"):
            self.refuse("give --club first: the flag speaks of the club before it")
        shot = case["shots"][-1]
        if self.dest in LISTS:
            shot.setdefault(self.dest, []).extend(word.strip() for word in value.split(","))
        elif self.dest in shot:
            self.refuse("given twice for one ball; begin another with --club")
        else:
            shot[self.dest] = value


class _Unsure(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        if value not in SHOT_WORDS:
            case.setdefault("unsure", []).append(value)
        elif not case.get("shots"):
            self.refuse("give --club first: it speaks of the club before it")
        else:
            case["shots"][-1].setdefault("unsure", []).append(value)


class _Once(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        if case.setdefault(self.dest, value) != value:
            self.refuse("given twice, with different values")


class _Listed(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        case.setdefault(self.dest, []).append(value)


class _Words(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        case["words"] = f"{case['words']}\n{value}" if "words" in case else value


class _Pain(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        if case.setdefault("pain", flag == "--pain") != (flag == "--pain"):
            self.refuse("both --pain and --no-pain are given")


class _Check(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        name, equals, result = value.partition("=")
        if not (name and equals and result):
            self.refuse(f"{shortened(value, 60)!r} is not spelt ID=RESULT")
        with contextlib.suppress(argparse.ArgumentTypeError):
            result = finite(result)
        if case.setdefault("checks", {}).setdefault(name, result) != result:
            self.refuse(f"two results for {shortened(name, 60)}")


class _Measured(_Said):
    def put(self, case: dict[str, Any], value: Any, flag: str) -> None:
        found = MEASURED.fullmatch(value)
        if not found:
            self.refuse(f"{shortened(value, 60)!r} is not spelt CLUB:QUANTITY=VALUE[+-SD]")
            return
        try:
            measured = {"club": found["club"], "quantity": found["quantity"], "value": finite(found["value"])}
            if found["sd"]:
                measured["error_sd"] = finite(found["sd"])
        except argparse.ArgumentTypeError as problem:
            self.refuse(str(problem))
            return
        case.setdefault("measured", []).append(measured)
