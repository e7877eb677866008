"""Faults to plant in the small library, one of each kind that the audit knows, and where it should find them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tests.library.conftest import sound_entry
from tests.upkeep.conftest import Entry

Change = Callable[[dict[str, Entry]], Any]


def _set(entry: str, field: str, value: Any) -> Change:
    return lambda entries: entries[entry].update({field: value})


def _ratios(sensitivity: float, specificity: float) -> Change:
    def change(entries: dict[str, Entry]) -> None:
        entries["look-low"]["likelihood"].update(sensitivity=sensitivity, specificity=specificity)

    return change


def _move(size: float, **more: Any) -> dict[str, Any]:
    return {"input": "swing_direction_deg", "size": size, "size_sd": 2.0, **more}


def _idle(entries: dict[str, Entry]) -> None:
    entries["look-idle"] = sound_entry("check", "look-idle", title="a look at nothing")


def _untied(entries: dict[str, Entry]) -> None:
    entries["itches"] = sound_entry("symptom", "itches", title="the hands itch")


def _mute(entries: dict[str, Entry]) -> None:
    del entries["bent-low"]["moves"]


def unmarked(entries: dict[str, Entry]) -> None:
    for cause in ("bent-low", "bent-high"):
        del entries[cause]["exclusive_with"]


def _one_side(entries: dict[str, Entry]) -> None:
    del entries["bent-high"]["exclusive_with"]


def _twins(entries: dict[str, Entry]) -> None:
    """A third cause that differs from the first in nothing but its name, spoken of by the same checks."""
    entries["bent-down"] = {
        **entries["bent-low"],
        "id": "bent-down",
        "title": "another name for it",
        "exclusive_with": [],
    }
    entries["look-low"]["likelihood"]["causes"] = ["bent-low", "bent-down"]
    entries["brush-low"]["for"]["causes"] = ["bent-low", "bent-down"]
    entries["bent-high"]["exclusive_with"] = ["bent-low", "bent-down"]
    entries["bent-down"]["exclusive_with"] = ["bent-high"]


def _outcome_stated(entries: dict[str, Entry]) -> None:
    entries["bent-low"]["leads_to"].append({"symptom": "flies-across", "how_often": "often"})


def scatter_only(entries: dict[str, Entry]) -> None:
    entries["bent-low"]["adds_scatter"] = [{"input": "swing_direction_deg", "sd": 2.0}]
    entries["brush-low"]["effect"]["change"] = "steadier"


def _few_groups(entries: dict[str, Entry]) -> None:
    entries["look-low"]["group"] = True


def _two_sides_at_once(entries: dict[str, Entry]) -> None:
    """One result that speaks for a base line to the near side and for one to the far side."""
    entries["look-low"]["likelihood"]["causes"] = ["bent-low", "bent-high"]


def measure(side: str, **ends: float) -> Change:
    def change(entries: dict[str, Entry]) -> None:
        results = [
            {"id": side, "when": "beyond that", "means": "it looks there", **ends},
            {"id": "middle", "when": "near it", "means": "it looks ahead"},
        ]
        entries["read-face"] = sound_entry(
            "check", "read-face", title="a reading", type="measurement", results=results,
            measurement={"quantity": "face_deg", "error_sd": 2.0},
        )  # fmt: skip
        del entries["read-face"]["likelihood"]

    return change


def said_twice(entries: dict[str, Entry]) -> None:
    """A second finding that the same cause leads to as often."""
    entries["back-low"] = sound_entry("symptom", "back-low", title="the player bows deeply")
    entries["bent-low"]["leads_to"].append({"symptom": "back-low", "how_often": "often"})


def _rare_and_dim(entries: dict[str, Entry]) -> None:
    """A check with figures good enough for any audit but of a cause that hardly any golfer has."""
    entries["bent-low"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "rare")
    entries["bent-high"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "very-common")
    _ratios(0.3, 0.8)(entries)


def _only_off_the_tee(entries: dict[str, Entry]) -> None:
    """A cause of all full swings whose only drill is for the driver."""
    entries["bent-low"]["clubs"] = ["full-swing"]
    entries["brush-low"]["clubs"] = ["driver"]


def _deep_arcs(entries: dict[str, Entry]) -> None:
    """A very common cause that puts the low point further ahead than any driver's."""
    entries["bent-low"]["moves"].append({"input": "low_point_cm", "size": 45.0, "size_sd": 5.0})
    entries["bent-low"]["how_common"] = dict.fromkeys(("novice", "intermediate", "skilled"), "very-common")


def _two_meanings(entries: dict[str, Entry]) -> None:
    """One expression, spelt in two ways, in two entries."""
    means = {"findings": ["back-bent"]}
    entries["bowed"] = sound_entry("words", "bowed", phrases=["I'm bent over"], means=means)
    entries["stooped"] = sound_entry("words", "stooped", phrases=["stooped", "im bent-over"], means=means)


def _guess(entries: dict[str, Entry]) -> None:
    means = {"theory": "the back is bent"}
    entries["bowed"] = sound_entry("words", "bowed", phrases=["hunched over"], means=means, certain=True)


def _unreachable_club(entries: dict[str, Entry]) -> None:
    for entry in entries.values():
        if "clubs" in entry:
            entry["clubs"] = ["mid-iron"]


PLANTED: list[tuple[str, Change, str, str]] = [
    ("drill-sign", _set("brush-low", "effect", {"input": "swing_direction_deg", "change": "less"}), "brush-low", "for"),
    # a base line further across is a path further across: the geometry knows, though the input is another one
    ("drill-sign", _set("brush-low", "effect", {"input": "aim_deg", "change": "less"}), "brush-low", "for"),
    (
        "drill-steadier",
        _set("brush-low", "effect", {"input": "swing_direction_deg", "change": "steadier"}),
        "brush-low",
        "",
    ),
    ("inward-cue", _set("brush-low", "cue", "let the arms fall like ropes"), "brush-low", "cue"),
    ("no-common-club", _set("brush-low", "clubs", ["putt"]), "brush-low", "for"),
    ("no-confirming-check", _ratios(0.55, 0.8), "bent-low", ""),
    ("no-refuting-check", _ratios(0.65, 0.84), "bent-low", ""),
    ("no-drill", _set("brush-low", "for", {"causes": ["bent-high"]}), "bent-low", ""),
    ("no-drill", _only_off_the_tee, "bent-low", ""),
    ("thin-cause", _mute, "bent-low", ""),
    ("stated-outcome", _outcome_stated, "bent-low", "leads_to.1"),
    ("unmarked-opposites", unmarked, "bent-high", ""),
    ("unreached-symptom", _untied, "itches", ""),
    ("leak", _set("back-bent", "leak", "as-often-as-not"), "back-bent", "leak"),
    ("bold-estimate", _ratios(0.9, 0.9), "look-low", "likelihood"),
    ("weak-check", _ratios(0.55, 0.5), "look-low", "likelihood"),
    ("silent-check", _rare_and_dim, "look-low", "type"),
    ("unlinked-findings", said_twice, "back-bent", "id"),
    ("idle-check", _idle, "look-idle", ""),
    ("thin-groups", _few_groups, "look-low", "group"),
    ("unsourced", _set("bent-low", "evidence", {"kind": "published"}), "bent-low", "evidence"),
    (
        "lone-position",
        _set("brush-low", "positions", [{"position": "brush it slowly", "because": "time to notice"}]),
        "brush-low",
        "positions",
    ),
    ("check-sign", _two_sides_at_once, "look-low", "likelihood.causes"),
    ("check-side", measure("away", to=-3.0), "read-face", "results.0"),
    ("check-side", measure("closed-a-little", **{"from": 3.0}), "read-face", "results.0"),
    ("odd-prior", _deep_arcs, "driver", "id"),
    ("bare-caution", _set("brush-low", "cautions", ["keep the mat dry"]), "brush-low", "cautions"),
    ("bare-caution", _set("brush-low", "hazards", "a club that flies off"), "brush-low", "hazards"),
    ("unguarded-step", _set("brush-low", "steps", ["Swing five times with eyes shut."]), "brush-low", "steps.0"),
    ("unguarded-step", _set("brush-low", "steps", ["Wait.", "Stand on one leg and brush."]), "brush-low", "steps.1"),
    (
        "claim-about",
        _set("bent-low", "evidence", {"kind": "estimate", "claims": [{"about": "cue", "kind": "estimate"}]}),
        "bent-low",
        "evidence.claims.0.about",
    ),
    ("said-in-two", _two_meanings, "stooped", "phrases.1"),
    ("certain-guess", _guess, "bowed", "certain"),
    ("inseparable", _twins, "bent-down", ""),
    ("unreachable", _idle, "look-idle", ""),
    ("unreachable", _unreachable_club, "driver", ""),
    ("banned-phrase", _set("brush-low", "cue", "swing to P6 and stop"), "brush-low", "cue"),
]


HARD = "Excessive anterior inclination necessitates compensatory extension."
HINTED: list[tuple[str, Change, str]] = [
    ("one-sided", _one_side, "bent-low"),
    ("hard-to-read", _set("bent-low", "tell_student", HARD), "bent-low"),
    ("hard-to-read", _set("back-bent", "question", HARD), "back-bent"),
    ("hard-to-read", _set("brush-low", "cue", HARD), "brush-low"),
    (
        "near-duplicate",
        lambda entries: entries["brush-tall"].update(
            {"steps": entries["brush-low"]["steps"], "for": {"causes": ["bent-low", "bent-high"]}}
        ),
        "brush-tall",
    ),
    ("near-duplicate", lambda entries: entries["chest-pain"].update(title="the back looks quite low"), "chest-pain"),
]
