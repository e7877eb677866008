"""What the entry form is made of, without a screen: fields, judging, drafts, saving."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.read import read_yaml
from arclore.engine.library.schema import check, validator
from arclore.engine.library.stack import BUILT_IN, Library, load_layers, load_library
from arclore.tui.form.checking import advised, in_row, judge, missing_in_row
from arclore.tui.form.choices import chosen_of, options_of, shown, value_of
from arclore.tui.form.draft import Draft, begin, from_json, to_json
from arclore.tui.form.draft_store import DraftStore
from arclore.tui.form.fields import KINDS, NOT_ASKED, fields_of, found, put, required_names
from arclore.tui.form.preview import both_views
from arclore.tui.form.saving import OvertakenError, SaveError, file_of, name_of, save
from arclore.tui.form.sections import FOLDER, WRITER, sections_of

WRITER_NAME = "Kim Vale"


@pytest.fixture(scope="module")
def library() -> Library:
    return load_library()


def rope(folder: Path) -> Draft:
    """A finished draft of a drill."""
    document, _ = read_yaml(BUILT_IN / "drills" / "foam-sleeve-outside.yaml")
    assert document is not None
    drill = document.value
    draft = begin("drill", writer=WRITER_NAME, folder=str(folder))
    draft.entry = {key: item for key, item in drill.items() if key not in ("schema", "kind", "author", "easier_drill")}
    draft.entry |= {"id": "rope-outside", "title": "a rope lies outside the ball"}
    return draft


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_the_schema_stands_in_one_section(kind: str) -> None:
    laid = [field for _, fields in sections_of(kind, False) for field in fields]
    assert len(laid) == len({field.path for field in laid})
    properties: Any = validator(kind).schema["properties"]  # type: ignore[index]
    assert {field.path[0] for field in laid} == set(properties) - set(NOT_ASKED) | {"writer", "folder"}
    assert all(field.label and (field.about or field.group) for field in laid)


@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_of_the_library_needs_nothing_and_survives_every_field(
    library: Library, kind: str, tmp_path: Path
) -> None:
    for entry in list(library.of_kind(kind).values())[:40]:
        draft = begin(kind, "change", entry, WRITER_NAME, str(tmp_path))
        judged = judge(draft, library)
        assert (judged.wrong, judged.to_fill) == ({}, frozenset()), entry["id"]
        for field in fields_of(kind):
            value = found(draft.entry, field.path)
            if not field.row and field.kind not in ("text", "lines", "number"):
                chosen = chosen_of(field, value)
                assert value == (None if chosen is None else value_of(field, chosen)), field
                known = {option for option, _ in options_of(field, draft.entry, library, [])}
                assert set(chosen or ()) <= known
            put(draft.entry, field.path, None)
            put(draft.entry, field.path, value)
        assert draft.entry == entry


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_missing_is_what_the_schema_says_is_missing(kind: str) -> None:
    draft = begin(kind, writer=WRITER_NAME)
    rows = check(draft.document(), kind)
    missing = {row.message.split("'")[1] for row in rows if row.code == "missing-field"}
    assert {path[0] for path in judge(draft, None).to_fill} == missing
    assert judge(draft, None).wrong == {}


def test_a_block_is_asked_for_once_another_field_calls_for_it(library: Library) -> None:
    draft = begin("check", writer=WRITER_NAME)
    assert "measurement" in judge(draft, library).hidden
    draft.entry["type"] = "measurement"
    judged = judge(draft, library)
    assert judged.hidden == {"likelihood", "changed_set_up"}
    assert ("measurement", "quantity") in judged.to_fill
    assert "measurement" in required_names("check", draft.document().value)


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        (("title",), "x", "at least 3"),
        (("title",), "y" * 10_000, "at most 160"),
        (("minutes",), "abc", "must be a number"),
        (("steps",), ["Swing slowly.", "Turn to the left."], "line 2: the bare word 'left'"),
        (("for", "causes"), ["stands-too-clos"], "nearest: stands-too-close"),
        (("cue",), "hidden \u202e mark", "hidden character U+202E"),
        (("id",), "foam-sleeve-outside", "taken by another"),
        (("id",), "Rope Outside", "not spelt"),
        (("dose", "sets"), 300, "above 20"),
    ],
)
def test_a_problem_stands_at_its_field_in_one_line(
    library: Library, tmp_path: Path, path: tuple[str, ...], value: Any, says: str
) -> None:
    draft = rope(tmp_path)
    assert judge(draft, library).whole
    put(draft.entry, path, value)
    judged = judge(draft, library)
    assert list(judged.wrong) == [path]
    assert says in judged.wrong[path]
    assert "\n" not in judged.wrong[path]


def test_a_problem_in_a_row_stands_at_that_row(library: Library) -> None:
    draft = begin("cause", "change", library.causes["stands-too-close"], WRITER_NAME)
    draft.entry["moves"][1]["size"] = "far"
    del draft.entry["moves"][0]["size_sd"]
    wrong = judge(draft, library).wrong
    assert in_row(wrong, ("moves",), 1) == {("size",): "it must be a number, such as 8"}
    assert "give or take" in next(iter(in_row(wrong, ("moves",), 0).values()))
    field = next(field for field in fields_of("cause") if field.path == ("moves",))
    assert missing_in_row(field, draft.entry["moves"][0]) == {("size_sd",)}


def test_near_titles_and_the_audit_are_told(library: Library, tmp_path: Path) -> None:
    draft = rope(tmp_path)
    draft.entry["title"] = "a soft foam sleeve lies outside the ball and must stay untouched"
    draft.entry["effect"]["change"] = "less"
    judged = judge(draft, library)
    assert judged.near[0][0] == "foam-sleeve-outside"
    assert judged.whole  # advice does not keep an entry from being saved
    assert "already moves it" in advised(draft, library)["for", "causes"]


def test_both_views_show_a_half_written_entry_and_its_cautions() -> None:
    for kind in KINDS:
        assert "Nothing to read yet" in str(both_views(begin(kind, writer="K").document().value, "right", ()))
    draft = begin("drill", writer="K")
    draft.entry |= {"cue": "send it {left}", "dose": {"sets": "x"}, "steps": ["Swing."], "cautions": ["Keep clear."]}
    text = str(both_views(draft.document().value, "left", ()))
    assert "Send it right." in text
    assert "Keep clear." in text


def test_a_draft_comes_back_as_it_was_and_belongs_to_its_user_alone(tmp_path: Path) -> None:
    store = DraftStore(tmp_path / "drafts")
    draft = begin("drill", writer=WRITER_NAME)
    store.save(draft)
    assert not store.path.exists()  # nothing typed, nothing kept
    draft.entry |= {"title": "\u202e[red]x שלום 日本 🏌", "minutes": "ab"}
    store.save(draft)
    assert stat.S_IMODE(store.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(store.folder.stat().st_mode) == 0o700
    (store.folder / "broken.json").write_text('{"draft": 1', encoding="utf-8")
    (store.folder / "strange.json").write_text('{"draft": 1, "kind": "club"}', encoding="utf-8")
    other = DraftStore(store.folder)
    [saved] = other.found()
    assert saved.draft == draft
    other.take_over(saved)
    assert not store.path.exists()
    assert [each.draft for each in DraftStore(store.folder).found()] == [draft]
    other.end()
    other.save(draft)  # a pause in the typing that ends after the entry was saved
    assert DraftStore(store.folder).found() == []


def test_only_a_draft_is_read_as_one() -> None:
    good = to_json(begin("drill"))
    assert from_json(good) == begin("drill")
    for bad in ([], {}, {**good, "way": "steal"}, {**good, "kind": "club"}, {**good, "entry": []}, {**good, "more": 1}):
        with pytest.raises(ValueError, match="draft"):
            from_json(bad)


def test_a_new_entry_is_one_sound_file_that_the_library_takes(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "there" / "yet"
    path = save(rope(folder), [])
    assert path == folder / "drills" / "rope-outside.yaml"
    laid = load_layers([BUILT_IN, folder])
    assert laid.problems == []
    assert laid.drills["rope-outside"]["author"] == WRITER_NAME
    before = path.read_bytes()
    with pytest.raises(SaveError, match="stands already"):
        save(rope(folder), [])
    assert path.read_bytes() == before


def test_a_change_keeps_comments_and_is_not_put_over_another_programs_change_unsaid(tmp_path: Path) -> None:
    path = save(rope(tmp_path), [])
    path.write_text("# from the spring\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    entry = load_layers([BUILT_IN, tmp_path]).drills["rope-outside"]
    draft = begin("drill", "change", entry, "Orla Fenwick", str(tmp_path))
    draft.entry["minutes"] = 9
    del draft.entry["easier"]
    draft.entry["easier"] = "go slower"
    assert file_of(draft, load_layers([BUILT_IN, tmp_path])) == path
    path.write_text(path.read_text(encoding="utf-8").replace("space_m: 3", "space_m: 5"), encoding="utf-8")
    with pytest.raises(OvertakenError, match="another program"):
        save(draft, [])
    assert save(draft, [], over=True) == path
    text = path.read_text(encoding="utf-8")
    document, _ = read_yaml(text)
    assert document is not None
    assert text.startswith("# from the spring\n")
    assert (document.value["minutes"], document.value["space_m"], document.value["easier"]) == (9, 5, "go slower")
    assert document.value["authors"] == ["Orla Fenwick"]


def test_a_change_of_the_built_in_library_is_laid_over_it(library: Library, tmp_path: Path) -> None:
    draft = begin("drill", "change", library.drills["foam-sleeve-outside"], WRITER_NAME, str(tmp_path))
    draft.entry["minutes"] = 9
    path = save(draft, [])
    document, _ = read_yaml(path)
    assert document is not None
    assert document.value == {"kind": "drill", "amends": "foam-sleeve-outside", "minutes": 9, "authors": [WRITER_NAME]}
    assert (BUILT_IN / "drills" / "foam-sleeve-outside.yaml").stat().st_mtime < path.stat().st_mtime


def test_a_copy_names_those_who_wrote_the_first(library: Library, tmp_path: Path) -> None:
    draft = begin("drill", "copy", library.drills["foam-sleeve-outside"], WRITER_NAME, str(tmp_path))
    assert not {"id", "author"} & set(draft.entry)
    draft.entry |= {"id": "my-sleeve", "title": "my own sleeve stays untouched"}
    del draft.entry["easier_drill"]
    document, _ = read_yaml(save(draft, []))
    assert document is not None
    assert (document.value["author"], document.value["authors"]) == (WRITER_NAME, ["Arclore"])
    assert "easier_drill" not in document.value


def test_a_folder_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(SaveError, match="choose another") as told:
        save(rope(tmp_path / "file"), [])
    assert "\n" not in str(told.value)


def test_a_file_name_is_made_of_the_title_and_the_library(tmp_path: Path) -> None:
    assert name_of("A rope lies outside the ball, and must stay!", "") == "rope-lies-outside-ball-stay"
    assert len(name_of("word " * 100, "")) <= 60
    assert name_of("日本", "") == ""
    (tmp_path / "library.yaml").write_text(
        "schema: 1\nkind: library\nid: larkmoor\ntitle: Larkmoor\nversion: 1.0.0\n", encoding="utf-8"
    )
    assert name_of("the rope", str(tmp_path)) == "larkmoor-rope"


def test_what_was_chosen_reads_in_plain_words(library: Library) -> None:
    fields = {field.path: field for field in fields_of("cause")}
    moves = shown(fields["moves",], library.causes["stands-too-close"]["moves"], library)
    assert moves[0] == "1. ball distance cm / -4.7 / 1.8 / full swing"
    assert shown(fields["exclusive_with",], ["stands-too-far"], library) == [library.causes["stands-too-far"]["title"]]
    assert shown(FOLDER, "/x", library) == ["/x"]
    assert shown(WRITER, None, library) == []
