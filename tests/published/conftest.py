"""A record for figures too weak to fail a test, shown in a table at the end of the run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

KEY = "published"


@pytest.fixture
def weak(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Note a figure of grade C or D: what, value, the published range, unit, source. Never fails."""

    def note(
        what: str, value: float, low: float, high: float, unit: str, source: str, grade: str = "C"
    ) -> None:
        assert grade in ("C", "D"), "a figure of grade A or B is asserted, not noted"
        verdict = "in range" if low <= value <= high else "OUT OF RANGE"
        row = (grade, what, f"{value:.4g}", f"{low:g} to {high:g} {unit}".rstrip(), verdict, source)
        request.node.user_properties.append((KEY, row))

    return note


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """Print the noted figures of all tests, also of those run in other processes."""
    rows = [
        row
        for report in terminalreporter.getreports("passed") + terminalreporter.getreports("failed")
        for key, row in report.user_properties
        if key == KEY
    ]
    if rows:
        terminalreporter.section("published figures of weak trust (noted, never failing)")
        widths = [max(len(str(row[column])) for row in rows) for column in range(5)]
        for row in sorted(set(map(tuple, rows))):
            terminalreporter.write_line(
                "  ".join(str(cell).ljust(width) for cell, width in zip(row, [*widths, 0], strict=True))
            )
