"""Work beside the screen in a thread that never holds up leaving.

The framework's own thread workers are waited for when the program ends; a ranking of a few seconds would keep a coach
who has quit. A daemon thread is let go.
"""

from __future__ import annotations

import asyncio
import contextlib
import threading
from collections.abc import Callable


async def in_background(work: Callable[[], None]) -> None:
    """Run ``work`` in a thread and wait for its end. It must report by messages and catch its own errors."""
    loop = asyncio.get_running_loop()
    ended = asyncio.Event()

    def body() -> None:
        with contextlib.suppress(RuntimeError):  # the loop may be gone when work ends after the app
            try:
                work()
            finally:
                loop.call_soon_threadsafe(ended.set)

    threading.Thread(target=body, daemon=True).start()
    await ended.wait()
