"""The desk in a browser: one page of our own, one desk a tab, and nothing asked of any other host."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import socket
from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

import textual_serve
from aiohttp import WSCloseCode, web
from arclore.tui.browser.address import Door
from arclore.tui.browser.session import GRACE_S, Session
from arclore.tui.command.page import say
from textual_serve.server import Server, to_int

PAGE = Path(__file__).parent / "page"
FRONT = Path(textual_serve.__file__).parent / "static"
MOST_TABS = 12  # each is a program with a library of its own in memory
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
        "img-src 'self' data:; connect-src 'self' {socket}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-cache",
}
Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]


class DeskServer(Server):
    """Serves the page and its desks until it is told to stop."""

    def __init__(self, door: Door) -> None:
        super().__init__("arclore", statics_path=FRONT, templates_path=PAGE)
        self.door = door
        self.tabs: set[web.WebSocketResponse] = set()

    async def until_stopped(self, listening: socket.socket, ready: Callable[[], None]) -> None:
        """Serve on this socket until SIGINT or SIGTERM; then every desk is ended first."""
        logging.disable(logging.CRITICAL)  # what libraries log may hold what was typed; errors are told below
        stop = asyncio.Event()
        with contextlib.suppress(NotImplementedError):  # no signals here: Ctrl+C then ends the loop itself
            for name in (signal.SIGINT, signal.SIGTERM):
                asyncio.get_running_loop().add_signal_handler(name, stop.set)
        runner = web.AppRunner(await self._make_app(), access_log=None, shutdown_timeout=2 * GRACE_S)
        await runner.setup()
        try:
            await web.SockSite(runner, listening).start()
            ready()
            await stop.wait()
        finally:
            await runner.cleanup()

    async def _make_app(self) -> web.Application:
        app = web.Application(middlewares=[self._guard])
        app.add_routes(
            [
                web.get("/", self._page),
                web.get("/ws", self.handle_websocket),
                web.get("/download/{key}", self.handle_download),
                web.static("/static", FRONT),
                web.static("/page", PAGE),
            ]
        )
        app.on_response_prepare.append(self._add_headers)
        app.on_shutdown.append(self._close_tabs)
        return app

    @web.middleware
    async def _guard(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Refuse a request under a strange name; tell an error by its kind alone."""
        if not self.door.knows(request.host):
            raise web.HTTPForbidden(text="This server is not known by that name; see: arclore serve --help\n")
        try:
            return await handler(request)
        except (web.HTTPException, ConnectionError, asyncio.CancelledError):
            raise
        except Exception as problem:
            say(f"a request failed ({type(problem).__name__}); the desks go on")
            raise web.HTTPInternalServerError from None

    async def _page(self, request: web.Request) -> web.StreamResponse:
        if len(self.tabs) >= MOST_TABS:
            raise web.HTTPServiceUnavailable(text=f"{MOST_TABS} desks are open already: close a tab and load again.\n")
        return web.FileResponse(PAGE / "index.html")

    async def handle_websocket(self, request: web.Request) -> web.WebSocketResponse:
        """One tab: its desk runs as long as its socket is open."""
        if not self.door.opens(request.headers.get("Origin", ""), request.host) or len(self.tabs) >= MOST_TABS:
            raise web.HTTPForbidden
        tab = web.WebSocketResponse(heartbeat=15)
        await tab.prepare(request)
        session = Session(
            "arclore",
            write_bytes=tab.send_bytes,
            write_str=tab.send_str,
            close=partial(_closed, tab),
            download_manager=self.download_manager,
        )
        self.tabs.add(tab)
        try:
            await session.start(*(to_int(request.query.get(side, ""), 80) for side in ("width", "height")))
            await self._process_messages(tab, session)
        except (AssertionError, LookupError, TypeError, ValueError):
            await tab.close(code=WSCloseCode.UNSUPPORTED_DATA)
        finally:
            self.tabs.discard(tab)
            await asyncio.shield(session.stop())
        return tab

    async def _add_headers(self, request: web.Request, response: web.StreamResponse) -> None:
        """The page may ask nothing of any other host; its socket is named for browsers to which 'self' is no socket."""
        host = urlsplit(self.door.public).netloc or request.host
        for name, value in HEADERS.items():
            response.headers[name] = value.format(socket=f"ws://{host} wss://{host}")

    async def _close_tabs(self, _: web.Application) -> None:
        await asyncio.gather(*(tab.close(code=WSCloseCode.GOING_AWAY) for tab in set(self.tabs)))


async def _closed(tab: web.WebSocketResponse) -> None:
    await tab.close()
