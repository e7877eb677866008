"""How far each entry has come, computed from its reviews and never stored in it.

unreviewed: nobody has judged it. draft: its content has changed since it was judged, or isn't committed yet.
in-review: judged, but not approved by all who judged it, or somebody changed another's judgement. approved: someone
who did not write it approved exactly this content, and nobody's rejection of it stands. due-again: approved, but too
long ago. retired: kept for old cases only. A layer's entry is judged by the reviews of that same layer, so no layer
raises another's status.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from arclore.engine.library.problems import Problem, shortened
from arclore.engine.library.read import Document
from arclore.engine.library.stack import Key, Library
from arclore.engine.upkeep.digest import digest
from arclore.engine.upkeep.history import History
from arclore.engine.upkeep.kept_reviews import review_rows
from arclore.engine.upkeep.people import Person, person, same
from arclore.engine.upkeep.review import Review, read_reviews
from arclore.engine.upkeep.signatures import Signature, signatures, signed_by

STATUSES = ("unreviewed", "draft", "in-review", "due-again", "approved", "retired")  # retired stands apart


@dataclass(frozen=True)
class Judged:
    """A review of an entry, and why it does not count, empty where it does. known: on the library's list.

    ``signer`` is who signed it, known only where the library demands signatures.
    """

    review: Review
    why_not: str
    known: bool
    signer: str = ""


@dataclass(frozen=True)
class Status:
    """Where an entry stands. ``waits_for`` is author, reviewer or empty; ``expires`` is when approval ends.

    ``who`` are the people it waits for: its authors, or those on the library's list of reviewers who may approve
    it. Where it waits for a reviewer and the library has no list, anyone but an author may.
    """

    kind: str
    id: str
    title: str
    status: str
    digest: str
    authors: tuple[Person, ...]
    waits_for: str
    expires: date | None
    reviews: tuple[Judged, ...]
    who: tuple[Person, ...] = ()


def statuses(library: Library, folder: Path, history: History, today: date) -> tuple[list[Status], list[Problem]]:
    """The status of each entry of one layer of a library, in order of kind and id, and rows of spoiled reviews."""
    reviews, known, problems = read_reviews(folder)
    signed, about_signers = signatures(folder, history, _current(reviews, library))
    by_entry: dict[Key, list[Review]] = {}
    for review in reviews:
        by_entry.setdefault(review.entry, []).append(review)
    found = [
        _status(key, library.documents[key], by_entry.get(key, []), known, history, today, signed)
        for key, origin in library.origin.items()
        if origin == folder
    ]
    return found, sorted([*problems, *about_signers, *review_rows(folder, history.spoiled)])


def own_problems(library: Library, folder: Path) -> list[Problem]:
    """The rows of a library that are about files of one layer; entries with one are not among its statuses."""
    return [row for row in library.problems if Path(row.path).resolve().is_relative_to(folder)]


def _current(reviews: Iterable[Review], library: Library) -> Iterator[str]:
    """The paths of the reviews whose signature matters: of what their entry says now."""
    documents = library.documents
    for each in reviews:
        if each.entry in documents and digest(documents[each.entry].value) == each.digest:
            yield each.path


def path_in_layer(document: Document) -> str:
    """The path of an entry's file relative to its library folder."""
    return f"{document.path.parent.name}/{document.path.name}"


def authors_of(document: Document, history: History) -> tuple[Person, ...]:
    """Everyone who wrote an entry as it reads: named in it, or in the history of its file; each written once."""
    entry = document.value
    named = [person(text) for text in (entry["author"], *entry.get("authors", ()))]
    written = sorted(history.writers.get(path_in_layer(document), ()), key=str)
    return tuple(dict.fromkeys([*named, *written]))


def is_author(who: Person, authors: Iterable[Person]) -> bool:
    """Whether this may be one of the authors, however the names are written."""
    return any(same(who, author) for author in authors)


def _status(
    key: Key,
    document: Document,
    reviews: list[Review],
    known: list[Person] | None,
    history: History,
    today: date,
    signed: Mapping[str, Signature] | None,
) -> Status:
    content, authors = digest(document.value), authors_of(document, history)
    judged = tuple(
        _signed(_judged(review, content, authors, known, history, today), signed) for review in reviews
    )
    latest = {str(each.review.reviewer): each for each in judged if not each.why_not and _weighs(each)}
    approvals = [each.review for each in latest.values() if each.review.verdict == "approve"]
    rejected = any(each.review.verdict == "reject" for each in latest.values())
    expires = max((review.expires for review in approvals if review.expires), default=None)
    committed = history.kind != "git" or path_in_layer(document) in history.settled
    of_this = [each for each in judged if each.review.digest == content]
    if "retired" in document.value:
        status = "retired"
    elif (reviews and not of_this) or not (committed or approvals):
        status = "draft"
    elif not reviews:
        status = "unreviewed"
    elif rejected or not approvals or any(review.path in history.spoiled for review in reviews):
        status = "in-review"
    else:
        status = "approved" if expires and expires >= today else "due-again"
    waits = {"draft": "reviewer" if committed else "author", "approved": "", "retired": ""}
    waits_for = "author" if status == "in-review" and rejected else waits.get(status, "reviewer")
    shown_expiry = expires if status in ("approved", "due-again") else None
    title = str(document.value["title"])
    able = tuple(each for each in known or () if not is_author(each, authors))
    who = {"author": authors, "reviewer": able}.get(waits_for, ())
    return Status(*key, title, status, content, authors, waits_for, shown_expiry, judged, who)


def _weighs(judged: Judged) -> bool:
    return judged.review.verdict != "comment"


def _judged(
    review: Review,
    content: str,
    authors: tuple[Person, ...],
    known: list[Person] | None,
    history: History,
    today: date,
) -> Judged:
    listed = known is not None and any(_is(review.reviewer, each) for each in known)
    return Judged(review, _why_not(review, content, authors, known is None or listed, history, today), listed)


def _signed(judged: Judged, signed: Mapping[str, Signature] | None) -> Judged:
    """The same with its signature weighed, where the library demands one."""
    if signed is None:
        return judged
    signature = signed.get(judged.review.path, Signature(why_not="its signature was not looked at"))
    why_not = judged.why_not or signed_by(signature, judged.review.reviewer)
    return replace(judged, why_not=why_not, signer=signature.signer)


def _is(reviewer: Person, listed: Person) -> bool:
    """A listed reviewer is recognised by the address where the list has one, else by the name as it stands."""
    if listed.email:
        return reviewer.email.casefold() == listed.email.casefold()
    return reviewer.name.casefold() == listed.name.casefold()


def _why_not(
    review: Review, content: str, authors: tuple[Person, ...], trusted: bool, history: History, today: date
) -> str:
    """Why a review has no weight, or nothing where it has."""
    if review.digest != content:
        return "given to other content"
    if review.on > today:
        return "dated in the future"
    if review.verdict == "approve" and is_author(review.reviewer, authors):
        return "by an author"
    if not history.whole:
        return "the history is cut short, so its authors are not known"
    if not trusted:
        return "by an unknown reviewer"
    if history.kind == "none":
        return "the library is not in git, so nobody can tell who gave it"
    if review.path not in history.settled:
        return "not committed" if history.kind == "git" else "not in the release"
    writers = history.writers.get(review.path, frozenset())
    if not writers or not all(same(review.reviewer, writer) for writer in writers):
        others = ", ".join(sorted({who.name for who in writers if not same(review.reviewer, who)}))
        return f"committed by {shortened(others, 80)}" if others else "committed by nobody that is known"
    brought = [*writers, *(history.carriers[path] for path in (review.path,) if path in history.carriers)]
    if review.verdict == "approve" and any(is_author(who, authors) for who in brought):
        return "committed by an author"
    return ""
