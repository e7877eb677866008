"""What only meaning can check of checks and sources."""

from __future__ import annotations

from collections.abc import Iterator

from arclore.engine.library.graph import source_names
from arclore.engine.library.problems import Problem
from arclore.engine.library.read import read_yaml
from arclore.engine.upkeep.bearing import ratios
from arclore.engine.upkeep.subject import Subject

LEAST_TOLD = 1.5  # times that the better result of a check moves the odds
LEAST_COVERED = 0.6  # of the causes, by the checks that split whole groups


def bold_estimates(subject: Subject) -> Iterator[Problem]:
    """Checks that claim more than an estimate may: a likelihood ratio beyond the library's greatest."""
    greatest = subject.library.settings.get("next_check", {}).get("greatest_estimated_ratio")
    if greatest is None:
        return
    for name, check in subject.checks.items():
        if check["type"] != "likelihood" or check["likelihood"]["basis"] != "estimate":
            continue
        positive, negative = ratios(check)
        for result, ratio in (("positive", positive), ("negative", 1.0 / negative)):
            if ratio > greatest * (1.0 + 1e-9):
                message = f"the {result} result moves the odds {ratio:.1f} times on an estimate"
                hint = f"at most {greatest:g}: lower sensitivity or specificity, or name the study"
                yield subject.problem("check", name, ("likelihood",), "bold-estimate", message, hint)


def idle_checks(subject: Subject) -> Iterator[Problem]:
    """Yes-or-no checks that speak of no cause."""
    for name, check in subject.checks.items():
        if check["type"] != "measurement" and not subject.bearings.touched(check):
            hint = "name a cause, family or stage that is in use"
            yield subject.problem("check", name, ("type",), "idle-check", "it speaks of no cause", hint)


def weak_checks(subject: Subject) -> Iterator[Problem]:
    """Yes-or-no checks of which neither result moves the odds enough to be worth the minutes."""
    for name, check in subject.checks.items():
        positive, negative = ratios(check)
        if check["type"] == "likelihood" and max(positive, 1.0 / negative) < LEAST_TOLD:
            message = f"its results say next to nothing: odds move {positive:.2f} and {1.0 / negative:.2f} times"
            hint = f"sensitivity and specificity that move them {LEAST_TOLD:g} times, or another check"
            yield subject.problem("check", name, ("likelihood",), "weak-check", message, hint)


def thin_groups(subject: Subject) -> Iterator[Problem]:
    """A library whose group checks leave out too many causes; the row stands at the first group check."""
    groups = [name for name, check in subject.checks.items() if check.get("group")]
    covered = frozenset(cause for name in groups for cause in subject.bearings.causes(subject.checks[name]))
    share = _share(subject, covered) if subject.causes else 1.0
    if groups and share < LEAST_COVERED:
        message = f"all group checks together cover {share:.0%} of the causes"
        hint = f"at least {LEAST_COVERED:.0%}: name more families or stages"
        yield subject.problem("check", groups[0], ("group",), "thin-groups", message, hint)


def _share(subject: Subject, causes: frozenset[str]) -> float:
    commonness = subject.library.settings.get("commonness", {})

    def weight(name: str) -> float:
        return sum(float(commonness.get(word, 0.1)) for word in subject.causes[name]["how_common"].values())

    return sum(map(weight, sorted(causes))) / sum(map(weight, subject.causes))


def unsourced(subject: Subject) -> Iterator[Problem]:
    """Claims said to be published that name no source."""
    for (kind, name), document in subject.library.documents.items():
        entry = document.value
        evidence = entry.get("evidence", {})
        if evidence.get("kind") == "published" and not source_names(entry):
            hint = "name the source, or say common-practice or estimate"
            yield document.problem(("evidence",), "unsourced", f"the {kind} {name!r} is published nowhere named", hint)
        for index, claim in enumerate(evidence.get("claims", ())):
            if not entry.get(claim["about"]):
                message = f"a claim about {claim['about']!r}, which the {kind} does not have"
                hint = "name the field that the claim stands in"
                yield document.problem(("evidence", "claims", index, "about"), "claim-about", message, hint)
        if entry.get("likelihood", {}).get("basis") == "published" and "source" not in entry["likelihood"]:
            hint = "name the source, or say estimate"
            yield document.problem(("likelihood",), "unsourced", "published figures without a source", hint)


def unused_sources(subject: Subject) -> Iterator[Problem]:
    """Sources that no entry names."""
    library = subject.library
    used = {name for document in library.documents.values() for name in source_names(document.value)}
    used |= {claim.get("source") for claim in library.settings.get("safety", {}).get("claims", ())}
    unused = library.sources.keys() - used
    folders = {document.path.parents[1] for document in library.documents.values()}
    for folder in sorted(folders) if unused else ():
        listed, _ = read_yaml(folder / "sources.yaml")
        for index, source in enumerate(listed.value.get("sources", ()) if listed else ()):
            if isinstance(source, dict) and source.get("id") in unused:
                message = f"no entry names the source {source['id']!r}"
                hint = "name it in an entry it supports, or take it out"
                yield listed.problem(("sources", index), "unused-source", message, hint)  # type: ignore[union-attr]
