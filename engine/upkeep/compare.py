"""Two libraries side by side: what was added, changed field by field, retired; and the comparison as Markdown."""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from arclore.engine.library.folder import KIND_OF_FILE, KIND_OF_FOLDER
from arclore.engine.library.problems import printable, shortened
from arclore.engine.library.read import MAX_BYTES
from arclore.engine.library.stack import BUILT_IN, Key, Library, load_layers
from arclore.engine.upkeep import git
from arclore.engine.upkeep.layers import BUILT_IN_ID, LayerError, library_id

GROUPS = ("added", "changed", "retired", "removed")
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
        except git.GitError as error:
            raise LayerError(f"{shortened(name, 60)!r} is no folder, and {error}") from None
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


def _contents(library: Library) -> dict[Key, Mapping[str, Any]]:
    entries: dict[Key, Mapping[str, Any]] = {key: document.value for key, document in library.documents.items()}
    sources: dict[Key, Mapping[str, Any]] = {("source", name): value for name, value in library.sources.items()}
    return {**entries, **sources, ("library", "library"): library.settings}


def _changes(was: Any, now: Any, field: str) -> Iterator[dict[str, Any]]:
    """Each field that differs; a side that lacks the field has no ``was`` or ``is``.

    Mappings are entered, and lists of as many items, whose places count from 1.
    """
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        for name in dict.fromkeys([*was, *now]):
            inner = f"{field}.{name}" if field else str(name)
            if name not in was:
                yield {"field": inner, "is": now[name]}
            elif name not in now:
                yield {"field": inner, "was": was[name]}
            else:
                yield from _changes(was[name], now[name], inner)
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for place, pair in enumerate(zip(was, now, strict=True), start=1):
            yield from _changes(*pair, f"{field}.{place}")
    elif was != now:
        yield {"field": field, "was": was, "is": now}


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
    lines += _merged(compared.get("no_longer_told_apart") or ())
    cases = compared["cases"]
    if cases is not None:
        leading = sum(row["leading_changed"] for row in cases["changed"])
        lines += [f"**Answers**: {_reached(cases)}, {leading} with another leading cause", ""]
        lines += [f"- {marked(row['id'])}: {_told(row)}" for row in cases["changed"]]
    return "\n".join(lines).rstrip() + "\n"


def _merged(sets: Sequence[Mapping[str, Any]]) -> list[str]:
    """The part about causes that are no longer told apart; nothing where there are none."""
    if not sets:
        return []
    lines = ["**No longer told apart**, by the flight or by a check", ""]
    for merged in sets:
        told = f"; until now by {', '.join(map(marked, merged['told_by']))}" if merged["told_by"] else ""
        lines.append(f"- {', '.join(map(marked, merged['causes']))}{told}")
    return [*lines, ""]


def _reached(cases: Mapping[str, Any]) -> str:
    """How many cases were asked; what differs cannot reach the others."""
    out_of = "" if cases["asked"] == cases["cases"] else f" of {cases['cases']}"
    return f"{cases['asked']}{out_of} cases asked"


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
