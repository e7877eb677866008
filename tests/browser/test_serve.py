"""``arclore serve`` without a browser: what it refuses, how it ends, and what its log never holds."""

from __future__ import annotations

import asyncio
import json
import signal
import socket
import sys
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import aiohttp
import pytest
from arclore.tui.command import main
from arclore.tui.command.exits import Exit

from tests.browser.browsing import Served
from tests.command.running import program

WORDS = "zebra stripes"
TAB = """
from arclore.tui.browser.tab import report_without_words
report_without_words()
from arclore.tui.desk import run
from arclore.tui.messages import SafetyReady
from arclore.tui.screens.lesson import LessonScreen
def load(self):
    self.post_message(SafetyReady(self.thinker.safety()))
LessonScreen._load = load
"""
"""A tab that asks the safety questions and reads no library: nothing here gets farther."""
BREAKS = f"""
def choose(self, index):
    words = "{WORDS}"
    raise ValueError(words)
LessonScreen.action_choose = choose
"""


def serving(state: Path, of_tab: str = "", of_server: str = "") -> Served:
    """A server whose tabs are light, with further code for them and for itself."""
    code = (
        "import sys\nimport arclore.tui.browser.server as server, arclore.tui.browser.session as session\n"
        "from arclore.tui.command import main\n"
        f"session.TAB = (sys.executable, '-c', {f'{TAB}{of_tab}run()'!r})\n{of_server}\nsys.exit(main(sys.argv[1:]))"
    )
    return Served(state, code=code)


class Tab:
    """One tab without a page: what the desk wrote, and keys for it."""

    def __init__(self, link: aiohttp.ClientWebSocketResponse) -> None:
        self.link = link
        self.seen = b""

    async def type(self, keys: str) -> None:
        await self.link.send_json(["stdin", keys])

    async def wait_for(self, text: str, seconds: float = 20.0) -> None:
        """Read until this text has come since the last wait."""
        async with asyncio.timeout(seconds):
            while text.encode() not in self.seen:
                message = await self.link.receive()
                assert message.type == aiohttp.WSMsgType.BINARY, message
                self.seen += message.data
        self.seen = b""


@asynccontextmanager
async def tab(served: Served) -> AsyncIterator[Tab]:
    """Open a tab as the page does."""
    async with aiohttp.ClientSession() as client:
        link = await client.ws_connect(f"{served.address}ws?width=80&height=24", origin=served.address.rstrip("/"))
        async with link:
            yield Tab(link)


async def until(true: Callable[[], bool], seconds: float = 15.0) -> None:
    """Wait for something that comes about by itself."""
    end = time.perf_counter() + seconds
    while not true():
        assert time.perf_counter() < end
        await asyncio.sleep(0.05)


@pytest.mark.parametrize(
    ("flags", "told"),
    [
        (["--port", "70000"], "--port 70000"),
        (["--port", "x"], "not a whole number"),
        (["--host", "desk.invalid"], "desk.invalid"),
        (["--host", "0.0.0.0"], "--allow-network"),
        (["--public-url", "desk"], "https://"),
        (["--prot", "1"], "nearest: --port"),
    ],
)
def test_a_wrong_flag_gets_one_line_and_opens_nothing(
    flags: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", *flags]) == Exit.WRONG_USE
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert told in said.err


def test_a_port_that_is_taken_gets_one_line() -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        done = program("serve", "--port", str(other.getsockname()[1]))
    assert (done.returncode, done.stdout, done.stderr.count("\n")) == (1, "", 1)
    assert "--port" in done.stderr


def test_an_open_door_is_told_in_one_line(tmp_path: Path) -> None:
    with Served(tmp_path, "--host", "0.0.0.0", "--allow-network") as served:
        code, told = served.stop()
    assert code == 130
    assert told.count("\n") == 1
    assert "no password" in told


async def test_strange_names_and_strange_pages_get_nothing(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with aiohttp.ClientSession() as client:
            async with client.get(served.address) as page:
                assert page.status == 200
                rules = page.headers["Content-Security-Policy"]
                assert "default-src 'none'" in rules and "script-src 'self';" in rules
            for path, headers in (
                ("", {"Host": "stranger.example"}),
                ("ws", {"Origin": "http://stranger.example"}),
                ("ws", {}),
                ("static/", {}),
                ("page/", {}),
            ):
                upgrade = {"Upgrade": "websocket", "Connection": "Upgrade", "Sec-WebSocket-Version": "13"}
                key = {"Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="}  # RFC 6455 section 1.3
                async with client.get(served.address + path, headers={**upgrade, **key, **headers}) as answer:
                    assert answer.status == 403, path
        assert served.children() == []
        assert served.stop() == (130, "")


async def test_each_tab_is_a_desk_that_ends_with_it(tmp_path: Path) -> None:
    lessons = tmp_path / "arclore" / "lessons"
    with serving(tmp_path) as served:
        async with tab(served) as one:
            await one.wait_for("painful")
            await one.type("1")
            await one.wait_for("numbness")
            async with tab(served) as two:
                await two.wait_for("1 answer")
                await two.type("n")
                await two.wait_for("painful")
                await two.type("1")
                await two.wait_for("numbness")
                await two.type("1")
                await two.wait_for("chest")
                assert len(served.children()) == 2
            await until(lambda: len(served.children()) == 1)
            await one.type("1")
            await one.wait_for("chest")
        done = sorted(json.loads(path.read_text(encoding="utf-8"))["done"] for path in lessons.glob("*.json"))
        assert done == [2, 2]
        await until(lambda: not served.children())
        assert served.stop() == (130, "")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
async def test_no_desk_outlives_the_server(tmp_path: Path, number: signal.Signals) -> None:
    with serving(tmp_path) as served:
        async with tab(served) as one:
            await one.wait_for("painful")
            await one.type("1")
            await one.wait_for("numbness")
            (child,) = served.children()
            code, told = await asyncio.to_thread(served.stop, number)
            assert (code, told) == (-9 if number == signal.SIGKILL else 130, "")
            await until(lambda: not Path(f"/proc/{child}/cmdline").exists())
    (path,) = (tmp_path / "arclore" / "lessons").glob("*.json")
    assert json.loads(path.read_text(encoding="utf-8"))["done"] == 1


async def test_a_message_that_makes_no_sense_closes_its_tab_alone(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        async with tab(served) as one:
            await one.wait_for("painful")
            for nonsense in ("[", f'["resize", {{"width": "{WORDS}", "height": 1}}]'):
                async with tab(served) as two:
                    await two.link.send_str(nonsense)
                    async with asyncio.timeout(15):
                        while (await two.link.receive()).type == aiohttp.WSMsgType.BINARY:
                            pass
                    assert two.link.closed
            await one.type("1")
            await one.wait_for("numbness")
        assert served.stop() == (130, "")


async def test_the_log_tells_a_crash_without_a_students_words(tmp_path: Path) -> None:
    with serving(tmp_path, of_tab=BREAKS) as served:
        async with tab(served) as one:
            await one.wait_for("painful")
            await one.type("1")
            async with asyncio.timeout(15):
                while (await one.link.receive()).type == aiohttp.WSMsgType.BINARY:
                    pass
        await until(lambda: not served.children())
        code, told = served.stop()
    assert code == 130
    assert "ValueError" in told and "choose" in told
    assert WORDS not in told
    assert sys.executable not in told


async def test_a_tab_too_many_is_told_so_and_opens_nothing(tmp_path: Path) -> None:
    with serving(tmp_path, of_server="server.MOST_TABS = 1") as served:
        async with tab(served) as one, aiohttp.ClientSession() as client:
            await one.wait_for("painful")
            async with client.get(served.address) as page:
                assert (page.status, "close a tab" in await page.text()) == (503, True)
            with pytest.raises(aiohttp.WSServerHandshakeError):
                async with tab(served):
                    pass
            assert len(served.children()) == 1
        assert served.stop() == (130, "")
