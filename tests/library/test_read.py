"""The strict reader: what YAML says must be what it seems to say.

Expected readings are those of the YAML 1.2.2 specification (2021), chapters 5 to 10, where it and the look of
the text agree; where they don't, the file is refused. A JSON text is a YAML text by its section 1.2, so
Python's json is the judge of plain documents.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.problems import Problem, nearest, printable
from arclore.engine.library.read import MAX_BYTES, MAX_DEPTH, MAX_ROWS, read_yaml
from hypothesis import given
from hypothesis import strategies as st

ENGINE = Path(__file__).parents[2] / "engine"


def value_of(text: str) -> Any:
    document, problems = read_yaml(text)
    assert document is not None, [problem.row() for problem in problems]
    assert problems == []
    return document.value


def only_problem(text: str) -> Problem:
    document, problems = read_yaml(text, "x.yaml")
    assert document is None
    assert len(problems) == 1, [problem.row() for problem in problems]
    return problems[0]


def test_a_repeated_key_names_the_key_and_both_lines() -> None:
    problem = only_problem("a: 1\nb: 2\na: 3\n")
    assert (problem.line, problem.column, problem.code) == (3, 1, "duplicate-key")
    assert "'a'" in problem.message and "line 1" in problem.message


def test_a_repeated_key_deep_inside_is_found() -> None:
    problem = only_problem("a:\n  - b: {c: 1, d: 2, c: 3}\n")
    assert (problem.line, problem.column) == (2, 21)


def test_only_true_and_false_are_booleans() -> None:
    assert value_of("a: [yes, no, on, off, y, n, True, FALSE]")["a"] == [
        *("yes", "no", "on", "off", "y", "n", "True", "FALSE")
    ]
    assert value_of("a: [true, false]")["a"] == [True, False]
    assert value_of("on: 1\nno: 2") == {"on": 1, "no": 2}


@pytest.mark.parametrize(
    "text", ["12:30", "1:30", "09:30", "010", "08", "1_000", "0x1f", "0o17", "2024-01-05"]
)
def test_what_is_no_decimal_number_stays_text(text: str) -> None:
    assert value_of(f"a: {text}") == {"a": text}


@pytest.mark.parametrize("text", ["1e3", "1e-3", "1.0e3", "1.0e+3", "-0.5", "+2", "0", "-7", "1E2"])
def test_decimal_numbers_are_the_numbers_they_look_like(text: str) -> None:
    read = value_of(f"a: {text}")["a"]
    assert read == float(text) and isinstance(read, int | float)


def test_a_whole_number_stays_whole() -> None:
    assert type(value_of("a: 12")["a"]) is int


def test_null_is_written_three_ways() -> None:
    assert value_of("a: null\nb: ~\nc:\nd: Null") == {"a": None, "b": None, "c": None, "d": "Null"}


def test_an_impossible_date_is_text_for_the_schema_to_refuse() -> None:
    assert value_of("a: 2023-02-30") == {"a": "2023-02-30"}


@pytest.mark.parametrize("text", [".nan", ".inf", "-.inf", ".NaN", "nan", "1e999", "-1e999", "9" * 50])
def test_a_number_that_is_not_finite_is_refused_where_it_stands(text: str) -> None:
    problem = only_problem(f"a: 1\nb: {text}\n")
    assert (problem.line, problem.column, problem.code) == (2, 4, "number")


@pytest.mark.parametrize("key", ["1", "1.5", "true", "null", "~", "? [a]\n", "? {a: 1}\n"])
def test_a_key_that_is_not_text_is_refused(key: str) -> None:
    assert only_problem(f"{key}: 1\n").code == "key"


def test_anchors_aliases_and_tags_are_refused_all_at_once() -> None:
    document, problems = read_yaml("a: &x 1\nb: *x\nc: !!str 2\nd: ! e\n")
    assert document is None
    assert [(p.line, p.column, p.code) for p in problems] == [
        (1, 4, "anchor"),
        (2, 4, "alias"),
        (3, 4, "tag"),
        (4, 4, "tag"),
    ]


def test_an_alias_bomb_is_refused_fast() -> None:
    bomb = "a0: &a0 [x, x]\n" + "".join(f"a{n}: &a{n} [*a{n - 1}, *a{n - 1}]\n" for n in range(1, 40))
    start = time.perf_counter()
    document, problems = read_yaml(bomb)
    assert document is None and len(problems) == MAX_ROWS + 1
    assert time.perf_counter() - start < 5  # it would hang if aliases were walked


def test_a_large_file_without_aliases_is_read() -> None:
    items = [{"name": f"item {n}", "size": n} for n in range(10_000)]
    assert value_of(json.dumps({"items": items})) == {"items": items}


def test_a_file_over_the_size_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_text("a: " + "x" * MAX_BYTES, encoding="utf-8")
    document, problems = read_yaml(path)
    assert document is None and problems[0].code == "too-large"


def test_no_tag_reaches_python_and_only_one_module_reads_yaml() -> None:
    assert only_problem("a: !!python/name:os.system\n").code == "tag"
    loaders = re.compile(r"yaml\.load\(|FullLoader|unsafe_load|UnsafeLoader|\bCLoader|safe_load")
    for path in [*ENGINE.rglob("*.py"), *(ENGINE.parent / "tui").rglob("*.py")]:
        source = path.read_text(encoding="utf-8")
        assert not loaders.search(source), path
        if path != ENGINE / "library" / "read.py":
            assert not re.search(r"^\s*(import yaml|from yaml)", source, re.MULTILINE), path


@pytest.mark.parametrize(
    "text", ["a: " + "[" * 5000, "[" * 5000 + "]" * 5000, "{a: " * 5000, "- " * 5000 + "a"]
)
def test_five_thousand_levels_make_one_row_in_a_second(text: str) -> None:
    start = time.perf_counter()
    assert only_problem(text).code == "too-deep"
    assert time.perf_counter() - start < 5  # a guard against hanging, not a measure


def test_depth_is_allowed_up_to_its_limit() -> None:
    inner = "[" * (MAX_DEPTH - 1) + "]" * (MAX_DEPTH - 1)
    assert "a" in value_of(f"a: {inner}")
    assert only_problem(f"a: [{inner}]").code == "too-deep"


def test_the_encoding_of_the_machine_does_not_matter(tmp_path: Path) -> None:
    path = tmp_path / "accents.yaml"
    path.write_bytes("a: élan ü\n".encode())
    program = (
        "import sys; from pathlib import Path; from arclore.engine.library.read import read_yaml;"
        "from arclore.engine.library.stack import load_library;"
        "print(ascii(read_yaml(Path(sys.argv[1]))[0].value['a'])); load_library()"
    )
    settings = {"PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "LC_ALL": "C"}
    done = subprocess.run(
        [
            sys.executable,
            "-X",
            "warn_default_encoding",
            "-W",
            "error::EncodingWarning",
            "-c",
            program,
            str(path),
        ],
        env={**os.environ, **settings},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == r"'\xe9lan \xfc'"


def test_a_latin_1_file_says_which_byte_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "latin.yaml"
    path.write_bytes(b"a: 1\nb: \xe9lan\n")
    document, problems = read_yaml(path)
    assert document is None
    assert (problems[0].line, problems[0].column, problems[0].code) == (2, 4, "encoding")


def test_one_byte_order_mark_is_allowed_at_the_start() -> None:
    assert value_of("\ufeffa: 1") == {"a": 1}
    problem = only_problem("\ufeff\ufeffa: 1")
    assert problem.code == "character" and "U+FEFF" in problem.message


@pytest.mark.parametrize(
    "code", [0x85, 0xA0, 0x2028, 0x2029, 0x200B, 0x202E, 0x2066, 0x3000, 0x1B, 0x07, 0x9B, 0x00]
)
def test_a_hidden_character_is_refused_by_code_point_and_place(code: int) -> None:
    problem = only_problem(f"a: 1\nbc: x{chr(code)}y\n")
    assert (problem.line, problem.column, problem.code) == (2, 6, "character")
    assert f"U+{code:04X}" in problem.message
    assert problem.row().isprintable()


def test_a_value_cut_by_a_comment_is_noticed() -> None:
    document, problems = read_yaml("a: swing #2\nb: 'swing #2'\nc: swing # a note\nd: |\n  swing #2\n")
    assert document is not None
    assert document.value == {"a": "swing", "b": "swing #2", "c": "swing", "d": "swing #2\n"}
    assert [(p.line, p.column, p.code) for p in problems] == [(1, 10, "comment")]


@pytest.mark.parametrize("text", ["", "# only a comment\n", "\n\n", "---\n...\n", "~"])
def test_a_file_without_an_entry_is_a_row(text: str) -> None:
    assert only_problem(text).code in ("empty", "not-a-mapping")


def test_a_second_document_is_a_row() -> None:
    assert only_problem("a: 1\n---\nb: 2\n").code == "second-document"


def test_every_field_knows_its_place() -> None:
    text = "title: x\nsteps:\n  - one\n  - two: {deep: 3}\n"
    document, _ = read_yaml(text, "x.yaml")
    assert document is not None
    assert document.at(("title",)) == (1, 1)
    assert document.at(("steps", 0)) == (3, 5)
    assert document.at(("steps", 1, "two", "deep")) == (4, 11)
    assert document.at(("steps", 1, "two", "absent")) == (4, 5)
    assert document.at(("absent",)) == (1, 1)


def test_all_problems_of_a_file_come_in_order() -> None:
    _, problems = read_yaml("b: .nan\na: 1\na: 2\n1: x\nc: .inf\n")
    assert [p.line for p in problems] == [1, 3, 4, 5]


plain_text = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=12)
plain_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**15), 10**15)
    | st.floats(allow_nan=False, allow_infinity=False)
    | plain_text,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(plain_text, inner, max_size=4),
    max_leaves=20,
)


@given(st.dictionaries(plain_text, plain_values, max_size=5))
def test_json_reads_as_json_does(value: dict[str, Any]) -> None:
    assert value_of(json.dumps(value, ensure_ascii=False)) == value
    assert value_of(json.dumps(value, indent=2, ensure_ascii=False)) == value


@given(st.text(max_size=200))
def test_no_text_raises(text: str) -> None:
    document, problems = read_yaml(text)
    assert document is not None or problems
    assert all(len(p.row()) <= 300 and p.row().isprintable() for p in problems)


@given(st.text())
def test_printable_hides_nothing_and_acts_on_nothing(text: str) -> None:
    shown = printable(text)
    assert shown.isprintable()
    if text.isprintable():
        assert shown == text


def test_printable_shows_escapes() -> None:
    assert printable("\x1b[31m\n\u202e") == r"\x1b[31m\n\u202e"


def test_a_row_is_short_whatever_it_says() -> None:
    row = Problem("/very" * 200 + "/x.yaml", 1, 2, "code", "m\x1b" * 900, "h" * 900).row()
    assert len(row) <= 300 and row.isprintable() and "x.yaml:1:2: code: m" in row


def test_nearest_finds_a_slip_of_the_pen_and_no_more() -> None:
    assert nearest("titel", ["title", "steps"]) == "title"
    assert nearest("low_point", ["low-point", "steps"]) == "low-point"
    assert nearest("zzz", ["title", "steps"]) is None
