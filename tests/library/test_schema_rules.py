"""Schemas and their checking; the judge of validity is the plain validator of the jsonschema package, which
implements JSON Schema 2020-12 and shares none of our shortcuts."""

from __future__ import annotations

import copy
import json
import random
import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library import schema
from arclore.engine.library.read import Document, read_yaml
from arclore.engine.library.schema import bare_sides, check, kinds, unseen_text, validator
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

SCHEMAS = sorted((Path(__file__).parents[2] / "schemas").glob("*.schema.json"))
KINDS = ["symptom", "cause", "check", "drill", "words", "case"]
Entry = dict[str, Any]
# The vocabularies of JSON Schema 2020-12: core, applicator, validation, format, annotations.
VOCABULARY = frozenset({
    "$schema", "$id", "$ref", "$defs", "$comment", "allOf", "if", "then", "else", "not", "properties",
    "patternProperties", "additionalProperties", "propertyNames", "items", "prefixItems", "contains",
    "dependentSchemas", "unevaluatedProperties", "unevaluatedItems", "type", "enum", "const", "multipleOf",
    "maximum", "exclusiveMaximum", "minimum", "exclusiveMinimum", "maxLength", "minLength", "pattern",
    "maxItems", "minItems", "uniqueItems", "maxContains", "minContains", "maxProperties", "minProperties",
    "required", "dependentRequired", "format", "title", "description", "default", "examples",
})  # fmt: skip


def document_of(value: Entry) -> Document:
    document, problems = read_yaml(json.dumps(value, indent=1), "x.yaml")
    assert document is not None, problems
    return document


def subschemas(value: Any) -> Iterator[dict[str, Any]]:
    """Every schema inside a schema, by where the keywords allow schemas."""
    if not isinstance(value, dict):
        return
    yield value
    for name in ("properties", "patternProperties", "$defs", "dependentSchemas"):
        for part in value.get(name, {}).values():
            yield from subschemas(part)
    for name in ("items", "additionalProperties", "propertyNames", "contains", "not", "if", "then", "else"):
        yield from subschemas(value.get(name))
    for part in [*value.get("allOf", []), *value.get("prefixItems", [])]:
        yield from subschemas(part)


def all_subschemas() -> list[tuple[Path, dict[str, Any]]]:
    return [
        (path, part) for path in SCHEMAS for part in subschemas(json.loads(path.read_text(encoding="utf-8")))
    ]


def test_there_are_schemas_and_each_is_one() -> None:
    assert len(all_subschemas()) > 100
    for path in SCHEMAS:
        Draft202012Validator.check_schema(json.loads(path.read_text(encoding="utf-8")))


def test_schemas_use_only_keywords_that_exist_and_give_clear_errors() -> None:
    for path, part in all_subschemas():
        assert set(part) <= VOCABULARY, (
            path.name,
            set(part) - VOCABULARY,
        )  # neither anyOf nor oneOf is among them
        assert not isinstance(part.get("multipleOf"), float), path.name
        if "format" in part:
            assert part["format"] in Draft202012Validator.FORMAT_CHECKER.checkers, (path.name, part["format"])


def test_a_sound_entry_of_each_kind_passes(entry: Callable[..., Entry]) -> None:
    for kind in KINDS:
        assert check(document_of(entry(kind)), kind) == []


@pytest.mark.parametrize("kind", KINDS)
def test_a_misspelt_field_is_named_with_the_nearest_and_its_place(
    kind: str, entry: Callable[..., Entry]
) -> None:
    value = entry(kind)
    value = {"autor" if name == "author" else name: item for name, item in value.items()}
    rows = check(document_of(value), kind)
    assert [row.code for row in rows] == ["missing-field", "unknown-field"]
    assert rows[1].message == "unknown field 'autor'" and rows[1].hint == "nearest: author"
    lines = json.dumps(value, indent=1).split("\n")
    assert (rows[1].line, rows[1].column) == (1 + lines.index(' "autor": "A. Tester",'), 2)
    assert rows[1].entry == value["id"] and rows[1].field == "autor"


def test_a_wrong_field_of_a_known_kind_is_blamed_and_not_the_kind(entry: Callable[..., Entry]) -> None:
    rows = check(document_of(entry("drill", minutes="ten")), "drill")
    assert [(row.code, row.field) for row in rows] == [("type", "minutes")]
    assert "must be a number, is text" in rows[0].message


def test_a_rule_that_depends_on_another_field_is_blamed_there(entry: Callable[..., Entry]) -> None:
    value = entry("check")
    del value["likelihood"]
    assert [row.message for row in check(document_of(value), "check")] == [
        "the field 'likelihood' is missing"
    ]


def test_a_published_claim_names_its_source_and_says_which_way_it_points(entry: Callable[..., Entry]) -> None:
    value = entry("drill", evidence={"kind": "estimate", "claims": [{"about": "cue", "kind": "published"}]})
    rows = check(document_of(value), "drill")
    assert {row.message for row in rows} == {
        "the field 'source' is missing in evidence.claims (item 1)",
        "the field 'direction' is missing in evidence.claims (item 1)",
    }


def test_an_unknown_word_gets_the_nearest_or_the_list(entry: Callable[..., Entry]) -> None:
    near = check(document_of(entry("cause", stage="setup")), "cause")[0]
    assert near.hint == "nearest: set-up"
    far = check(document_of(entry("cause", stage="zzzz")), "cause")[0]
    assert far.hint.startswith("known: ")


@pytest.mark.parametrize(
    "name", ["ab\n", " ab", "ab ", "a b", "../ab", "AB", "ab\nab", "", "ab.yaml", "a" * 81]
)
def test_an_id_with_anything_around_it_is_refused(name: str, entry: Callable[..., Entry]) -> None:
    assert [row.field for row in check(document_of({**entry("cause"), "id": name}), "cause")] == ["id"]


def test_formats_are_checked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    text = '{"type": "object", "properties": {"on": {"type": "string", "format": "date"}}}'
    (tmp_path / "visit.schema.json").write_text(text, encoding="utf-8")
    with fresh_schemas(monkeypatch, tmp_path):
        for day, bad in (("2023-02-28", False), ("2023-02-30", True), ("2024-1-5", True), ("20240105", True)):
            document, _ = read_yaml(f"on: {day}" if "-" in day else f"on: '{day}'")
            assert document is not None
            assert bool(check(document, "visit")) is bad, day


class fresh_schemas:  # noqa: N801 (used as a context)
    """The checker reading its schemas from another folder, with nothing remembered before and after."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        self.monkeypatch, self.folder = monkeypatch, folder

    def __enter__(self) -> None:
        self.monkeypatch.setattr(schema, "FOLDER", self.folder)
        self.forget()

    def __exit__(self, *_: object) -> None:
        self.monkeypatch.undo()
        self.forget()

    def forget(self) -> None:
        for remembered in (schema._contents, schema.written_out, schema._quick, schema.validator):
            remembered.cache_clear()


def test_nothing_is_fetched(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, entry: Callable[..., Entry]
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a socket was opened")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    schema._contents.cache_clear()
    schema.written_out.cache_clear()
    assert check(document_of(entry("cause")), "cause") == []
    text = '{"$ref": "https://example.invalid/elsewhere.json"}'
    (tmp_path / "far.schema.json").write_text(text, encoding="utf-8")
    with fresh_schemas(monkeypatch, tmp_path), pytest.raises(Exception, match="elsewhere"):
        validator("far")


def test_a_validator_is_built_once() -> None:
    assert validator("cause") is validator("cause")
    with pytest.raises(KeyError):
        validator("no-such-kind")


def test_rows_come_in_order_of_place_and_are_short(entry: Callable[..., Entry]) -> None:
    value = entry(
        "drill", steps=["x", 3, {"deep": ["y" * 9000]}], easier=5, dose={"sets": 0}, zz="\x1b" * 5000
    )
    rows = check(document_of(value), "drill")
    assert rows == sorted(rows) and len(rows) >= 6
    assert all(len(row.row()) <= 300 and row.row().isprintable() for row in rows)


def test_a_crowd_of_errors_is_cut_and_quick(entry: Callable[..., Entry]) -> None:
    value = {**entry("cause"), **{f"field{n}": n for n in range(20_000)}}
    assert len(check(document_of(value), "cause")) == 50
    moves = [{"input": "face_deg", "size": n} for n in range(10_000)]
    assert check(document_of(entry("cause", moves=moves)), "cause")


@pytest.mark.parametrize(("items", "unique"), [([1, 1.0], False), ([1, True], True), ([[1], [1.0]], False)])
def test_items_are_told_apart_as_the_standard_does(items: list[Any], unique: bool) -> None:
    ours = schema._validator_class()({"uniqueItems": True}).is_valid(items)
    assert ours is unique is Draft202012Validator({"uniqueItems": True}).is_valid(items)


def plain_validator(kind: str) -> Draft202012Validator:
    resources = [json.loads(path.read_text(encoding="utf-8")) for path in SCHEMAS]
    registry: Any = Registry().with_resources(
        [(each["$id"], Resource.from_contents(each)) for each in resources]
    )
    own = next(each for each in resources if each["$id"].endswith(f"/{kind}.schema.json"))
    return Draft202012Validator(own, registry=registry, format_checker=Draft202012Validator.FORMAT_CHECKER)


def spoiled(value: Any, chance: random.Random) -> Any:
    """The value with one thing changed somewhere inside."""
    value = copy.deepcopy(value)
    place = value
    while True:
        names = list(place) if isinstance(place, dict) else list(range(len(place)))
        name = chance.choice(names)
        if isinstance(place[name], dict | list) and place[name] and chance.random() < 0.7:
            place = place[name]
            continue
        deed = chance.randrange(5)
        if deed == 0:
            del place[name]
        elif isinstance(place, dict) and deed == 1:
            place["extra"] = place[name]
        elif isinstance(place, list) and deed == 1:
            place.append(place[name])
        else:
            place[name] = chance.choice([0, -1, 1e9, "", "x", "a-b", [], {}, None, True, "driver", 0.5])
        return value


@pytest.mark.parametrize("kind", KINDS)
def test_the_fast_check_and_the_plain_one_agree(kind: str, entry: Callable[..., Entry]) -> None:
    plain = plain_validator(kind)
    chance = random.Random(7)
    refused = 0
    for _ in range(150):
        value = spoiled(entry(kind), chance)
        if isinstance(value, dict):
            found = bool(check(document_of(value), kind))
            assert found is not plain.is_valid(value), value
            refused += found
    assert 50 < refused < 150


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("hit it left of the post", 1),
        ("Right of the post", 1),
        ("the trail side, {left} of it", 0),
        ("for a left-hander and a right-handed friend", 0),
        ("bright and upright, left-over", 1),
        ("copyright leftover", 0),
    ],
)
def test_bare_sides_are_found(text: str, sides: int, entry: Callable[..., Entry]) -> None:
    rows = bare_sides(document_of(entry("drill", steps=["good", text])))
    assert [row.field for row in rows] == ["steps.1"] * sides


def test_what_people_say_and_what_was_seen_keep_their_sides(entry: Callable[..., Entry]) -> None:
    words = entry("words", phrases=["goes left all day"])
    case = entry("case", case={"words": "starts right of it", "shots": [{"club": "driver", "start": "left"}]})
    assert bare_sides(document_of(words)) == bare_sides(document_of(case)) == []
    assert len(bare_sides(document_of({**words, "title": "going left"}))) == 1


def test_hidden_characters_by_escape_are_noticed(entry: Callable[..., Entry]) -> None:
    rows = unseen_text(document_of(entry("drill", cue="a\x1b[31mb", notes="two\nlines")))
    assert [(row.field, row.code) for row in rows] == [("cue", "character")]


def test_kinds_are_those_with_a_schema() -> None:
    assert set(KINDS) <= set(kinds())
