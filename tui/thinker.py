"""The engine as the desk uses it: read when first needed, one case at a time, off the screen's thread.

Importing this module loads nothing heavy: the first question is on the screen before the library is read.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from threading import Lock
from time import sleep
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from arclore.engine.diagnosis.confirmed import Learned
    from arclore.engine.diagnosis.triage import Bench
    from arclore.engine.library.stack import Library

MAKE_WAY_S = 0.02
JUDGED = ("outcome", "findings", "theory", "ask")  # what can be accepted or asked; words may also just name a club


@dataclass(frozen=True)
class Safety:
    """What comes before anything else: the questions, the text that stops a lesson, what always holds."""

    questions: tuple[str, ...]
    stop: str
    cautions: tuple[str, ...] = ()


class _NotWantedError(Exception):
    """Another case has come in the meantime."""


def _drop() -> None:
    raise _NotWantedError


@dataclass
class Thinker:
    """The library of these folders, laid over the built-in one, and its bench."""

    folders: Sequence[Path] = ()
    bench: Bench | None = None
    notice: str = ""  # what the library was read without
    _turn: Lock = field(default_factory=Lock)
    _urgent: set[object] = field(default_factory=set)  # cases that wait for their turn

    def safety(self) -> Safety:
        """The safety questions alone, read before the whole library is; no layer may change the built-in ones."""
        from arclore.engine.library.read import read_yaml
        from arclore.engine.library.stack import BUILT_IN

        document, problems = read_yaml(BUILT_IN / "library.yaml")
        if document is None:
            raise ValueError(problems[0].row())
        found = document.value["safety"]
        return Safety(tuple(found["questions"]), found["stop"], tuple(found.get("cautions", ())))

    def laid(self) -> list[Path]:
        """The folders laid over the built-in library, lowest first."""
        from arclore.engine.upkeep.layers import folders

        return list(self.folders or folders())

    def changed(self, folder: Path) -> None:
        """Read the library anew when it is next needed, with a folder into which something was written."""
        laid = self.laid()
        with self._turn:
            if not any(each.is_dir() and folder.samefile(each) for each in laid):
                self.folders = (*laid, folder)
            self.bench = None

    def load(self) -> Bench:
        """Read the library and make it ready; kept once made."""
        with self._turn:
            return self._ready()

    def _ready(self) -> Bench:
        """The bench, in one's turn."""
        if self.bench is None:
            from arclore.engine.diagnosis.triage import Bench
            from arclore.engine.library.stack import load_library

            library = load_library(*self.laid())
            self.bench = Bench(library, learned=self._learned(library))
            gc.unfreeze()  # what an earlier library has left
            gc.freeze()  # thousands of entries that stay: walking them takes longer than a ranking
        return self.bench

    def _learned(self, library: Library) -> Learned:
        """What confirmed lessons teach; where they cannot be read nothing, and ``notice`` says so."""
        from arclore.engine.diagnosis.confirmed import NOTHING
        from arclore.tui.confirmed_store import ConfirmedError, learned

        self.notice = ""
        try:
            return learned(library)
        except ConfirmedError as problem:
            self.notice = f"Confirmed lessons do not count: {problem}"
            return NOTHING

    def answers(self, case: Mapping[str, Any], wanted: Callable[[], bool]) -> Iterator[dict[str, Any]]:
        """The ranking of a case, then explained, then with its doubts; it ends once it is not wanted."""
        from arclore.engine.diagnosis.triage import unfolding

        def still() -> None:
            if not wanted():
                _drop()

        with self._first(), suppress(_NotWantedError):
            still()
            for answer in unfolding(case, self._ready(), live=True, still=still, thorough=True):
                still()
                yield answer

    @contextmanager
    def _first(self) -> Iterator[None]:
        """The turn of a case, for which work beforehand makes way."""
        mine = object()
        self._urgent.add(mine)
        with self._turn:
            self._urgent.discard(mine)
            yield

    def prepare(self, clubs: Sequence[str], level: str, wanted: Callable[[], bool]) -> None:
        """Work out beforehand what a case with these clubs needs, while nobody waits and as long as it is wanted."""
        bench = self.load()
        for club in clubs:
            if wanted():
                bench.lay_tables(club, level)  # beside a ranking, which may well need them
        for told in range(len(clubs) + 1):
            self._aside(partial(bench.rehearse, clubs, level, told), wanted)

    def foresee(self, cases: Sequence[Mapping[str, Any]], wanted: Callable[[], bool]) -> None:
        """Rank beforehand the cases that the next answer may make, while nobody waits and as long as it is wanted."""
        bench = self.load()
        for case in cases:
            self._aside(partial(bench.foresee, case), wanted)

    def _aside(self, work: Callable[[Callable[[], None]], None], wanted: Callable[[], bool]) -> None:
        """Do this work, as long as it is wanted; begin it anew each time that it has made way for a case."""

        def still() -> None:
            if self._urgent or not wanted():
                _drop()

        while wanted():
            with self._turn, suppress(_NotWantedError):
                work(still)
                return
            while self._urgent and wanted():
                sleep(MAKE_WAY_S)

    def proposals(self, words: str, handed: str) -> tuple[list[dict[str, Any]], bool]:
        """What a student's words may mean, one by one, and whether they speak of pain or a warning sign."""
        with self._first():
            case = self._ready().case({"handed": handed, "words": words})
            return [dict(found) for found in case.proposed if any(found[part] for part in JUDGED)], case.pain
