"""The screen of a desk in a browser: the framework's own, which in addition never outlives the server."""

from __future__ import annotations

import contextlib

from textual.drivers.web_driver import WebDriver
from textual.messages import ExitApp


class TabDriver(WebDriver):
    """Ends the desk when nothing more can come from the server; every answer is on disk already."""

    def run_input_thread(self) -> None:
        super().run_input_thread()
        with contextlib.suppress(RuntimeError):  # the app is gone already
            self._app.post_message(ExitApp())

    def stop_application_mode(self) -> None:
        with contextlib.suppress(OSError):  # nobody listens any more
            super().stop_application_mode()
