"""One tab's desk as a child of the server: started without a shell, and ended for certain."""

from __future__ import annotations

import asyncio
import contextlib
import sys
from asyncio.subprocess import PIPE, Process

from textual_serve.app_service import AppService

TAB = (sys.executable, "-P", "-m", "arclore.tui.browser.tab")
SCREEN = {
    "TEXTUAL_DRIVER": "arclore.tui.browser.driver:TabDriver",
    "PYTHONUTF8": "1",
    "LC_ALL": "C.UTF-8",
    "TERM": "xterm-256color",
}
"""What a tab shows, whatever the terminal of the server can."""
GRACE_S = 5.0  # that a desk has to end by itself
LARGEST = 500  # columns or rows of a tab


class Session(AppService):
    """A desk and the socket of its tab: when one ends, so does the other."""

    def _build_environment(self, width: int = 80, height: int = 24) -> dict[str, str]:
        size = bounded(width), bounded(height)
        return {**super()._build_environment(*size), **SCREEN}

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        """In a session of its own: Ctrl-C in the server's terminal reaches the server alone, which ends its desks."""
        self._process = process = await asyncio.create_subprocess_exec(
            *TAB, stdin=PIPE, stdout=PIPE, env=self._build_environment(width, height), start_new_session=True
        )
        process.stderr = asyncio.StreamReader()  # its errors go to the server's own; there is nothing to read
        process.stderr.feed_eof()
        self._stdin = process.stdin
        return process

    async def set_terminal_size(self, width: int, height: int) -> None:
        await super().set_terminal_size(bounded(width), bounded(height))

    async def run(self) -> None:
        await super().run()
        await self.remote_close()

    async def stop(self) -> None:
        """Ask the desk to end, and see to it that it does."""
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(super().stop(), GRACE_S)
        if self._process is not None:
            try:
                await asyncio.wait_for(self._process.wait(), GRACE_S)
            except TimeoutError:
                self._process.kill()
                await self._process.wait()


def bounded(size: int) -> int:
    """A number of columns or rows that a screen can have."""
    return min(max(int(size), 1), LARGEST)
