"""The desk in a real browser: a lesson by keyboard and one by touch, and not one request to another host."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.keys import Keys

from tests.browser.browsing import Served, browser, elsewhere, press, requests, tap_for, type_keys, until, wait_for

pytestmark = pytest.mark.usefixtures("chromium")
BIG_ENOUGH_PX = 44  # of a thing to touch (Web Content Accessibility Guidelines 2.2, 2.5.5)
WORDS = "zebra stripes"
WHO = [f"Question {number} of" for number in range(2, 7)]
"""Where the coach stands after each of the first answers: safety, hand, level."""
ANSWERED = {
    **{f"safety:{number}": "no" for number in range(4)},
    "handed": "right",
    "level": "novice",
    "avoid": [],
    "clubs": ["driver"],
    "start@driver": "left",
    "curve@driver": "right-strong",
    "height@driver": "high",
}


CLOSED = """
const said = arguments[0];
const look = () => getComputedStyle(document.getElementById("closed")).display;
setInterval(() => { if (look() !== "none") said(look()); }, 50);
"""


FIELD = "return [document.querySelector('.xterm-helper-textarea').inputMode, desk.terminal.rows];"
HEIGHTS = """
const cell = document.querySelector(".xterm-screen").clientHeight / desk.terminal.rows;
return [2 * cell, ...[...document.querySelectorAll("nav button")].map((each) => each.clientHeight)];
"""
BLOCKED = """
const said = arguments[1];
document.addEventListener("securitypolicyviolation", (event) => said(event.effectiveDirective));
fetch(arguments[0]).then(() => said("reached"), () => null);
"""


def lessons(state: Path) -> list[dict[str, Any]]:
    """The answers of every lesson on disk, the oldest first."""
    found = sorted((state / "arclore" / "lessons").glob("*.json"))
    return [dict(json.loads(path.read_text(encoding="utf-8"))["events"]) for path in found]


def opened(driver: Chrome, address: str) -> None:
    driver.get(address)
    wait_for(driver, "painful")


def test_a_whole_lesson_by_keyboard(tmp_path: Path) -> None:
    with Served(tmp_path) as served:
        driver = browser(tmp_path / "profile", (1280, 800))
        try:
            downloads = {"behavior": "allow", "downloadPath": str(tmp_path / "tablet")}
            driver.execute_cdp_cmd("Browser.setDownloadBehavior", downloads)
            opened(driver, f"{served.address}?ping=http://127.0.0.2:{served.port}/")
            assert driver.title == "Arclore: the desk"
            for then in WHO:
                type_keys(driver, "1")
                wait_for(driver, then)
            for keys, then in (
                ("1", "Question 7 of"),
                (Keys.ENTER, "Question 8 of"),
                ("1" + Keys.ENTER, "Question 9 of"),
                ("1", "Question 10 of"),
                ("5", "Question 11 of"),
                ("3", "Question 12 of"),
                ("r", "Nothing to fix"),
                ("w", "Type what was said"),
                (WORDS + Keys.ENTER, "Nothing known was found"),
                (Keys.ESCAPE, "Question 12 of"),
                ("o", "TO CHANGE"),
                ("s", "Saved in"),
                (Keys.ESCAPE, "Nothing to fix"),
            ):
                type_keys(driver, keys)
                wait_for(driver, then)
            assert lessons(tmp_path) == [ANSWERED]
            (page,) = (tmp_path / "arclore" / "pages").glob("*.html")
            taken = tmp_path / "tablet" / page.name
            until(taken.exists)
            assert taken.read_bytes() == page.read_bytes()
            first = driver.current_window_handle
            driver.switch_to.new_window("tab")
            driver.get(served.address)
            wait_for(driver, "An unfinished lesson")
            type_keys(driver, "n")
            wait_for(driver, "painful")
            type_keys(driver, "1")
            wait_for(driver, "numbness")
            assert lessons(tmp_path) == [ANSWERED, {"safety:0": "no"}]
            driver.switch_to.window(first)
            type_keys(driver, "q")
            assert driver.execute_async_script(CLOSED) == "block"
            asked = requests(driver)
            assert any(address.startswith("ws:") for address in asked)
            assert elsewhere(asked, served.port) == []
        finally:
            driver.quit()
        assert served.stop() == (130, "")  # and so no word of the student


def test_a_whole_lesson_by_touch(tmp_path: Path) -> None:
    with Served(tmp_path) as served:
        driver = browser(tmp_path / "profile", (768, 1024), touch=True)
        try:
            opened(driver, served.address)
            for then in WHO[:-1]:
                tap_for(driver, "no ", then)
            for touched, then in (
                ("right-handed", "Question 6 of"),
                ("newer to the game", "Question 7 of"),
                (" Enter ", "Question 8 of"),
                ("driver", "[x] driver"),
                (" Enter ", "Question 9 of"),
                ("1 left", "Question 10 of"),
                ("far right", "Question 11 of"),
            ):
                tap_for(driver, touched, then)
            tap_for(driver, "higher", "Question 12 of", below=1)  # an answer reaches over the line below it
            assert lessons(tmp_path) == [ANSWERED]
            heights = driver.execute_script(HEIGHTS)
            assert min(heights) >= BIG_ENOUGH_PX, heights
            for touched, head, then in (
                ("r ranking", "Ranking", "Nothing to fix"),
                ("d drill", "Drill", "Pass mark"),
                ("p picture", "Picture", "Face-on"),
            ):
                tap_for(driver, touched, head)  # which is there at once, whatever the engine is at
                wait_for(driver, then)
            press(driver, "nav button")
            wait_for(driver, "Search for commands")
            press(driver, "nav button:nth-of-type(2)")
            wait_for(driver, "Face-on")

            driver.refresh()
            wait_for(driver, "An unfinished lesson")
            tap_for(driver, "11 answers", "Question 12 of")
            assert lessons(tmp_path) == [ANSWERED]
            field, rows = driver.execute_script(FIELD)
            press(driver, "#keyboard")
            press(driver, "nav button:last-of-type")
            wait_for(driver, "Question 12 of")
            shown, fewer = driver.execute_script(FIELD)
            assert (field, shown) == ("none", "text")
            assert fewer < rows
            assert elsewhere(requests(driver), served.port) == []
            assert driver.execute_async_script(BLOCKED, f"http://127.0.0.2:{served.port}/") == "connect-src"
        finally:
            driver.quit()
        assert served.stop() == (130, "")
