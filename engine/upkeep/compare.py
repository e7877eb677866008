"""Two libraries side by side: what was added, changed field by field, retired, and what it does to answers."""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from arclore.engine.diagnosis.case import CaseError
from arclore.engine.diagnosis.triage import Bench, unfolding
from arclore.engine.library.folder import KIND_OF_FILE, KIND_OF_FOLDER
from arclore.engine.library.problems import printable, shortened
from arclore.engine.library.read import MAX_BYTES
from arclore.engine.library.stack import BUILT_IN, Key, Library, load_layers
from arclore.engine.upkeep import git
from arclore.engine.upkeep.layers import BUILT_IN_ID, LayerError, library_id

_UNFIT = (ArithmeticError, LookupError, TypeError, ValueError)  # of a library written for an older or newer engine
GROUPS = ("added", "changed", "retired", "removed")
LEAST_SHIFT = 0.01  # of a probability that is worth a line
FILES = re.compile(rf"(?:{'|'.join(KIND_OF_FOLDER)})/[a-z0-9-]+\.yaml|{'|'.join(map(re.escape, KIND_OF_FILE))}")
_MARKUP = re.compile(r"([\\`*_{}\[\]<>()#|~!&:@])|(?<=www)\.", re.IGNORECASE)


@contextmanager
def opened(name: str, repository: Path) -> Iterator[Library]:
    """The library of a folder, or of a git revision of the folder ``repository``, over the built-in one.

    Raises LayerError where there is neither.
    """
    if name and Path(name).is_dir():
        yield _loaded(Path(os.path.realpath(name)))
        return
    with tempfile.TemporaryDirectory(prefix="arclore-") as place:
        folder = Path(os.path.realpath(place))
        try:
            git.export(repository, name, folder, FILES, MAX_BYTES)
        except git.GitError:
            raise LayerError(f"{shortened(name, 60)!r} is neither a folder nor a revision of {repository}") from None
        yield _loaded(folder)


def _loaded(folder: Path) -> Library:
    if (folder / "library.yaml").is_file() and library_id(folder) == BUILT_IN_ID:
        return load_layers([folder])
    return load_layers([BUILT_IN, folder])


def differences(a: Library, b: Library) -> dict[str, list[dict[str, Any]]]:
    """What differs, as plain data in order of kind and id; the settings of a library count as one entry of it."""
    ours, theirs = _contents(a), _contents(b)
    found: dict[str, list[dict[str, Any]]] = {group: [] for group in GROUPS}
    for key in sorted({*ours, *theirs}):
        was, now = ours.get(key), theirs.get(key)
        row = {"kind": key[0], "id": key[1], "title": str((now or was or {}).get("title", ""))}
        if was is None:
            found["added"].append(row)
        elif now is None:
            found["removed"].append(row)
        elif was != now:
            if "retired" in now and "retired" not in was:
                retired = now["retired"]
                about = {"reason": retired["reason"], "replaced_by": list(retired.get("replaced_by", ()))}
                found["retired"].append({**row, **about})
            fields = [change for change in _changes(was, now, "") if change["field"].split(".")[0] != "retired"]
            if fields or "retired" in was:
                found["changed"].append({**row, "fields": fields or list(_changes(was, now, ""))})
    return found


def effects(a: Library, b: Library) -> dict[str, Any]:
    """How many cases of the two libraries were asked of both, and those whose answers differ, most changed first."""
    benches = Bench(a), Bench(b)
    inputs = {**a.cases, **b.cases}
    rows = [_effect(name, entry["case"], benches) for name, entry in sorted(inputs.items()) if "retired" not in entry]
    changed = [row for row in rows if row is not None]
    changed.sort(key=lambda row: (not (row["leading_changed"] or row["unanswered"]), -row["largest_shift"], row["id"]))
    return {"asked": len(rows), "changed": changed}


def _contents(library: Library) -> dict[Key, Mapping[str, Any]]:
    entries: dict[Key, Mapping[str, Any]] = {key: document.value for key, document in library.documents.items()}
    sources: dict[Key, Mapping[str, Any]] = {("source", name): value for name, value in library.sources.items()}
    return {**entries, **sources, ("library", "library"): library.settings}


def _changes(was: Any, now: Any, field: str) -> Iterator[dict[str, Any]]:
    """Each field that differs, mappings entered; a side that lacks the field has no ``was`` or ``is``."""
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys([*was, *now]):
            inner = f"{field}.{name}" if field else str(name)
            if name not in was:
                yield {"field": inner, "is": now[name]}
            elif name not in now:
                yield {"field": inner, "was": was[name]}
            else:
                yield from _changes(was[name], now[name], inner)
    elif was != now:
        yield {"field": field, "was": was, "is": now}


def _effect(name: str, case: Mapping[str, Any], benches: tuple[Bench, Bench]) -> dict[str, Any] | None:
    answers, unanswered = [], ""
    for side, bench in zip("ab", benches, strict=True):
        try:
            *_, answer = unfolding(case, bench, live=True)  # reasons are not compared
            answers.append(answer)
        except (CaseError, *_UNFIT) as error:
            answers.append({"causes": [], "next_checks": [], "drills": []})
            said = error if isinstance(error, CaseError) else f"lacks what is needed to answer ({error!r})"
            unanswered = f"{side}: {shortened(said, 160)}"
    before, after = answers
    chances = [{cause["id"]: cause["probability"] for cause in answer["causes"]} for answer in answers]
    common = chances[0].keys() & chances[1].keys()
    new = [value for side in (0, 1) for cause, value in chances[side].items() if cause not in common]
    # A cause that only one answer lists is at most as likely in the other as the last one listed there.
    floors = [min(side.values(), default=0.0) for side in chances]
    shifts = [abs(chances[0][cause] - chances[1][cause]) for cause in common]
    shifts += [max(0.0, value - max(floors)) for value in new]
    was, now = (answer["causes"][0] if answer["causes"] else None for answer in answers)
    row: dict[str, Any] = {
        "id": name,
        "leading_changed": not unanswered and (was or {}).get("id") != (now or {}).get("id"),
        "was": {key: was[key] for key in ("id", "probability")} if was else None,
        "is": {key: now[key] for key in ("id", "probability")} if now else None,
        "largest_shift": round(max(shifts, default=0.0), 6),
        "unanswered": unanswered,
    }
    for field, said in (("next_checks", "checks"), ("drills", "drills")):
        first, second = ({item["id"] for item in answer[field]} for answer in (before, after))
        row[f"{said}_added"], row[f"{said}_gone"] = sorted(second - first), sorted(first - second)
    lists = any(row[f"{said}_{way}"] for said in ("checks", "drills") for way in ("added", "gone"))
    told = row["leading_changed"] or row["largest_shift"] >= LEAST_SHIFT or lists or unanswered
    return row if told else None


def markdown(compared: Mapping[str, Any]) -> str:
    """The comparison as Markdown fit for a comment; all text from the libraries is escaped, none becomes markup."""
    lines = [f"### From {marked(compared['a'])} to {marked(compared['b'])}", ""]
    for group in GROUPS:
        rows = compared[group]
        if rows:
            lines += [f"**{len(rows)} {group}**", ""]
            for row in rows:
                lines.append(f"- {row['kind']} {marked(row['id'])}: {marked(row['title'])}{_retired(row)}")
                lines += [f"  - {marked(change['field'])}: {_change(change)}" for change in row.get("fields", ())]
            lines.append("")
    if len(lines) == 2:
        lines += ["No entry differs.", ""]
    cases = compared["cases"]
    if cases is not None:
        leading = sum(row["leading_changed"] for row in cases["changed"])
        lines += [f"**Answers**: {cases['asked']} cases asked, {leading} with another leading cause", ""]
        lines += [f"- {marked(row['id'])}: {_told(row)}" for row in cases["changed"]]
    return "\n".join(lines).rstrip() + "\n"


def _retired(row: Mapping[str, Any]) -> str:
    if "reason" not in row:
        return ""
    instead = ", instead " + ", ".join(map(marked, row["replaced_by"])) if row["replaced_by"] else ""
    return f" ({marked(row['reason'])}{instead})"


def _change(change: Mapping[str, Any]) -> str:
    def value(side: str) -> str:
        return marked(shortened(_spelt(change[side]), 160)) if side in change else "nothing"

    return f"{value('was')} → {value('is')}"


def _spelt(value: Any) -> str:
    """A field's value as an entry spells it, on one line."""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)


def _told(row: Mapping[str, Any]) -> str:
    if row["unanswered"]:
        return f"not answered by {marked(row['unanswered'])}"

    def lead(side: str) -> str:
        cause = row[side]
        return f"{marked(cause['id'])} ({100 * cause['probability']:.0f} in 100)" if cause else "nothing"

    told = [f"{lead('was')} → {lead('is')}"]
    for said in ("checks", "drills"):
        for way in ("added", "gone"):
            if row[f"{said}_{way}"]:
                told.append(f"{said} {way}: {', '.join(map(marked, row[f'{said}_{way}']))}")
    return "; ".join(told)


def marked(text: object) -> str:
    """Text as Markdown that shows it as it is: no markup, no link, no mention of a person, on one line."""
    return _MARKUP.sub(lambda found: "&#64;" if found[0] == "@" else f"\\{found[0]}", printable(text))
