"""What stands on paper of a drill or a check, and in which order; how it looks is for ``web`` and ``pdf``."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from arclore.engine.library.problems import printable
from arclore.engine.library.stack import Library
from arclore.engine.upkeep.statuses import Status
from arclore.tui.command.page import counted, listed, sentence
from arclore.tui.hand import for_hand
from arclore.tui.take_home import PAIN, mark_line
from arclore.tui.wording import caution_lines, dose_line

KINDS = ("drill", "check")
WALL_COLUMNS = 3  # at most: with fewer cards, fewer and wider ones
Fact = tuple[str, str]


@dataclass(frozen=True)
class Card:
    """One drill or check on paper; every text is one harmless line.

    ``say`` is what is said aloud; ``facts`` are labels with what stands behind them, ``needs`` such of time and kit;
    ``care`` is never left out. ``foot`` names the entry and says how far it has come, ``approved`` whether that is
    far enough to rely on.
    """

    kind: str
    title: str
    say: str
    facts: tuple[Fact, ...]
    needs: tuple[Fact, ...]
    steps: tuple[str, ...]
    care: tuple[str, ...]
    foot: str
    approved: bool


@dataclass(frozen=True)
class Sheet:
    """All that is printed: a title, what the set is, the cards, and what holds for all of them."""

    title: str
    about: str
    cards: tuple[Card, ...]
    always: tuple[str, ...]

    def own_care(self, card: Card) -> list[str]:
        """The cautions of a card that do not hold for all of them."""
        return [text for text in card.care if text not in self.always]


def sheet(
    library: Library, found: Iterable[Status], settings: Mapping[str, Any], handed: str, kinds: Sequence[str]
) -> Sheet:
    """The sheet of these entries of one library; ``settings`` is that library's own ``library.yaml``."""
    always = tuple(library.settings.get("safety", {}).get("cautions", ()))
    chosen = sorted((each for each in found if each.kind in kinds), key=lambda each: kinds.index(each.kind))
    cards = tuple(_card(library.of_kind(each.kind)[each.id], each, always, handed) for each in chosen)
    counts = [(sum(card.kind == kind for card in cards), kind) for kind in kinds]
    told = listed([counted(count, kind) for count, kind in counts if count]) or "nothing"
    about = f"Version {settings['version']}: {told}"
    if any("{left}" in text or "{right}" in text for each in chosen for text in _texts(library, each)):
        about += f", written for the {handed}-handed"
    return Sheet(_line(settings["title"]), _line(f"{about}."), cards, tuple(map(_line, (*always, PAIN))))


def _card(entry: Mapping[str, Any], status: Status, always: Sequence[str], handed: str) -> Card:
    def own(text: object) -> str:
        return _line(sentence(for_hand(str(text), handed)))

    drill = status.kind == "drill"
    facts = _drill_facts(entry) if drill else _check_facts(entry)
    return Card(
        status.kind,
        own(entry["title"]),
        own(entry["cue" if drill else "asks"]),
        tuple((label, own(text)) for label, text in facts),
        tuple((label, own(text)) for label, text in _needs(entry)),
        tuple(map(own, entry["steps" if drill else "how"])),
        tuple(_line(sentence(text)) for text in (*caution_lines(entry, always, handed), *_not_for(entry))),
        _line(f"{status.id}: {_standing(status)}"),
        status.status == "approved",
    )


def _drill_facts(entry: Mapping[str, Any]) -> tuple[Fact, ...]:
    return ("How much", dose_line(entry["dose"])), ("Good enough", mark_line(entry["pass_mark"]))


def _check_facts(entry: Mapping[str, Any]) -> tuple[Fact, ...]:
    def name(row: Mapping[str, Any]) -> str:
        return str(row["id"]).replace("-", " ").capitalize()

    return tuple((name(row), f"{row['when']}: {row['means']}") for row in entry["results"])


def _needs(entry: Mapping[str, Any]) -> tuple[Fact, ...]:
    kit = (("You need", ", ".join(entry["kit"])),) if entry["kit"] else ()
    return ("It takes", counted(entry["minutes"], "minute")), *kit


def _not_for(entry: Mapping[str, Any]) -> list[str]:
    names = [str(name).replace("-", " ") for name in entry.get("not_for", ())]
    return [f"not for: {', '.join(names)}"] if names else []


def _standing(status: Status) -> str:
    """How far the entry has come; what is not approved says so loudly."""
    if status.status != "approved":
        return f"NOT APPROVED ({status.status.replace('-', ' ')})"
    counted_ones = [each.review for each in status.reviews if not each.why_not]
    names = [review.reviewer.name for review in counted_ones if review.verdict == "approve"]
    return f"approved by {listed(list(dict.fromkeys(names)))} until {status.expires}"


def _texts(library: Library, status: Status) -> Iterable[str]:
    return (str(value) for value in library.of_kind(status.kind)[status.id].values())


def _line(text: object) -> str:
    return printable(" ".join(str(text).split()))
