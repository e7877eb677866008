"""A browser where the machine has one; where ARCLORE_BROWSER is set it must have one."""

from __future__ import annotations

import os

import pytest

from tests.browser.browsing import CHROMIUM, DRIVER


@pytest.fixture
def chromium() -> None:
    """Skip a test without a browser, unless the run was told that there is one."""
    if CHROMIUM.exists() and DRIVER.exists():
        return
    reason = f"no {CHROMIUM} and {DRIVER} (Debian: chromium, chromium-driver)"
    if os.environ.get("ARCLORE_BROWSER"):
        pytest.fail(reason)
    pytest.skip(reason)
