"""Whether two ways of writing a person may mean the same person.

Someone else than the author must approve, so doubt counts as the same: a shorter form of a name, its initials,
another order, accents, letters of another alphabet that look alike, or one shared e-mail address are enough.
"""

from __future__ import annotations

import re
import unicodedata
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache

_FOLDED = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ı": "i", "þ": "th", "æ": "ae", "œ": "oe", "ɑ": "a"})
# Small letters of Cyrillic, Greek and Armenian that a reader takes for Latin ones.
_LOOKS_LIKE = str.maketrans("аеорсухіјѕһкмтвгԁнԛԝαονρτυκιεηχօսհոցյզ", "aeopcyxijshkmtbrdhqwaovptukienxouhngjq")
_LATIN = re.compile(r"LATIN (?:SMALL |CAPITAL )?LETTER (?:SMALL CAPITAL |SCRIPT |DOTLESS )?([A-Z])(?: |$)")
_ALIKE = str.maketrans({"i": "l", "1": "l", "|": "l", "0": "o"})  # in one word these are hard to tell apart
_UMLAUT = re.compile(r"(?<=[aou])e")
_EMAIL = re.compile(r"[^\s<>()\"',;:]+@[^\s<>()\"',;:]+")
MOST_WORDS = 20  # of a name that are compared
_TITLES = frozenset({"dr", "prof", "mr", "mrs", "ms", "mx", "sir", "coach", "jr", "sr", "phd", "msc", "bsc"})


@dataclass(frozen=True)
class Person:
    """A person as written somewhere: a name, an e-mail address, or both."""

    name: str
    email: str = ""

    def __str__(self) -> str:
        return f"{self.name} <{self.email}>" if self.email else self.name


def person(text: str) -> Person:
    """The person of ``Name``, ``Name <address>`` or a bare address."""
    found = _EMAIL.search(text)
    if not found:
        return Person(text.strip())
    name = (text[: found.start()] + text[found.end() :]).strip(" \t<>()\"',;")
    return Person(name, found[0])


@lru_cache(maxsize=50_000)  # a library has many entries, and few people
def same(one: Person, other: Person) -> bool:
    """Whether the two may be one person; in doubt they are."""
    mine, theirs = _address(one.email), _address(other.email)
    if mine and mine == theirs:
        return True
    return any(_alike(mine, theirs) for mine in _names(one) for theirs in _names(other))


def _names(who: Person) -> list[list[str]]:
    """The words of the name as written, and with a capital inside a word as the start of another.

    Where there is no name, the words of the address before the @.
    """
    whole = who.name if _words(who.name) else who.email.partition("@")[0]
    plain = unicodedata.normalize("NFKC", whole)
    return [_words(plain), _words(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", plain))]


def _words(text: str) -> list[str]:
    seen = "".join(c for c in text if unicodedata.category(c) not in ("Cf", "Cc", "Lm"))
    plain = unicodedata.normalize("NFKD", seen.casefold()).translate(_LOOKS_LIKE).translate(_FOLDED)
    plain = "".join(_latin(c) for c in plain if not unicodedata.combining(c)).replace("'", "").replace("’", "")
    words = re.findall(r"[^\W_]+", plain.replace("|", "l"))
    kept = [word for word in words if word not in _TITLES] or words
    alike = (_UMLAUT.sub("", word.translate(_ALIKE)) for word in kept)
    return [word.replace("rn", "m").replace("vv", "w").replace("aa", "a") for word in alike]


def _latin(letter: str) -> str:
    """The plain letter of a Latin one with a stroke, a hook or the like; any other character as it is."""
    found = None if letter.isascii() else _LATIN.match(unicodedata.name(letter, ""))
    return found[1].lower() if found else letter


def _alike(one: list[str], other: list[str]) -> bool:
    """Whether each word of the shorter name is a word, or the initial of one, of the longer one; none fits all."""
    if {"".join(one), "".join(reversed(one))} & {"".join(other), "".join(reversed(other))}:
        return True
    short, long = sorted((one, other), key=len)
    return _matched(short[:MOST_WORDS], long[:MOST_WORDS])


def _matched(short: list[str], long: list[str]) -> bool:
    """Whether each short word can have a long one of its own that it fits (Kuhn 1955, by augmenting paths)."""
    taken: dict[int, int] = {}

    def placed(number: int, tried: set[int]) -> bool:
        for place, fits in enumerate(long):
            if place not in tried and _fits(short[number], fits):
                tried.add(place)
                if place not in taken or placed(taken[place], tried):
                    taken[place] = number
                    return True
        return False

    return all(placed(number, set()) for number in range(len(short)))


def _fits(word: str, other: str) -> bool:
    if word == other:
        return True
    return min(len(word), len(other)) == 1 and word[0] == other[0]


def _address(email: str) -> str:
    """An address in one spelling: no case, no tag after a plus sign, no dots before the @, its domain in ASCII."""
    local, at, domain = unicodedata.normalize("NFKC", email).strip().casefold().rpartition("@")
    with suppress(UnicodeError):
        domain = domain.encode("idna").decode("ascii")
    return f"{local.partition('+')[0].replace('.', '')}@{domain.rstrip('.')}" if at else ""
