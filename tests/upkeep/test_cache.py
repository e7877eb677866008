"""What was worked out once is found again for the same content and the same engine alone, and never taken on trust."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.upkeep import cache as module
from arclore.engine.upkeep.cache import NO_CACHE, Cache


class Work:
    """Counts how often it was done."""

    def __init__(self, result: Any = None) -> None:
        self.result, self.times = result, 0

    def __call__(self) -> Any:
        self.times += 1
        return self.result


@pytest.fixture
def kept(tmp_path: Path) -> tuple[Cache, Path]:
    """A cache that holds one result, and the file that the result stands in."""
    cache = Cache(tmp_path / "results")
    cache.kept("sums", [1, "two"], lambda: {"sum": 3.5})
    (path,) = (tmp_path / "results" / "sums").iterdir()
    return cache, path


def test_a_result_is_worked_out_once_for_each_name_and_key(tmp_path: Path) -> None:
    cache = Cache(tmp_path / "results")
    work = Work({"rows": [[1, "a"], None]})
    for _ in range(3):
        assert cache.kept("rows", {"b": 1, "a": 2}, work) == work.result
    assert Cache(tmp_path / "results").kept("rows", {"a": 2, "b": 1}, work) == work.result
    assert work.times == 1
    for name, key in (("rows", {"a": 2, "b": 2}), ("rows", {"a": "2", "b": 1}), ("columns", {"a": 2, "b": 1})):
        cache.kept(name, key, work)
    assert work.times == 4


def test_another_engine_finds_nothing(kept: tuple[Cache, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "engine_digest", lambda: "another")
    assert kept[0].kept("sums", [1, "two"], Work(7)) == 7


def test_the_engine_is_known_by_its_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = tmp_path / "engine"
    (engine / "part").mkdir(parents=True)
    monkeypatch.setattr(module, "ENGINE", engine)
    seen = set()
    for text in ("x = 1\n", "x = 2\n"):
        (engine / "part" / "a.py").write_text(text, encoding="utf-8")
        seen.add(module.engine_digest.__wrapped__())
    (engine / "part" / "a.py").rename(engine / "a.py")
    assert len({*seen, module.engine_digest.__wrapped__()}) == 3


def test_a_result_comes_back_alike_whether_it_was_kept_or_not(tmp_path: Path) -> None:
    cache = Cache(tmp_path / "results")
    came = [each.kept("rows", 1, lambda: (("a", 1), ("b", 2))) for each in (NO_CACHE, cache, cache)]
    assert came == [[["a", 1], ["b", 2]]] * 3


def _other_bytes(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"3.5", b"4.5"))


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


def _empty(path: Path) -> None:
    path.write_bytes(b"")


def _not_text(path: Path) -> None:
    path.write_bytes(bytes(range(256)))


def _moved_from_another_key(path: Path) -> None:
    Cache(path.parents[1]).kept("sums", "another", Work(9))
    (other,) = set(path.parent.iterdir()) - {path}
    other.replace(path)


def _link(path: Path) -> None:
    path.rename(path.parent / "elsewhere")
    path.symlink_to(path.parent / "elsewhere")


def _open_to_others(path: Path) -> None:
    path.chmod(0o666)


def _in_an_open_folder(path: Path) -> None:
    path.parent.chmod(0o777)


def _in_a_linked_folder(path: Path) -> None:
    path.parent.rename(path.parents[1] / "elsewhere")
    path.parent.symlink_to(path.parents[1] / "elsewhere")


def _a_pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


SPOILERS = (
    *(_other_bytes, _cut, _empty, _not_text, _moved_from_another_key),
    *(_link, _open_to_others, _in_an_open_folder, _in_a_linked_folder, _a_pipe),
)


@pytest.mark.skipif(os.name == "nt", reason="rights and pipes of POSIX")
@pytest.mark.parametrize("spoil", SPOILERS)
def test_what_is_not_whole_and_this_users_own_is_worked_out_anew(
    kept: tuple[Cache, Path], spoil: Callable[[Path], None]
) -> None:
    cache, path = kept
    spoil(path)
    work = Work({"sum": 3.5})
    assert cache.kept("sums", [1, "two"], work) == {"sum": 3.5}
    assert work.times == 1


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="users of POSIX")
def test_another_users_file_is_not_read(kept: tuple[Cache, Path], monkeypatch: pytest.MonkeyPatch) -> None:
    mine = os.getuid()
    monkeypatch.setattr(os, "getuid", lambda: mine + 1)
    assert kept[0].kept("sums", [1, "two"], Work(7)) == 7


@pytest.mark.skipif(os.name == "nt", reason="rights of POSIX")
def test_only_its_user_can_read_it(kept: tuple[Cache, Path]) -> None:
    path = kept[1]
    assert [each.stat().st_mode & 0o777 for each in (path.parents[1], path.parent, path)] == [0o700, 0o700, 0o600]


def test_a_place_that_cannot_be_written_costs_nothing_but_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert Cache(tmp_path / "file" / "results").kept("sums", 1, Work(3)) == 3


def test_the_longest_unused_goes_first(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "results"
    for number in range(5):
        Cache(folder).kept("rows", number, Work("x" * 1000))
    for age, path in enumerate(sorted((folder / "rows").iterdir(), key=lambda each: each.stat().st_mtime_ns)):
        os.utime(path, (1000 + age, 1000 + age))
    Cache(folder).kept("rows", 0, Work())  # used again
    monkeypatch.setattr(module, "MOST_BYTES", 2 * 1200)
    Cache(folder).kept("rows", 5, Work("y"))
    again = Work("z")
    for number in (0, 4, 5):
        Cache(folder).kept("rows", number, again)
    assert again.times == 0
    assert len(list((folder / "rows").iterdir())) == 3
    monkeypatch.setattr(module, "MOST_BYTES_OF_ONE", 10)
    large = Work("z" * 1000)
    for _ in range(2):
        assert Cache(folder).kept("rows", "large", large) == large.result
    assert large.times == 2
