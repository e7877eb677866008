"""Simulated students, a few hundred of them: see ``tests/students``, which runs as many as asked."""

from __future__ import annotations

from arclore.engine.library.stack import load_library

from tests.students.simulate import simulate

STUDENTS = 400


def run() -> list[str]:
    return list(simulate(load_library(), STUDENTS))
