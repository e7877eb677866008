"""Over five hundred releases from strangers: each is refused in one line, and nothing is left of it anywhere."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from arclore.engine.upkeep import layers, release
from arclore.engine.upkeep.archive import ArchiveError, read_archive
from arclore.engine.upkeep.release import ReleaseError, install

from tests.shared.strange_archives import CLASSES, READABLE, START, hold_only, recorded
from tests.shared.watched import changed_paths

EVERY = {name: list(made()) for name, made in CLASSES.items()}


@pytest.fixture
def place(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A folder that holds all that may be written to: a home, a place for temporary files, something to protect."""
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name in ("home", "tmp", "work"):
        (tmp_path / name).mkdir()
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    monkeypatch.setattr(release, "_below", lambda _: [])  # the built-in library is not what is tested here
    monkeypatch.chdir(tmp_path / "work")
    return tmp_path


def test_they_are_many_and_no_two_alike() -> None:
    every = [data for cases in EVERY.values() for _, data in cases]
    assert len(set(every)) >= 500


@pytest.mark.parametrize("kind", CLASSES)
def test_each_is_refused_in_one_line_and_leaves_nothing(kind: str, place: Path) -> None:
    path = place / "work" / "x.zip"
    for name, data in EVERY[kind]:
        path.write_bytes(data)
        with changed_paths() as changed, pytest.raises(ReleaseError) as told:
            install(path)
            pytest.fail(f"{kind}: {name} was installed")
        assert all(one.is_relative_to(place) for one in changed), (name, changed)
        lines = [str(told.value), *(row.row() for row in told.value.rows)]
        assert all(line.isprintable() and line for line in lines), (name, lines)
        assert len(lines[0]) < 400, name
        assert path.read_bytes() == data
        left = {str(one.relative_to(place)) for one in place.rglob("*")}
        assert left <= {"home", "tmp", "work", "work/x.zip", *_empty_homes(place)}, (name, left)
    assert layers.read_layers() == ([], [])


@pytest.mark.parametrize("kind", [kind for kind in CLASSES if kind not in READABLE])
def test_what_is_no_plain_archive_is_refused_as_such(kind: str, place: Path) -> None:
    path = place / "work" / "x.zip"
    for name, data in EVERY[kind]:
        path.write_bytes(data)
        with pytest.raises(ArchiveError):
            pytest.fail(f"{kind}: {name} was read as {list(read_archive(path))}")


@pytest.mark.parametrize("kind", ["damaged", "lies"])
def test_what_can_still_be_read_holds_what_it_held(kind: str, place: Path) -> None:
    path = place / "work" / "x.zip"
    for name, data in EVERY[kind]:
        path.write_bytes(data)
        try:
            files = read_archive(path)
        except ArchiveError:
            continue
        assert hold_only(files), name


def test_a_sound_one_is_installed(place: Path) -> None:
    path = place / "work" / "x.zip"
    path.write_bytes(recorded({"library.yaml": START[1]}))
    with changed_paths() as changed:
        assert install(path)[0].folder.is_relative_to(place / "home")
    assert place / "home" in [parent for one in changed for parent in one.parents]
    assert all(one.is_relative_to(place) for one in changed)


def _empty_homes(place: Path) -> set[str]:
    """The folders that lead to where releases would stand."""
    home = layers.shared_home()
    return {str(folder.relative_to(place)) for folder in (home, *home.parents) if folder.is_relative_to(place)}
