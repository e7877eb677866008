"""``arclore library status`` and ``review``: how far entries have come, and judging one."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import REVIEWERS, REVIEWS
from arclore.engine.library.problems import Problem, nearest, printable
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.digest import digest
from arclore.engine.upkeep.git import GitError
from arclore.engine.upkeep.history import History, history_of, me
from arclore.engine.upkeep.layers import load_with
from arclore.engine.upkeep.people import Person, person
from arclore.engine.upkeep.review import LASTS, questions, write_review
from arclore.engine.upkeep.signatures import demanded
from arclore.engine.upkeep.statuses import STATUSES, Judged, Status, authors_of, is_author, own_problems, statuses
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.library_folder import folder_of
from arclore.tui.command.page import Page, print_json

NAME = "arclore library review"
UNLISTED = "The library lists no reviewers: anyone who is not an author may approve."
ANSWERS = ("yes", "no", "not-applicable")


def run_status(given: argparse.Namespace) -> Exit:
    """Print how far the entries of a library have come; spoiled reviews are problems."""
    folder = folder_of(given.folder, "status")
    history = _history(folder, "status")
    library = load_with(folder)
    found, problems = statuses(library, folder, history, date.today())
    problems = sorted([*own_problems(library, folder), *problems])
    counts = Counter(status.status for status in found)
    shown = [status for status in found if status.waits_for or not given.due]
    if given.json:
        print_json(
            {
                "folder": str(folder),
                "history": history.kind,
                "counts": {word: counts[word] for word in STATUSES},
                "entries": [as_row(status) for status in shown],
                "problems": [asdict(problem) for problem in problems],
            }
        )
    else:
        listed, page = (folder / REVIEWS / REVIEWERS).is_file(), Page()
        for status in shown:
            _tell(page, status, listed)
        page.paragraph(", ".join(f"{counts[word]} {word}" for word in STATUSES))
        if any(status.reviews for status in shown) and not listed:
            page.paragraph(UNLISTED)
        page.show()
    return _with(problems)


def as_row(status: Status) -> dict[str, Any]:
    """A status as plain data."""
    return {
        "kind": status.kind,
        "id": status.id,
        "title": status.title,
        "status": status.status,
        "digest": status.digest,
        "authors": [str(author) for author in status.authors],
        "waits_for": status.waits_for,
        "who": [str(each) for each in status.who],
        "expires": status.expires.isoformat() if status.expires else None,
        "reviews": [
            {
                "reviewer": str(each.review.reviewer),
                "verdict": each.review.verdict,
                "date": each.review.on.isoformat(),
                "counts": not each.why_not,
                "why_not": each.why_not,
                "known": each.known,
                "signer": each.signer,
                "notes": each.review.notes,
            }
            for each in status.reviews
        ],
    }


def _tell(page: Page, status: Status, listed: bool) -> None:
    until = f" until {status.expires}" if status.expires else ""
    page.paragraph(f"{status.kind} {status.id}: {status.status}{until}")
    if waiting := _waiting(status, listed):
        page.paragraph(waiting, 2)
    for each in status.reviews:
        page.paragraph(_told(each, listed), 2, "- ")


def _told(judged: Judged, listed: bool) -> str:
    """A judgement in words: when, who, what; why it has no weight; what was noted."""
    review = judged.review
    parts = [f"{review.on} {review.reviewer.name}: {review.verdict}"]
    parts += [f"signed by {judged.signer}"] if judged.signer else []
    parts += ["not on the list of reviewers"] if listed and not judged.known else []
    parts += [f"does not count: {judged.why_not}"] if judged.why_not else []
    return "; ".join(parts) + (f" ({review.notes})" if review.notes else "")


def _waiting(status: Status, listed: bool) -> str:
    """Whom an entry waits for, each person once."""
    authors, who = (", ".join(dict.fromkeys(each.name for each in people)) for people in (status.authors, status.who))
    if not status.waits_for:
        return ""
    if status.waits_for == "author":
        return "waits to be committed" if status.status == "draft" else f"waits for its author: {who}"
    if listed:
        return f"waits for a review by {who}" if who else "waits for a review, but everyone on the list wrote it"
    return f"waits for a review by anyone but {authors}"


def run_review(given: argparse.Namespace) -> Exit:
    """Write a judgement of an entry as it reads now."""
    folder = folder_of(given.folder, "review")
    library = load_with(folder)
    key = _key(given, library, folder)
    reviewer = person(given.reviewer) if given.reviewer else me(folder)
    if reviewer is None:
        raise WrongUseError(f"{NAME}: git does not know who you are: give --as 'Name <address>'")
    if given.verdict == "approve":
        _refuse_author(reviewer, library, key, _history(folder, "review"))
    today = date.today()
    review: dict[str, Any] = {
        "schema": 1,
        "kind": "review",
        "entry": {"kind": key[0], "id": key[1]},
        "digest": digest(library.documents[key].value),
        "reviewer": {"name": reviewer.name, **({"email": reviewer.email} if reviewer.email else {})},
        "date": today.isoformat(),
        "verdict": given.verdict,
    }
    answers = _answers(given.answer, given.verdict == "approve")
    review |= {"checklist": answers} if answers else {}
    review |= {"trials": given.trial} if given.trial else {}
    review |= {"notes": given.note} if given.note else {}
    if given.verdict == "approve" or given.expires:
        review["expires"] = given.expires or (today + LASTS).isoformat()
    path, problems = write_review(folder, review)
    if path is None:
        raise WrongUseError(f"{NAME}: {problems[0].message}" + (f" ({problems[0].hint})" if problems[0].hint else ""))
    if given.json:
        print_json({"path": str(path), **review})
    else:
        signed = ", and sign the commit: git commit -S" if demanded(folder) else ""
        print(f"written: {path}; commit it under your own name{signed}")
    return Exit.DONE


def _key(given: argparse.Namespace, library: Library, folder: Path) -> tuple[str, str]:
    key = given.kind, given.id
    mine = {name for (kind, name), origin in library.origin.items() if kind == given.kind and origin == folder}
    if given.id not in mine:
        near = nearest(given.id, mine)
        hint = f"nearest: {near}" if near else "see: arclore library check"
        raise WrongUseError(f"{NAME}: no sound {given.kind} {given.id!r} in {folder} ({hint})")
    return key


def _refuse_author(reviewer: Person, library: Library, key: tuple[str, str], history: History) -> None:
    if is_author(reviewer, authors_of(library.documents[key], history)):
        raise WrongUseError(f"{NAME}: {reviewer.name} may be an author of {key[1]}: someone else must approve it")


def _answers(given: list[str], needed: bool) -> dict[str, str]:
    """The answers of the flags; what an approval still lacks is asked where someone can answer."""
    asked = questions()
    answers = {}
    for text in given:
        name, _, answer = text.partition("=")
        if name not in asked:
            known = ", ".join(asked)
            raise WrongUseError(f"{NAME}: --answer {name!r} is no question (known: {known})")
        answers[name] = answer
    missing = [name for name in asked if name not in answers] if needed else []
    if missing and not sys.stdin.isatty():
        lacking = ", ".join(f"--answer {name}=yes ({asked[name]})" for name in missing)
        raise WrongUseError(f"{NAME}: an approval answers every question: {lacking}")
    for name in missing:
        answers[name] = _asked(f"{name}: {asked[name]} ({', '.join(ANSWERS)})? ")
    if needed and (refused := [name for name in asked if answers.get(name) == "no"]):
        instead = "an approval has no no among its answers; give --reject or --comment, and say why with --note"
        raise WrongUseError(f"{NAME}: {refused[0]} is answered no ({asked[refused[0]]}): {instead}")
    return {name: answers[name] for name in asked if name in answers}


def _asked(question: str) -> str:
    """The answer typed at a terminal, or how it begins, asked again until it is one of the three."""
    while True:
        try:
            typed = input(question).strip().lower()
        except EOFError:
            print(file=sys.stderr)
            raise WrongUseError(f"{NAME}: not every question was answered; nothing was written") from None
        meant = [answer for answer in ANSWERS if typed and answer.startswith(typed)]
        if typed in ANSWERS or len(meant) == 1:
            return typed if typed in ANSWERS else meant[0]
        print(f"  {printable(typed) or 'nothing'} is none of the three", file=sys.stderr)


def _history(folder: Path, action: str) -> History:
    try:
        return history_of(folder)
    except GitError as error:
        raise WrongUseError(f"arclore library {action}: git can't tell who wrote {folder}: {error}") from None


def _with(problems: list[Problem]) -> Exit:
    for problem in problems:
        print(problem.row(), file=sys.stderr)
    return Exit.PROBLEMS if problems else Exit.DONE
