"""Files and folders made to hurt: a row each, no traceback, no hang, nothing read from outside the folder."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.graph import build_graph
from arclore.engine.library.stack import load_layers

Entry = Callable[..., dict[str, Any]]
Write = Callable[..., Path]

HEAD = b"schema: 1\nkind: cause\nid: bad\n"
DEEP = 20_000
# name: (content, the code of a row it must make)
FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "empty"),
    "spaces": (b"   \n\n  ", "empty"),
    "comment": (b"# nothing here\n", "empty"),
    "only-mark": (b"\xef\xbb\xbf", "empty"),
    "only-markers": (b"---\n---\n", "second-document"),
    "two-documents": (HEAD + b"---\n" + HEAD, "second-document"),
    "list": (b"- a\n- b\n", "not-a-mapping"),
    "number": (b"12\n", "not-a-mapping"),
    "text": (b"just words\n", "not-a-mapping"),
    "open-bracket": (b"a: [1, 2\n", "syntax"),
    "open-brace": (b"a: {b: 1\n", "syntax"),
    "open-quote": (b'a: "b\n', "syntax"),
    "bad-escape": (b'a: "\\q"\n', "syntax"),
    "half-surrogate-escape": (b'a: "\\ud800"\n', "syntax"),
    "beyond-unicode-escape": (b'a: "\\U00110000"\n', "syntax"),
    "colon-in-value": (b"a: b: c\n", "syntax"),
    "bad-indent": (b"a:\n   b: 1\n  c: 2\n", "syntax"),
    "percent": (b"%YAML 9.9\n---\na: 1\n", "syntax"),
    "percent-tag": (b"%TAG ! tag:x.invalid,2000:\n---\na: 1\n", "directive"),
    "at-sign": (b"a: @b\n", "syntax"),
    "backtick": (b"a: `b`\n", "syntax"),
    "tab": (b"a:\n\tb: 1\n", "character"),
    "null-byte": (b"a: b\x00c\n", "character"),
    "escape-byte": (b"a: \x1b[31mred\n", "character"),
    "bell": (b"a: \x07\n", "character"),
    "delete": (b"a: \x7f\n", "character"),
    "c1": ("a: \x9b31m\n".encode(), "character"),
    "next-line": ("a: 1\x85b: 2\n".encode(), "character"),
    "line-separator": ("a: 1\u2028b: 2\n".encode(), "character"),
    "no-break-space": ("a:\u00a0b\n".encode(), "character"),
    "bidi-override": ("a: \u202etfel\n".encode(), "character"),
    "bidi-isolate": ("a: \u2066x\u2069\n".encode(), "character"),
    "zero-width-key": ("a\u200b: 1\na: 2\n".encode(), "character"),
    "soft-hyphen": ("a: le\u00adft\n".encode(), "character"),
    "tag-characters": ("a: x\U000e0041\n".encode(), "character"),
    "second-mark": (b"\xef\xbb\xbf\xef\xbb\xbfa: 1\n", "character"),
    "lone-return": (b"a: 1\rb: 2\n", "character"),
    "hidden-crowd": (b"a: " + b"\x01" * 300_000, "character"),
    "latin-1": ("a: é\n".encode("latin-1"), "encoding"),
    "utf-16": ("a: 1\n".encode("utf-16"), "encoding"),
    "utf-32": ("a: 1\n".encode("utf-32"), "encoding"),
    "overlong": (b"a: \xc0\xaf\n", "encoding"),
    "surrogate-bytes": (b"a: \xed\xa0\x80\n", "encoding"),
    "cut-utf-8": (b"a: \xe2\x82", "encoding"),
    "program": (bytes(range(256)) * 40, "encoding"),
    "zip": (b"PK\x03\x04" + bytes(300), "character"),
    "repeated-key": (HEAD + b"id: bad\n", "duplicate-key"),
    "repeated-crowd": (b"a: 1\n" * 30_000, "duplicate-key"),
    "number-key": (HEAD + b"1: a\n", "key"),
    "null-key": (HEAD + b"~: a\n", "key"),
    "list-key": (HEAD + b"? [a, b]\n: 1\n", "key"),
    "mapping-key": (HEAD + b"? {a: b}\n: 1\n", "key"),
    "anchor": (HEAD + b"title: &t x\n", "anchor"),
    "unknown-alias": (HEAD + b"title: *t\n", "alias"),
    "alias-of-itself": (b"a: &a [*a]\n", "alias"),
    "alias-as-key": (b"a: &a x\n*a : 1\n", "alias"),
    "alias-bomb": (
        b"a: &a [x,x,x,x,x,x,x,x,x]\n"
        + b"".join(b"%c: &%c [%s]\n" % (n, n, b",".join([b"*%c" % (n - 1)] * 9)) for n in range(98, 122)),
        "alias",
    ),
    "merge": (b"a: &a {x: 1}\nb:\n  <<: *a\n", "alias"),
    "python-name": (b"a: !!python/name:os.system\n", "tag"),
    "python-object": (b"a: !!python/object/apply:os.system [echo hurt]\n", "tag"),
    "own-tag": (b"a: !include /etc/passwd\n", "tag"),
    "binary": (b"a: !!binary aGVsbG8=\n", "tag"),
    "deep-lists": (b"a: " + b"[" * DEEP + b"]" * DEEP, "too-deep"),
    "deep-mappings": (b"{a: " * DEEP + b"}" * DEEP, "too-deep"),
    "deep-dashes": (b"- " * DEEP + b"a\n", "too-deep"),
    "deep-unclosed": (b"a: " + b"[" * DEEP, "too-deep"),
    "rather-deep": (b"a: " + b"[" * 100 + b"]" * 100, "too-deep"),
    "too-large": (HEAD + b"title: " + b"x" * 1_000_001, "too-large"),
    "nan": (HEAD + b"size: .nan\n", "number"),
    "infinite": (HEAD + b"size: -.inf\n", "number"),
    "too-great": (HEAD + b"size: 1e999\n", "number"),
    "many-digits": (HEAD + b"size: " + b"9" * 10_000 + b"\n", "number"),
    "cut-value": (HEAD + b"title: swing #2\n", "comment"),
    "bad-date-like": (HEAD + b"title: 2023-02-30\n", "missing-field"),
    "wrong-kind": (b"schema: 1\nkind: effect\nid: bad\n", "const"),
    "wrong-version": (b"schema: 99\nkind: cause\nid: bad\n", "const"),
    "kind-is-a-list": (b"schema: 1\nkind: [cause]\nid: bad\n", "const"),
    "id-is-a-mapping": (b"schema: 1\nkind: cause\nid: {a: b}\n", "type"),
    "id-climbs": (b"schema: 1\nkind: cause\nid: ../../etc/passwd\n", "pattern"),
    "amends-a-list": (b"amends: [a]\n", "unknown-id"),
    "amends-nothing": (b"amends: bad\n", "unknown-id"),
    "amends-a-climb": (b"amends: ../causes/bad\n", "unknown-id"),
    "many-fields": (HEAD + b"".join(b"f%d: %d\n" % (n, n) for n in range(40_000)), "unknown-field"),
    "long-field": (HEAD + b"k" * 900 + b": 1\n", "unknown-field"),
    "long-list": (HEAD + b"moves: [" + b"{}, " * 150_000 + b"]\n", "missing-field"),
    "markup-field": (HEAD + b"'[@click=app.quit]': 1\n", "unknown-field"),
    "newline-field": (HEAD + b'"a\\nb\\x1b[31m": 1\n', "unknown-field"),
}


def test_there_are_at_least_sixty() -> None:
    assert len(FILES) >= 60


@pytest.mark.parametrize("name", FILES)
def test_a_hostile_file_makes_rows_and_hurts_nobody(name: str, entry: Entry, write: Write) -> None:
    content, code = FILES[name]
    root = write(entry("cause"), entry("drill"))
    (root / "causes" / "bad.yaml").write_bytes(content)
    start = time.perf_counter()
    library = load_layers([root])
    _, more = build_graph(library)
    assert time.perf_counter() - start < 10
    assert set(library.documents) == {("cause", "bent-low"), ("drill", "brush-mat")}
    assert more == []
    assert code in {row.code for row in library.problems}
    assert len(library.problems) <= 200
    for row in library.problems:
        assert row.path.endswith("bad.yaml") and row.line >= 1 and row.column >= 1
        assert len(row.row()) <= 300 and row.row().isprintable()


def test_all_hostile_files_together_hide_nothing(entry: Entry, write: Write) -> None:
    root = write(entry("cause"), entry("drill"))
    for name, (content, _) in FILES.items():
        (root / "causes" / f"{name}.yaml").write_bytes(content)
    library = load_layers([root])
    assert {Path(row.path).stem for row in library.problems} == set(FILES)
    assert library.problems == sorted(library.problems)
    assert set(library.documents) == {("cause", "bent-low"), ("drill", "brush-mat")}


def test_no_link_is_followed(entry: Entry, write: Write, tmp_path: Path) -> None:
    root = write(entry("cause"))
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "secret.yaml").write_text(json.dumps(entry("cause", "secret")), encoding="utf-8")
    (root / "causes" / "secret.yaml").symlink_to(outside / "secret.yaml")
    (root / "causes" / "again.yaml").symlink_to(root / "causes" / "bent-low.yaml")
    (root / "causes" / "dangling.yaml").symlink_to(tmp_path / "nowhere")
    (root / "drills").symlink_to(outside, target_is_directory=True)
    (root / "words").symlink_to(root, target_is_directory=True)
    (root / "library.yaml").symlink_to("/etc/passwd")
    library = load_layers([root])
    assert set(library.documents) == {("cause", "bent-low")}
    assert [row.code for row in library.problems] == ["link"] * 6


def test_the_folder_itself_may_be_a_link(entry: Entry, write: Write, tmp_path: Path) -> None:
    (tmp_path / "way").symlink_to(write(entry("cause")), target_is_directory=True)
    assert set(load_layers([tmp_path / "way"]).documents) == {("cause", "bent-low")}


def test_every_file_out_of_place_is_a_row(entry: Entry, write: Write) -> None:
    root = write(entry("cause"))
    for name in (
        *("causes/a.yml", "causes/b.YAML", "causes/notes.txt", "causes/.hidden.yaml", "causes/deeper/c.yaml"),
        *("caues/d.yaml", "stray.yaml", "library.yml", "causes/e.yaml~"),
    ):
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text("a: 1\n", encoding="utf-8")
    for name in ("README.md", ".gitignore", "causes/.DS_Store"):
        (root / name).write_text("left alone\n", encoding="utf-8")
    library = load_layers([root])
    found = {(str(Path(row.path).relative_to(root.resolve())), row.code) for row in library.problems}
    assert {row for row in found if not row[0].endswith(".hidden.yaml")} == {
        ("causes/a.yml", "suffix"),
        ("causes/b.YAML", "suffix"),
        ("causes/notes.txt", "stray"),
        ("causes/e.yaml~", "stray"),
        ("causes/deeper", "nested"),
        ("caues", "folder"),
        ("stray.yaml", "stray"),
        ("library.yml", "stray"),
    }
    assert "causes/.hidden.yaml" in {name for name, _ in found}
    assert set(library.documents) == {("cause", "bent-low")}
    assert next(row.hint for row in library.problems if row.code == "folder") == "nearest: causes"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_is_not_waited_for(entry: Entry, write: Write) -> None:
    root = write(entry("cause"))
    os.mkfifo(root / "causes" / "pipe.yaml")
    (root / "causes" / "folder.yaml").mkdir()
    assert {row.code for row in load_layers([root]).problems} == {"not-a-file", "nested"}


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_rights_is_a_row(entry: Entry, write: Write) -> None:
    root = write(entry("cause"), entry("drill"))
    (root / "drills" / "brush-mat.yaml").chmod(0)
    assert [row.code for row in load_layers([root]).problems] == ["unreadable"]


def test_a_name_that_acts_on_a_terminal_is_shown_as_escapes(entry: Entry, write: Write) -> None:
    root = write(entry("cause"))
    (root / "causes" / "a\x1b[31m\nb.yaml").write_text("a: [", encoding="utf-8")
    (row,) = load_layers([root]).problems
    assert row.row().isprintable() and r"\x1b[31m\nb.yaml" in row.row()


def test_text_with_escapes_is_kept_as_it_is_and_reported(entry: Entry, write: Write) -> None:
    text = "press [@click=app.quit]here[/x] \x1b[31m"
    library = load_layers([write(entry("cause"), entry("drill", cue=text))])
    assert library.drills["brush-mat"]["cue"] == text
    assert [(row.code, row.field) for row in library.problems] == [("character", "cue")]
