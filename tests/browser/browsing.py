"""A served desk and a real browser that looks at it."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.parse import urlsplit

from selenium.webdriver import Chrome, ChromeOptions, ChromeService
from selenium.webdriver.common.action_chains import ActionChains

CHROMIUM, DRIVER = Path("/usr/bin/chromium"), Path("/usr/bin/chromedriver")
FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --disable-dev-shm-usage --hide-scrollbars --no-proxy-server"
)
CELLS = """
const lines = [], buffer = window.desk && desk.terminal.buffer.active;
for (let row = 0; buffer && row < desk.terminal.rows; row++) lines.push(buffer.getLine(row).translateToString(true));
return lines;
"""
WAIT_S, AGAIN_S = 30.0, 3.0


class Served:
    """``arclore serve`` on a free port; its lessons go to a folder of the test."""

    def __init__(self, state: Path, *flags: str, code: str = "") -> None:
        given = {**os.environ, "XDG_STATE_HOME": str(state), "HOME": str(state), "NO_PROXY": "*"}
        command = ["-c", code] if code else ["-m", "arclore.tui"]
        self.process = subprocess.Popen(
            [sys.executable, *command, "serve", "--port", "0", *flags],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            env=given,
        )
        assert self.process.stdout is not None
        said = self.process.stdout.readline()
        found = re.search(r"http://\S+:(\d+)/", said)
        assert found, said
        self.address, self.port = f"http://127.0.0.1:{found[1]}/", int(found[1])

    def __enter__(self) -> Served:
        return self

    def __exit__(self, *_: type[BaseException] | BaseException | TracebackType | None) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.communicate(timeout=10)

    def stop(self, signal_number: int = signal.SIGINT) -> tuple[int, str]:
        """Interrupt it: its exit code, and all that it said on either stream after its address."""
        self.process.send_signal(signal_number)
        out, err = self.process.communicate(timeout=20)
        return self.process.returncode, out + err

    def children(self) -> list[int]:
        """The processes that it started and that still run."""
        listed = subprocess.run(
            ["ps", "-o", "pid=", "--ppid", str(self.process.pid)], capture_output=True, text=True, check=False
        )
        return [int(word) for word in listed.stdout.split()]


def browser(folder: Path, size: tuple[int, int], touch: bool = False) -> Chrome:
    """A headless Chromium with an empty profile whose window shows a page of this size."""
    options = ChromeOptions()
    options.binary_location = str(CHROMIUM)
    for flag in (*FLAGS.split(), f"--user-data-dir={folder}", f"--window-size={size[0]},{size[1]}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"performance": "ALL", "browser": "ALL"})
    driver = Chrome(options, ChromeService(str(DRIVER)))
    about = {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": touch}
    driver.get("about:blank")
    driver.get_log("performance")  # of the page with which the browser itself begins
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", about)
    if touch:
        driver.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
    return driver


def cells(driver: Chrome) -> list[str]:
    """The rows of the desk as they stand in the page."""
    rows: list[str] = driver.execute_script(CELLS)
    return rows


def wait_for(driver: Chrome, text: str, seconds: float = WAIT_S) -> list[str]:
    """Wait until the rows hold a text, whatever the line breaks; fail where it does not come."""
    until = time.perf_counter() + seconds
    while True:
        rows = cells(driver)
        if text in " ".join(" ".join(rows).split()):
            return rows
        if time.perf_counter() > until:
            raise AssertionError(f"{text!r} did not come; there stood:\n" + "\n".join(rows))
        time.sleep(0.05)


def until(true: Callable[[], bool], seconds: float = WAIT_S) -> None:
    """Wait for something that comes about by itself."""
    end = time.perf_counter() + seconds
    while not true():
        assert time.perf_counter() < end
        time.sleep(0.05)


def requests(driver: Chrome) -> list[str]:
    """Every address that the browser asked for, sockets included, since the last call."""
    found = []
    for entry in driver.get_log("performance"):
        event: dict[str, Any] = json.loads(entry["message"])["message"]
        if event["method"] == "Network.requestWillBeSent":
            found.append(str(event["params"]["request"]["url"]))
        elif event["method"] == "Network.webSocketCreated":
            found.append(str(event["params"]["url"]))
    return found


def elsewhere(addresses: list[str], port: int) -> list[str]:
    """Those of them that ask another host or port."""
    own = f"127.0.0.1:{port}"
    return [each for each in addresses if not each.startswith(("data:", "chrome:")) and urlsplit(each).netloc != own]


def tap(driver: Chrome, text: str, below: int = 0) -> None:
    """Touch the first place in the desk where this text stands, or so many rows below it."""
    rows = wait_for(driver, text)
    row, column = next((y, line.index(text)) for y, line in enumerate(rows) if text in line)
    box: dict[str, float] = driver.execute_script(
        "const box = document.querySelector('.xterm-screen').getBoundingClientRect();"
        "return {left: box.left, top: box.top, width: box.width / desk.terminal.cols, "
        "height: box.height / desk.terminal.rows};"
    )
    middle = column + len(text) / 2
    touch(driver, box["left"] + middle * box["width"], box["top"] + (row + below + 0.5) * box["height"])


def tap_for(driver: Chrome, text: str, then: str, below: int = 0) -> None:
    """Touch a text and wait for what comes of it; once more where the row under the finger was just being redrawn."""
    tap(driver, text, below)
    try:
        wait_for(driver, then, AGAIN_S)
    except AssertionError:
        if any(text in row for row in cells(driver)):
            tap(driver, text, below)
        wait_for(driver, then)


def touch(driver: Chrome, x: float, y: float) -> None:
    """A finger down and up."""
    for kind, points in (("touchStart", [{"x": x, "y": y}]), ("touchEnd", [])):
        driver.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def press(driver: Chrome, selector: str) -> None:
    """Touch the middle of an element of the page."""
    x, y = driver.execute_script(
        "const box = document.querySelector(arguments[0]).getBoundingClientRect();"
        "return [box.left + box.width / 2, box.top + box.height / 2];",
        selector,
    )
    touch(driver, x, y)


def type_keys(driver: Chrome, keys: str) -> None:
    """Keys of a keyboard, to whatever has the focus in the page."""
    ActionChains(driver, duration=0).send_keys(keys).perform()
