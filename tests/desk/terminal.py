"""A program in a pseudo-terminal, as a person would run it."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path
from types import TracebackType


class Terminal:
    """Runs Python code in a terminal; its lessons go to a folder of the test."""

    def __init__(self, code: str, state: Path, size: tuple[int, int] = (80, 24), **environment: str) -> None:
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        given = {**os.environ, "TERM": "xterm-256color", "XDG_STATE_HOME": str(state), **environment}
        self._process = subprocess.Popen(
            [sys.executable, "-c", code], stdin=theirs, stdout=theirs, stderr=theirs, env=given, start_new_session=True
        )
        os.close(theirs)
        self.seen = b""
        self._read = 0

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: type[BaseException] | BaseException | TracebackType | None) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait(10)
        os.close(self._ours)

    def resize(self, columns: int, rows: int) -> None:
        """Change the size of the window, as dragging its corner does."""
        fcntl.ioctl(self._ours, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self._process.send_signal(signal.SIGWINCH)

    def type(self, keys: str) -> None:
        """Send keys as a keyboard would."""
        os.write(self._ours, keys.encode())

    @property
    def pid(self) -> int:
        """The id of the program's process."""
        return self._process.pid

    def signal(self, number: int) -> None:
        """Send a signal to the program and wait for its end."""
        self._process.send_signal(number)
        self._process.wait(10)

    def wait_for(self, text: bytes, seconds: float = 20.0) -> None:
        """Read until this text has come since the last wait; fail where it does not."""
        until = time.perf_counter() + seconds
        while text not in self.seen[self._read :]:
            if time.perf_counter() > until or not self._take(0.2):
                raise AssertionError(f"{text!r} did not come; the end was {self.seen[-400:]!r}")
        self._read = self.seen.index(text, self._read) + len(text)

    def ended(self, seconds: float) -> int:
        """Read until the program ends and give its exit code; fail where it does not end."""
        until = time.perf_counter() + seconds
        while self._process.poll() is None and time.perf_counter() < until:
            self._take(0.05)
        assert self._process.poll() is not None, "the program did not end"
        return int(self._process.returncode)

    def rest(self, seconds: float) -> None:
        """Do nothing for so long but read what comes."""
        until = time.perf_counter() + seconds
        while (left := until - time.perf_counter()) > 0 and self._take(left):
            pass

    def _take(self, seconds: float) -> bool:
        """Read what has come; False where the program has closed the terminal."""
        if select.select([self._ours], [], [], seconds)[0]:
            try:
                self.seen += os.read(self._ours, 65536)
            except OSError:
                return False
        return True
