"""The page to take home as a browser prints it: all of it on one sheet, whichever paper is in the printer."""

from __future__ import annotations

import base64
import io
from datetime import date
from pathlib import Path

import pytest
from arclore.engine.library.stack import load_library
from arclore.tui.inferred import sound
from arclore.tui.pictures.plate import of_change
from arclore.tui.pictures.svg import as_svg
from arclore.tui.screens.wrap import LONGEST
from arclore.tui.take_home import as_html, as_text, take_home
from pypdf import PdfReader

from tests.browser.browsing import browser

pytestmark = pytest.mark.usefixtures("chromium")
INCH_MM = 25.4
PAPERS = {"A4": (210 / INCH_MM, 297 / INCH_MM), "letter": (8.5, 11.0)}
"""Inches. A4: ISO 216; letter: ANSI/ASME Y14.1, size A."""


def test_the_longest_page_prints_on_one_sheet(tmp_path: Path) -> None:
    library = load_library()
    cause = max(library.causes.values(), key=lambda entry: len(entry["tell_student"]))
    always = library.settings["safety"]["cautions"]
    name = "m" * LONGEST["name"]
    pages = [take_home(cause, drill, always, "right", date(2031, 9, 30), name) for drill in library.drills.values()]
    made = sound(library, {"level": "novice"}, "driver")
    picture = as_svg(of_change("Driver, from above", [made.stroke("now"), made.stroke("without a fault")]))
    file = tmp_path / "page.html"
    file.write_text(as_html(max(pages, key=lambda page: len(as_text(page))), picture), encoding="utf-8")
    driver = browser(tmp_path / "profile", (1000, 1400))
    try:
        driver.get(file.as_uri())
        for paper, (width, height) in PAPERS.items():
            about = {"paperWidth": width, "paperHeight": height, "preferCSSPageSize": True}
            printed = driver.execute_cdp_cmd("Page.printToPDF", about)["data"]
            (sheet,) = PdfReader(io.BytesIO(base64.b64decode(printed))).pages
            assert [round(float(side) / 72, 1) for side in sheet.mediabox[2:]] == [round(width, 1), round(height, 1)]
            told = " ".join(sheet.extract_text().split())
            for part in ("The one thing to change", "On 30 September 2031", "Driver, from above", "low point"):
                assert part in told, (paper, part)
    finally:
        driver.quit()
