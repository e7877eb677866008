"""``python -m tests.students [COUNT] [--level LEVEL] [--library FOLDER|reference] [--disturbed N] [--seed N]``."""

from __future__ import annotations

import argparse
from pathlib import Path

from arclore.engine.geometry.club import LEVELS
from arclore.engine.library.stack import load_library

from tests.reference_library import reference_library
from tests.students.simulate import simulate


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.students", description="teach simulated students")
    parser.add_argument("count", type=int, nargs="?", default=400)
    parser.add_argument("--level", choices=LEVELS, default="intermediate")
    parser.add_argument(
        "--library", action="append", default=[], help="a folder laid over the built-in one, or: reference"
    )
    parser.add_argument("--disturbed", type=int, default=0, metavar="N", help="students in each disturbed world")
    parser.add_argument("--seed", type=int, default=11)
    given = parser.parse_args()
    reference = given.library == ["reference"]
    library = reference_library() if reference else load_library(*map(Path, given.library))
    for row in simulate(library, given.count, given.level, given.seed, given.disturbed):
        print(row, flush=True)


if __name__ == "__main__":
    main()
