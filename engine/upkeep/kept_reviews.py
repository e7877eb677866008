"""Reviews are kept as they were given: nobody's judgement is taken out, or changed by somebody else.

A review belongs to whoever first committed it as it stands; who only carried it in, moved it, or brought it back as it
was, has no part in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from arclore.engine.library.folder import REVIEWERS, REVIEWS
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import shown
from arclore.engine.upkeep.changes import Change, stands
from arclore.engine.upkeep.people import same

CHANGED = "was changed by someone other than its reviewer"
GONE = "was taken out, and judgements are kept"


@dataclass(frozen=True)
class Kept:
    """A review file: the change that first gave it, and the one that brought what stands there now, if any does."""

    given: Change
    now: Change | None


def kept_reviews(changes: Iterable[Change], now: Mapping[str, str]) -> dict[str, Kept]:
    """Every review that was ever committed, by its path; ``now`` names the content of each path in the last commit."""
    given: dict[str, Change] = {}
    brought: dict[tuple[str, str], Change] = {}
    for each in changes:
        if not each.new.startswith(f"{REVIEWS}/") or each.new == f"{REVIEWS}/{REVIEWERS}" or not stands(each.after):
            continue
        moved = each.renamed and each.after == each.before[0]  # nothing but its place
        first = given.pop(each.old, each) if moved else each
        given.setdefault(each.new, first)
        brought.setdefault((each.new, each.after), brought.get((each.old, each.after), each) if moved else each)
    return {path: Kept(change, brought.get((path, now.get(path, "")))) for path, change in given.items()}


def spoiled_reviews(folder: Path, kept: Mapping[str, Kept]) -> dict[str, str]:
    """Why a review is not as its reviewer left it, by its path relative to the library; most often none is."""
    spoiled = {}
    for path, each in kept.items():
        if not (folder / path).is_file():
            spoiled[path] = GONE
        elif each.now and not all(any(same(who, one) for one in each.given.people) for who in each.now.people):
            spoiled[path] = CHANGED
    return spoiled


def review_rows(folder: Path, spoiled: Mapping[str, str]) -> list[Problem]:
    """A row for each review that is not as its reviewer left it."""
    hint = "bring it back as it was: git log shows it"
    return [
        Problem(shown(folder / path), 1, 1, "spoiled-review", f"a review {why}", hint)
        for path, why in sorted(spoiled.items())
    ]
