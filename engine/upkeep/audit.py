"""The audit of a library: what a schema can't see, because only geometry, inference or meaning can.

Nothing here raises for bad content: what its schema refuses is left out of the library before. Errors make a
library unfit to rely on; hints are worth a look.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from arclore.engine.library.problems import Problem
from arclore.engine.library.read import Document
from arclore.engine.library.stack import Library, with_entry
from arclore.engine.upkeep import (
    audit_causes,
    audit_checks,
    audit_drills,
    audit_expressions,
    audit_findings,
    audit_safety,
    audit_signs,
    audit_worth,
)
from arclore.engine.upkeep.audit_prior import odd_priors
from arclore.engine.upkeep.audit_reach import unreachable
from arclore.engine.upkeep.audit_reading import hard_to_read
from arclore.engine.upkeep.audit_wording import banned_phrases
from arclore.engine.upkeep.confusable import inseparable
from arclore.engine.upkeep.duplicates import near_duplicates
from arclore.engine.upkeep.subject import Subject
from arclore.engine.upkeep.waivers import Waived, rule, unsilenced

Rule = Callable[[Subject], Iterator[Problem]]
ERRORS: tuple[Rule, ...] = (
    audit_causes.untested,
    audit_causes.untreated,
    audit_causes.speechless,
    audit_causes.stated_outcomes,
    audit_causes.unmarked_opposites,
    audit_causes.lone_positions,
    audit_causes.unreached_symptoms,
    audit_causes.odd_leaks,
    audit_findings.unlinked_findings,
    audit_checks.bold_estimates,
    audit_checks.idle_checks,
    audit_checks.weak_checks,
    audit_checks.thin_groups,
    audit_checks.unsourced,
    audit_worth.silent_checks,
    audit_signs.wrong_sides,
    audit_signs.opposed_causes,
    audit_drills.wrong_signs,
    audit_drills.clubless,
    audit_drills.inward_cues,
    audit_safety.bare_cautions,
    audit_safety.unguarded_steps,
    audit_expressions.said_in_two,
    audit_expressions.certain_guesses,
    odd_priors,
    inseparable,
    unreachable,
    banned_phrases,
)
HINTS: tuple[Rule, ...] = (audit_causes.one_sided, audit_checks.unused_sources, near_duplicates, hard_to_read)


@dataclass(frozen=True)
class Audit:
    """Sorted rows: ``errors`` to be mended, ``hints`` to be looked at, and what is ``waived`` for now."""

    errors: list[Problem]
    hints: list[Problem]
    waived: list[Waived] = field(default_factory=list)


def audit(library: Library, today: date | None = None) -> Audit:
    """All findings of a library; a rule that needs settings, clubs or a model the library lacks stays silent.

    Waivers silence findings up to their last day, counted from ``today``; bad ones are errors.
    """
    subject = Subject(library)
    errors, hints = _rows(ERRORS, subject), _rows(HINTS, subject)
    ruling = rule(library, [*errors, *hints], today or date.today())
    errors = sorted([*unsilenced(errors, ruling), *ruling.problems])
    return Audit(errors, list(unsilenced(hints, ruling)), ruling.waived)


def audit_entry(library: Library, document: Document) -> Audit:
    """The findings about one entry, as if it stood in the library; ``document`` must be sound by its schema."""
    key = document.value["kind"], document.value["id"]
    laid = with_entry(library, document)
    found = audit(laid)
    mine = laid.documents[key].problem((), "", "").path
    errors, hints = ([row for row in rows if row.path == mine] for rows in (found.errors, found.hints))
    return Audit(errors, hints)


def _rows(rules: Sequence[Rule], subject: Subject) -> list[Problem]:
    return sorted({row for rule in rules for row in rule(subject)})
