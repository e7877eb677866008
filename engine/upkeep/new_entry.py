"""Writing entries: new ones, copies, amendments and retirements, each checked before a file is touched.

Nothing is overwritten: an id that stands, or ever stood, is refused. Whoever changes an entry joins its authors.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from arclore.engine.library.atomic import write_new, write_text
from arclore.engine.library.graph import wrong_names
from arclore.engine.library.problems import Problem, nearest, shortened
from arclore.engine.library.read import Document, read_yaml, shown
from arclore.engine.library.schema import check, text_rows, validator
from arclore.engine.library.stack import FOLDER_OF_KIND, Library
from arclore.engine.upkeep.entry_file import dumped, edited
from arclore.engine.upkeep.history import History
from arclore.engine.upkeep.layers import BUILT_IN_ID, library_id
from arclore.engine.upkeep.people import person, same

FILE_MODE = 0o644  # shared through git
FIXED = ("schema", "kind", "id", "amends")  # never set by hand


class AuthorError(Exception):
    """An entry that can't be written so; ``rows`` say what is wrong in it. Nothing was written."""

    def __init__(self, message: str, rows: Sequence[Problem] = ()) -> None:
        super().__init__(message)
        self.rows = list(rows)


class Desk:
    """One library folder being written in: the whole library as laid, the folder's history, who writes."""

    def __init__(self, folder: Path, library: Library, history: History, author: str) -> None:
        self.folder, self.library, self.history, self.author = folder, library, history, author

    def new(self, kind: str, name: str, fields: Mapping[str, Any]) -> tuple[Path, list[Problem]]:
        """Write a new entry; what is still to be filled in stands in the file as comments and is returned as rows."""
        path = self._free(kind, name)
        entry = {"schema": 1, "kind": kind, "id": name, "author": self.author, **fields}
        order = list(validator(kind).schema["required"])  # type: ignore[index]
        entry = {key: entry[key] for key in [*order, *entry] if key in entry}
        missing = [key for key in order if key not in entry]
        rows = self._rows(entry, kind, path)
        wrong = [row for row in rows if row.code != "missing-field"]
        if wrong:
            raise AuthorError(f"{kind} {name!r} can't be written so", wrong)
        self._write_new(path, dumped(entry) + _asked(kind, missing))
        return path, rows

    def copy(self, kind: str, name: str, new_name: str, fields: Mapping[str, Any]) -> Path:
        """Write a copy of any entry of the library under another id; those who wrote it stay among the authors.

        A field set to None is left out.
        """
        source, path = self._entry(kind, name), self._free(kind, new_name)
        old = {key: value for key, value in source.value.items() if key != "retired"}
        earlier = [*dict.fromkeys([old["author"], *old.get("authors", ())])]
        others = [who for who in earlier if not same(person(who), person(self.author))]
        entry = {**old, "id": new_name, "author": self.author, **({"authors": others} if others else {}), **fields}
        if not others:
            entry["authors"] = None
        changes = {key: value for key, value in entry.items() if source.value.get(key) != value}
        entry = _filled(entry)
        rows = self._rows(entry, kind, path, source)
        if rows:
            raise AuthorError(f"{kind} {new_name!r} can't be written so", rows)
        whole = source.base is None and source.path.stem == name
        text = source.path.read_text(encoding="utf-8") if whole else ""
        if whole and "retired" not in source.value:
            text = edited(text, path, changes)
        self._write_new(path, text if _reads_as(text, entry) else dumped(entry))
        return path

    def amend(self, kind: str, name: str, fields: Mapping[str, Any]) -> Path:
        """Set whole fields of an entry: in its own file where it stands in this folder, else in one laid over it.

        A field set to None is taken out, which only the file that holds it can do.
        """
        document = self._entry(kind, name)
        self._removable(document, [field for field, value in fields.items() if value is None])
        now = _filled({**document.value, **fields})
        if now == document.value:
            raise AuthorError(f"{kind} {name!r} reads so already")
        changes = {**fields, **self._joined(document)}
        if document.path.is_relative_to(self.folder):
            path, text = document.path, document.path.read_text(encoding="utf-8")
            written = edited(text, path, changes)
        else:
            path, text = self.folder / FOLDER_OF_KIND[kind] / f"{name}.yaml", ""
            written = dumped({"kind": kind, "amends": name, **changes})
        rows = self._rows(_filled({**document.value, **changes}), kind, path, document)
        if rows:
            raise AuthorError(f"{kind} {name!r} can't be amended so", rows)
        if text:
            write_text(path, written, path.stat().st_mode & 0o777)
        else:
            self._write_new(path, written)
        return path

    def _removable(self, document: Document, names: Sequence[str]) -> None:
        """Raises AuthorError for a field that stands in another folder's file: an overlay can only replace it."""
        lent = document.base is not None or not document.path.is_relative_to(self.folder)
        kept = [name for name in names if name in document.value] if lent else []
        if kept:
            raise AuthorError(f"{kept[0]!r} belongs to the entry underneath: it can be changed here, not taken out")

    def retire(self, kind: str, name: str, reason: str, replaced_by: Sequence[str]) -> Path:
        """Keep an entry for old cases only, with the reason and what to use instead."""
        document = self._entry(kind, name)
        if "retired" in document.value:
            raise AuthorError(f"{kind} {name!r} is retired already")
        for other in replaced_by:
            if other == name or "retired" in self._entry(kind, other).value:
                raise AuthorError(f"{kind} {other!r} can't take its place: it is this one, or retired itself")
        replaced = {"replaced_by": list(replaced_by)} if replaced_by else {}
        return self.amend(kind, name, {"retired": {"reason": reason, **replaced}})

    def _rows(self, entry: Mapping[str, Any], kind: str, path: Path, before: Document | None = None) -> list[Problem]:
        """What is wrong with an entry as it would be written; what it named wrongly ``before`` does not count."""
        known = {row.message for row in wrong_names(self.library, before)} if before is not None else set()
        named = wrong_names(self.library, Document(path, dict(entry), {}))
        return sorted([*_rows(entry, kind, path), *(row for row in named if row.message not in known)])

    def _entry(self, kind: str, name: str) -> Document:
        found = self.library.documents.get((kind, name))
        if found is None:
            near = nearest(name, self.library.of_kind(kind))
            hint = f" (nearest: {near})" if near else ""
            raise AuthorError(f"there is no sound {kind} {shortened(name, 60)!r}{hint}")
        return found

    def _joined(self, document: Document) -> dict[str, list[str]]:
        """The list of further authors with this one on it, where he or she is new to the entry."""
        known = [document.value["author"], *document.value.get("authors", ())]
        if any(same(person(who), person(self.author)) for who in known):
            return {}
        return {"authors": [*document.value.get("authors", ()), self.author]}

    def _free(self, kind: str, name: str) -> Path:
        """The path for a new id. Raises AuthorError where it is or was taken, or not in the library's namespace."""
        path = self.folder / FOLDER_OF_KIND[kind] / f"{name}.yaml"
        row = next(iter(_id_rows(name, path)), None)
        if row is not None:
            raise AuthorError(f"{shortened(name, 60)!r} is no id", [row])
        standing = self.library.documents.get((kind, name))
        if standing is not None or path.exists() or path.is_symlink():
            where = shown(standing.path if standing else path)
            raise AuthorError(f"{kind} {name!r} stands already in {where}: amend it, or choose another id")
        if path.relative_to(self.folder).as_posix() in self.history.writers:
            raise AuthorError(f"{kind} {name!r} stood here once, and ids are never used again: choose another")
        if (self.folder / "library.yaml").is_file():
            space = library_id(self.folder)
            if space != BUILT_IN_ID and not name.startswith(f"{space}-"):
                raise AuthorError(f"ids of this library begin with {space}-: call it {space}-{name}")
        return path

    def _write_new(self, path: Path, text: str) -> None:
        """Write a file that was not there; one that has come in the meantime is left as it is."""
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            write_new(path, text, FILE_MODE)
        except FileExistsError:
            raise AuthorError(f"{shown(path)} is there already, and is not overwritten") from None


def field_value(kind: str, name: str, text: str) -> Any:
    """The value of a field as typed: plain text where the field holds text, YAML elsewhere. Raises AuthorError."""
    properties = validator(kind).schema["properties"]  # type: ignore[index]
    if name not in properties or name in FIXED:
        known = [field for field in properties if field not in FIXED]
        whole, dot, _ = name.partition(".")
        near = nearest(name, known)
        hint = f" (nearest: {near})" if near else ""
        if dot and whole in known:
            hint = f": set the whole of it, as {whole}={{…}}"
        raise AuthorError(f"a {kind} has no field {shortened(name, 40)!r} to set{hint}")
    if properties[name].get("type") == "string" or "enum" in properties[name]:
        return text
    document, rows = read_yaml(f"{name}: {text}", name)
    if document is None or list(document.value) != [name]:
        raise AuthorError(f"{name}: {shortened(text, 60)!r} is not YAML", rows)
    return document.value[name]


def field_schemas(kind: str) -> dict[str, dict[str, Any]]:
    """What each field that an entry of the kind must have is to hold, as its schema says it, in the schema's order."""
    schema: Any = validator(kind).schema
    return {name: schema["properties"][name] for name in schema["required"]}


def field_rows(kind: str, name: str, value: Any) -> list[Problem]:
    """What is wrong with one field's value, other fields aside."""
    rows = _rows({"schema": 1, "kind": kind, "id": "new", name: value}, kind, Path("new.yaml"))
    return [row for row in rows if row.field.split(".")[0] == name]


def _filled(entry: Mapping[str, Any]) -> dict[str, Any]:
    """The entry without the fields that are set to nothing."""
    return {name: value for name, value in entry.items() if value is not None}


def _rows(entry: Mapping[str, Any], kind: str, path: Path) -> list[Problem]:
    """What is wrong with an entry, by line of the text it would have."""
    document, rows = read_yaml(dumped(entry), shown(path))
    if document is None:
        return rows
    return sorted({*rows, *check(document, kind), *text_rows(document)})


def _id_rows(name: str, path: Path) -> list[Problem]:
    document = Document(path, {"id": name}, {})
    return [row for row in check(document, "drill") if row.field == "id"]


def _reads_as(text: str, entry: Mapping[str, Any]) -> bool:
    document, _ = read_yaml(text)
    return document is not None and document.value == entry


def _asked(kind: str, missing: Sequence[str]) -> str:
    """A comment for each field that is still to be filled in, with what its schema wants."""
    properties = validator(kind).schema["properties"]  # type: ignore[index]
    about = {name: properties[name].get("description", "") for name in missing}
    told = {name: f" ({text})" if text else "" for name, text in about.items()}
    return "".join(f"# {name}: {_wanted(properties[name])}{told[name]}\n" for name in missing)


def _wanted(schema: Mapping[str, Any]) -> str:
    if "enum" in schema:
        return "one of " + ", ".join(map(str, schema["enum"]))
    kind = schema.get("type")
    if kind == "object":
        needed = schema.get("required", [])
        inner = ", ".join(f"{name}: {_wanted(schema['properties'][name])}" for name in needed)
        return "{" + inner + "}" if inner else "a mapping"
    if kind == "array":
        return f"[{_wanted(schema.get('items', {}))}, …]"
    about = {"string": "text", "number": "a number", "integer": "a whole number", "boolean": "true or false"}
    return about.get(str(kind), "a value")
