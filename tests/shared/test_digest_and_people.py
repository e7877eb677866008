"""The digest is of what an entry says; a person is the same whichever way the name is written."""

from __future__ import annotations

import json
import math
import struct
import unicodedata
from io import StringIO
from typing import Any

import pytest
import yaml
from arclore.engine.library.read import read_yaml
from arclore.engine.upkeep import people
from arclore.engine.upkeep.digest import canonical, digest
from arclore.engine.upkeep.people import Person, person, same
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from tests.library.conftest import sound_entry

TEXT = (
    "schema: 1\nkind: drill\nid: larkmoor-brush\ntitle: the club brushes the grass\nminutes: 8\n"
    "steps:\n  - Swing slowly, ten times.\n  - Brush the same spot.\ndose: {sets: 2, note: rest between}\n"
)


def read(text: str) -> dict[str, Any]:
    document, rows = read_yaml(text)
    assert document is not None, rows
    return document.value


@pytest.mark.parametrize(
    ("bits", "text"),
    [
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("0000000000000001", "5e-324"),
        ("7fefffffffffffff", "1.7976931348623157e+308"),
        ("4340000000000000", "9007199254740992"),
        ("4430000000000000", "295147905179352830000"),
        ("44b52d02c7e14af5", "9.999999999999997e+22"),
        ("44b52d02c7e14af6", "1e+23"),
        ("444b1ae4d6e2ef4f", "999999999999999900000"),
        ("444b1ae4d6e2ef50", "1e+21"),
        ("3eb0c6f7a0b5ed8c", "9.999999999999997e-7"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555555", "333333333.3333333"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
    ],
)
def test_numbers_are_those_of_rfc_8785_appendix_b(bits: str, text: str) -> None:
    assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


def test_names_are_in_the_order_of_rfc_8785_section_3_2_3() -> None:
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    assert list(json.loads(canonical(dict.fromkeys(names, 1)))) == [
        "\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33",
    ]  # fmt: skip


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_canonical_number_reads_back_as_itself(value: float) -> None:
    assert float(canonical(value)) == value


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_has_no_digest(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        digest({"a": value})


@settings(max_examples=300, deadline=None)
@given(st.integers(0, len(TEXT) - 1), st.integers(32, 126))
def test_any_changed_byte_changes_the_digest_unless_the_content_is_equal(at: int, byte: int) -> None:
    changed = TEXT[:at] + chr(byte) + TEXT[at + 1 :]
    assume(changed != TEXT)
    document, _ = read_yaml(changed)
    if document is not None:
        equal = yaml.load(changed, yaml.CBaseLoader) == yaml.load(TEXT, yaml.CBaseLoader)
        assert (digest(document.value) == digest(read(TEXT))) == equal


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_any_changed_character_of_any_text_changes_the_digest(data: st.DataObject) -> None:
    entry = sound_entry("drill")
    name = data.draw(st.sampled_from([name for name, value in entry.items() if isinstance(value, str)]))
    at = data.draw(st.integers(0, len(entry[name]) - 1))
    other = data.draw(st.characters(min_codepoint=33, max_codepoint=0x24F, exclude_categories=("Cc", "Zs", "Cf")))
    assume(other != entry[name][at])
    changed = {**entry, name: entry[name][:at] + other + entry[name][at + 1 :]}
    assert digest(read(json.dumps(changed))) != digest(read(json.dumps(entry)))


@settings(max_examples=60, deadline=None)
@given(
    st.permutations(list(sound_entry("drill"))),
    st.integers(1, 8),
    st.booleans(),
    st.integers(60, 200),
    st.text(alphabet="abc {}[]:#'\"", max_size=30),
)
def test_layout_order_and_comments_do_not(order: list[str], indent: int, flow: bool, width: int, note: str) -> None:
    entry = sound_entry("drill")
    made = YAML()
    made.default_flow_style, made.width = flow, width
    made.indent(mapping=indent + 1, sequence=indent + 3, offset=indent)
    out = StringIO()
    made.dump({name: entry[name] for name in order}, out)
    text = f"# {note}\n" + out.getvalue().replace("kind: drill\n", f"kind: drill  # {note}\n") + f"\n# {note}\n"
    assert digest(read(text)) == digest(entry)
    assert digest(read(json.dumps(entry, indent=indent))) == digest(entry)


ANNA = "Anna Maria Østergård-Müller <anna.muller@larkmoor.example>"


@pytest.mark.parametrize(
    "written",
    [
        "anna maria østergård-müller",
        "ANNA MUELLER",
        "Müller, Anna",
        "A. Muller",
        "A M Ostergard Muller",
        "Anna\u00a0Mu\u0308ller",
        "Аnnа Müller",
        "An\u200bna Müller",
        "AnnaMuller",
        "Dr. Anna Müller",
        "Anna Mu11er",
        "Anna MuIIer",
        "Anna Mu|ler",
        "ᴀnna müller",
        "Ａnnɑ Müller",
        "Anna Mùļłer",
        "Aռռa Müller".replace("ռ", "ո"),
        "A\u0336nna\u0336 Müller",
        "Ａｎｎａ Müller",
        "muller",
        "Somebody Else <Anna.Muller+golf@Larkmoor.example>",
        "Somebody Else <annamuller@larkmoor.example>",
        "anna.muller@elsewhere.example",
        "",
        "?!",
    ],
)
def test_whichever_way_an_author_is_written_it_is_the_author(written: str) -> None:
    assert same(person(written), person(ANNA))
    assert same(person(ANNA), person(written))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Zoé Strauß", "straußzoé"),
        ("Zoé Strauß", "STRAUSS, ZOE"),
        ("Ines O'Neill", "Ines O\u02bcneill"),
        ("Ines O'Neill", "ines oneill"),
        ("Łukasz Ødegård", "Odegaard, Lukasz"),
        ("Piers Fenwick-Brandt", "P. F. Brandt"),
        ("Анна Петрова", "ПЕТРОВА, АННА"),
        ("Νίκος Παπάς", "ΠΑΠΑΣ, ΝΙΚΟΣ"),
        ("李 小龙", "小龙李"),
        ("Orla <orla@bücher.example>", "Zoe <ORLA@xn--bcher-kva.example>"),
        ("Orla <orla@larkmoor.example>", "Zoe <orla@larkmoor.example.>"),
    ],
)
@pytest.mark.parametrize("form", ["NFC", "NFD", "NFKC", "NFKD"])
def test_spellings_of_many_alphabets_are_one_person_from_either_side(one: str, other: str, form: Any) -> None:
    written = person(unicodedata.normalize(form, other))
    assert same(person(one), written)
    assert same(written, person(one))


@pytest.mark.parametrize(
    "other", ["Hanna Müller", "Anna Møen", "Orla Fenwick <orla@larkmoor.example>", "A. Fenwick", "B. Müller"]
)
def test_other_people_are_other_people(other: str) -> None:
    assert not same(person(other), person(ANNA))
    assert not same(person(ANNA), person(other))


@given(
    st.lists(st.sampled_from(["Orla", "Piers", "Nadia", "Fenwick", "Oakley", "Brandt"]), min_size=2, unique=True),
    st.data(),
)
def test_order_case_initials_and_spaces_never_make_another_person(words: list[str], data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(words))
    short = [word[0] if data.draw(st.booleans()) else word for word in shuffled]
    joint = data.draw(st.sampled_from([" ", "  ", ", ", ". ", "-", "_"]))
    changed = data.draw(st.sampled_from([str.upper, str.lower, str.title]))(joint.join(short))
    assert same(Person(changed), Person(" ".join(words)))


def test_a_name_of_very_many_initials_takes_no_time_to_compare(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = iter(range(50_000))  # tried in every order, they would be asked about for ever
    fits = people._fits
    monkeypatch.setattr(people, "_fits", lambda word, other: next(asked) >= 0 and fits(word, other))
    many = Person("a b c " * 300)
    assert same(many, Person("c a b " * 200 + "z")) is same(Person("c a b " * 200 + "z"), many)
    assert not same(many, Person("a b c " * 5 + "Fenwick"))


NAMES = st.lists(st.sampled_from(["Orla", "O", "Zo", "Zoe", "Strauß", "van", "Fenwick", "Оrla", "ZO"]), min_size=1)


@given(NAMES, NAMES, st.sampled_from(["", " ", ", "]))
def test_whether_two_are_one_does_not_hang_on_who_is_asked_first(one: list[str], other: list[str], joint: str) -> None:
    mine, theirs = Person(joint.join(one)), Person(" ".join(other))
    assert same(mine, theirs) == same(theirs, mine)
