"""Whether a check or a drill can be done here and now: by this student, with these clubs, at this place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from arclore.engine.diagnosis.case import Case
from arclore.engine.diagnosis.moves import covers


def suits(entry: Mapping[str, Any], case: Case) -> bool:
    """Whether an entry in force may be done by this student, with one of the clubs, at the place, with the kit.

    Kit that is missing is named by a word of it: "phone" takes out whatever needs "a phone on a stand".
    """
    if "retired" in entry or set(entry.get("not_for", ())) & set(case.avoid):
        return False
    if not any(covers(entry["clubs"], family) for family in case.families):
        return False
    if case.place and case.place not in entry.get("where", (case.place,)):
        return False
    needed = [item.casefold() for item in entry.get("kit", ())]
    return not any(word.casefold() in item for word in case.without for item in needed)
