"""Reviews: small files in a library's ``reviews`` folder, each one person's judgement of one exact content."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from arclore.engine.library.atomic import write_text
from arclore.engine.library.folder import REVIEWERS, REVIEWS
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import Document, read_yaml, shown
from arclore.engine.library.schema import check, unseen_text, validator
from arclore.engine.library.stack import Key
from arclore.engine.upkeep.people import Person

LASTS = timedelta(days=365)  # unless the reviewer says otherwise
MOST_REVIEWS = 50_000


@dataclass(frozen=True)
class Review:
    """A judgement as written; whether it counts is for ``statuses`` to say. ``path`` is relative to the library."""

    path: str
    entry: Key
    digest: str
    reviewer: Person
    on: date
    verdict: str
    expires: date | None
    notes: str


def questions() -> dict[str, str]:
    """What an approval must answer: name of each question and the question."""
    schema: Any = validator("review").schema
    asked = schema["properties"]["checklist"]["properties"]
    return {name: about["description"] for name, about in asked.items()}


def read_reviews(folder: Path) -> tuple[list[Review], list[Person] | None, list[Problem]]:
    """All sound reviews in order of date and name, the reviewers the library counts (None: no list), and rows.

    Where the list of reviewers is there but spoiled, nobody is on it.
    """
    place = folder / REVIEWS
    reviews: list[Review] = []
    known: list[Person] | None = None
    problems: list[Problem] = []
    found = sorted(place.iterdir()) if place.is_dir() and not place.is_symlink() else []
    names = [path.name for path in found if not path.name.startswith(".") or path.suffix == ".yaml"]
    if len(names) > MOST_REVIEWS:
        message = f"more than {MOST_REVIEWS:,} reviews"
        problems.append(Problem(shown(place), 1, 1, "too-many", message, "split the library"))
    for name in names[:MOST_REVIEWS]:
        kind = "reviewers" if name == REVIEWERS else "review"
        document, rows = _read(place / name, kind)
        problems += rows
        if kind == "reviewers":
            known = [] if document is None else [_person(row) for row in document.value["reviewers"]]
        elif document is not None:
            reviews.append(_review(document.value, f"{REVIEWS}/{name}"))
    return sorted(reviews, key=lambda review: (review.on, review.path)), known, sorted(problems)


def write_review(folder: Path, review: Mapping[str, Any]) -> tuple[Path | None, list[Problem]]:
    """Write a review as a file of its own and return its path, or the rows that say what is wrong with it."""
    from arclore.engine.upkeep.entry_file import dumped  # brings the writer of YAML, which reading does without

    text = dumped(review)
    document, rows = read_yaml(text, "review")
    rows = rows or ([*check(document, "review"), *unseen_text(document)] if document else [])
    if rows:
        return None, rows
    entry, place = review["entry"], folder / REVIEWS
    slug = "-".join(re.findall(r"[a-z0-9]+", review["reviewer"]["name"].lower()))[:40] or "reviewer"
    head = f"{entry['kind']}.{entry['id']}"
    number = len(list(place.glob(f"{head}.*.yaml"))) + 1
    while (path := place / f"{head}.{number:03d}.{slug}.yaml").exists():
        number += 1
    write_text(path, text, 0o644)
    return path, []


def _read(path: Path, kind: str) -> tuple[Document | None, list[Problem]]:
    if path.is_symlink():
        return None, [Problem(shown(path), 1, 1, "link", "a link, which is not followed", "put the file itself here")]
    if path.suffix != ".yaml":
        return None, [Problem(shown(path), 1, 1, "stray", "not a review", "only .yaml files stand here")]
    document, rows = read_yaml(path)
    if document is not None:
        rows += [*check(document, kind), *unseen_text(document)]
    return (None if rows else document), rows


def _review(value: Mapping[str, Any], path: str) -> Review:
    expires = value.get("expires")
    return Review(
        path,
        (value["entry"]["kind"], value["entry"]["id"]),
        value["digest"],
        _person(value["reviewer"]),
        date.fromisoformat(value["date"]),
        value["verdict"],
        date.fromisoformat(expires) if expires else None,
        value.get("notes", ""),
    )


def _person(value: Mapping[str, str]) -> Person:
    return Person(value["name"], value.get("email", ""))
