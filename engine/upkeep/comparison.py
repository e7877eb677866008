"""A comparison of two libraries as text: Markdown for a comment, or plain for a terminal."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from arclore.engine.library.problems import printable, shortened
from arclore.engine.upkeep.compare import GROUPS

_MARKUP = re.compile(r"([\\`*_{}\[\]<>()#|~!&:@])|(?<=www)\.", re.IGNORECASE)
Row = Mapping[str, Any]


def markdown(compared: Row) -> str:
    """The comparison as Markdown fit for a comment; all text from the libraries is escaped, none becomes markup."""
    return _Writer(marked, "### {}", "**{}**").written(compared)


def plain_text(compared: Row) -> str:
    """The same as people read it at a terminal: no markup, nothing that a terminal would act on."""
    return _Writer(printable, "{}", "{}").written(compared)


def marked(text: object) -> str:
    """Text as Markdown that shows it as it is: no markup, no link, no mention of a person, on one line."""
    return _MARKUP.sub(lambda found: "&#64;" if found[0] == "@" else f"\\{found[0]}", printable(text))


@dataclass(frozen=True)
class _Writer:
    """text: how text from a library is written; heading and strong: patterns of a heading and of what stands out."""

    text: Callable[[object], str]
    heading: str
    strong: str

    def written(self, compared: Row) -> str:
        lines = [self.heading.format(f"From {self.text(compared['a'])} to {self.text(compared['b'])}"), ""]
        for group in GROUPS:
            lines += self._entries(group, compared[group])
        if len(lines) == 2:
            lines += ["No entry differs.", ""]
        lines += self._merged(compared.get("no_longer_told_apart") or [])
        if compared["cases"] is not None:
            lines += self._answers(compared["cases"])
        return "\n".join(lines).rstrip() + "\n"

    def _entries(self, group: str, rows: list[Row]) -> Iterator[str]:
        if not rows:
            return
        yield from (self.strong.format(f"{len(rows)} {group}"), "")
        for row in rows:
            yield f"- {row['kind']} {self.text(row['id'])}: {self.text(row['title'])}{self._retired(row)}"
            for change in row.get("fields", ()):
                was, now = (self._value(change, side) for side in ("was", "is"))
                yield f"  - {self.text(change['field'])}: {was} → {now}"
        yield ""

    def _merged(self, sets: list[Row]) -> Iterator[str]:
        """The part about causes that are no longer told apart; nothing where there are none."""
        if not sets:
            return
        yield from (self.strong.format("No longer told apart") + ", by the flight or by a check", "")
        for merged in sets:
            told = f"; until now by {self._listed(merged['told_by'])}" if merged["told_by"] else ""
            yield f"- {self._listed(merged['causes'])}{told}"
        yield ""

    def _answers(self, cases: Row) -> Iterator[str]:
        """How many cases were asked, since what differs cannot reach the others, and what changes."""
        out_of = "" if cases["asked"] == cases["cases"] else f" of {cases['cases']}"
        leading = sum(row["leading_changed"] for row in cases["changed"])
        asked = f"{cases['asked']}{out_of} cases asked, {leading} with another leading cause"
        yield from (f"{self.strong.format('Answers')}: {asked}", "")
        yield from (f"- {self.text(row['id'])}: {self._told(row)}" for row in cases["changed"])
        yield from self._left_out(cases)

    def _left_out(self, cases: Row) -> Iterator[str]:
        """What was too much work to compare."""
        if cases["not_asked"]:
            more = f"{len(cases['not_asked'])} more cases that this may change were not asked, as that takes long"
            yield from ("", f"{more}: run this again for the next ones, or with --every-case for all.")
        if cases["checks_not_compared"]:
            dear = f"in {len(cases['checks_not_compared'])} of the cases checks are too many to be compared quickly"
            yield from ("", f"Left out: {dear}; --every-case compares them.")

    def _retired(self, row: Row) -> str:
        if "reason" not in row:
            return ""
        instead = f", instead {self._listed(row['replaced_by'])}" if row["replaced_by"] else ""
        return f" ({self.text(row['reason'])}{instead})"

    def _value(self, change: Row, side: str) -> str:
        return self.text(shortened(_spelt(change[side]), 160)) if side in change else "nothing"

    def _told(self, row: Row) -> str:
        if row["unanswered"]:
            return f"not answered by {self.text(row['unanswered'])}"
        was, now = self._lead(row["was"]), self._lead(row["is"])
        told = [f"{was} → {now}" if was != now else f"{now} leads as before"]
        for said in ("checks", "drills"):
            for way in ("added", "gone"):
                if row[f"{said}_{way}"]:
                    told.append(f"{said} {way}: {self._listed(row[f'{said}_{way}'])}")
        return "; ".join(told)

    def _lead(self, cause: Row | None) -> str:
        return f"{self.text(cause['id'])} ({100 * cause['probability']:.0f} in 100)" if cause else "nothing"

    def _listed(self, names: list[str]) -> str:
        return ", ".join(map(self.text, names))


def _spelt(value: Any) -> str:
    """A field's value as an entry spells it, on one line."""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)
