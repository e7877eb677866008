"""All that is wrong with a library by its content alone, worked out once for each content."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from arclore.engine.library.problems import Problem
from arclore.engine.library.read import shown
from arclore.engine.upkeep.cache import Cache
from arclore.engine.upkeep.layer_digest import digest_of_layers
from arclore.engine.upkeep.layers import Layer, strangers
from arclore.engine.upkeep.waivers import Waived

COUNTED = ("clubs", "symptoms", "causes", "checks", "drills", "words", "cases", "sources")


@dataclass(frozen=True)
class Checked:
    """How many entries of each kind there are, and sorted rows: problems, hints, what is waived.

    ``asked`` and ``missed`` count the cases that were answered, and those not answered as they expect.
    """

    entries: dict[str, int]
    problems: list[Problem]
    hints: list[Problem]
    waived: list[Waived]
    asked: int
    missed: int


@dataclass(frozen=True)
class Asked:
    """What is to be checked: the folders, the lowest first, and how.

    ``named``: those among them whose new ids must begin with their namespace. ``today``: the day for waivers, ISO.
    ``cases_of``: the folder whose cases are answered, the built-in one for those of all, none where None.
    ``processes``: how many answer them (see ``sharing``).
    """

    layers: Sequence[Path]
    named: Sequence[Layer]
    today: str
    cases_of: Path | None = None
    processes: int = 1

    def key(self, content: str) -> dict[str, Any]:
        """All that the rows depend on, given the digest of the folders' content."""
        asked = {"today": self.today, "cases": _place(self.cases_of) if self.cases_of else ""}
        layers = [[str(layer), _place(layer)] for layer in self.layers]
        named = [[each.namespace, str(each.folder)] for each in self.named]
        return {"content": content, "layers": layers, "named": named, **asked}


def _place(folder: Path) -> str:
    """How rows begin the paths of files in a folder, which are told as they are typed from here."""
    here, place = Path.cwd(), Path(os.path.realpath(folder))
    return f"{here} in {place}" if place in here.parents else shown(place)


def checked(asked: Asked, cache: Cache) -> Checked:
    """The library read, tied and audited, and its cases answered where that is asked."""
    content = digest_of_layers(asked.layers)
    found = cache.kept("check", asked.key(content), lambda: _plain(asked, cache))
    if found["content"] != content:  # a file was changed while it was worked out
        found = _plain(asked, cache)
    rows = {name: [Problem(**row) for row in found[name]] for name in ("problems", "hints")}
    waived = [Waived(**{**row, "finding": Problem(**row["finding"])}) for row in found["waived"]]
    return Checked(found["entries"], **rows, waived=waived, asked=found["asked"], missed=found["missed"])


def _plain(asked: Asked, cache: Cache) -> dict[str, Any]:
    """What was found, and the content it was found in, as plain data."""
    return {**asdict(_worked_out(asked, cache)), "content": digest_of_layers(asked.layers)}


def _worked_out(asked: Asked, cache: Cache) -> Checked:
    from arclore.engine.library.graph import build_graph  # each brings in much that nobody needs for what is kept
    from arclore.engine.library.stack import load_layers
    from arclore.engine.upkeep.audit import audit
    from arclore.engine.upkeep.cases import cases_in, problems, run_cases
    from arclore.engine.upkeep.review import read_reviews

    library = load_layers(asked.layers)
    audited = audit(library, date.fromisoformat(asked.today))
    reviews = [row for layer in asked.layers for row in read_reviews(layer)[2]]
    of = asked.cases_of
    runs = [] if of is None else list(run_cases(library, cases_in(library, of), cache, asked.processes))
    rows = {*library.problems, *build_graph(library)[1], *audited.errors, *reviews, *strangers(asked.named, library)}
    return Checked(
        {kind: len(getattr(library, kind)) for kind in COUNTED},
        sorted({*rows, *problems(library, runs)}),
        audited.hints,
        audited.waived,
        len(runs),
        sum(bool(one.misses) for one in runs),
    )
