"""Lessons on disk: whole or not at all, private, never one desk's over another's."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from arclore.tui.lesson import Lesson
from arclore.tui.lesson_store import Store

LESSON = Lesson().answered("handed", "left")


def test_only_the_user_can_read_a_lesson(store: Store) -> None:
    store.save(LESSON)
    assert stat.S_IMODE(store.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(store.folder.stat().st_mode) == 0o700
    assert [path.name for path in store.folder.iterdir()] == [store.path.name]


def test_an_empty_lesson_leaves_no_file(store: Store) -> None:
    store.save(Lesson())
    assert not store.folder.exists()


def test_another_desk_is_offered_it_until_it_is_finished(store: Store) -> None:
    store.save(LESSON)
    other = Store(store.folder)
    assert [saved.lesson for saved in other.unfinished()] == [LESSON]
    store.save(LESSON, finished=True)
    assert other.unfinished() == []


def test_what_a_killed_writer_left_goes_with_its_lesson_or_once_it_is_old(store: Store) -> None:
    store.save(LESSON)
    mine, others = store.folder / f".{store.path.name}.x.tmp", store.folder / ".other.json.y.tmp"
    for path in (mine, others):
        path.write_text("half", encoding="utf-8")
    store.tidy()
    assert mine.exists()
    store.delete(Store(store.folder).all()[0])
    assert [path.name for path in store.folder.iterdir()] == [others.name]
    os.utime(others, (0, 0))
    store.tidy()
    assert list(store.folder.iterdir()) == []


def test_two_desks_do_not_destroy_each_other(store: Store) -> None:
    store.save(LESSON)
    other = Store(store.folder)
    other.take_over(other.unfinished()[0])
    mine, theirs = LESSON.answered("level", "novice"), LESSON.answered("level", "skilled")
    store.save(mine)
    other.save(theirs)
    third = Store(store.folder)
    assert {saved.lesson.answers["level"] for saved in third.unfinished()} == {"novice", "skilled"}


@pytest.mark.parametrize("text", ["", "{", "[]", '{"format": 9}', "[" * 100_000, '{"format": 1, "events": 3}', "\x00"])
def test_a_broken_file_is_passed_over_and_left_alone(store: Store, text: str) -> None:
    store.save(LESSON)
    broken = store.folder / "broken.json"
    broken.write_text(text, encoding="utf-8")
    assert [saved.lesson for saved in Store(store.folder).unfinished()] == [LESSON]
    assert broken.read_text(encoding="utf-8") == text


def test_a_folder_that_cannot_be_written_is_an_error_to_tell(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(OSError, match="file"):
        Store(tmp_path / "file" / "lessons").save(LESSON)
