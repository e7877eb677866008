"""``arclore serve``: the desk in a browser."""

from __future__ import annotations

import argparse
import asyncio
import os
import socket

from arclore.tui.browser.address import PORTS, Door, is_loopback, own_socket, public_origin, reachable_at, resolved
from arclore.tui.command.exits import Exit, WrongUseError
from arclore.tui.command.page import say

OPEN = (
    "warning: anyone who reaches {where} can open a desk, read the lessons and write files as you: no password, "
    "no encryption"
)


def run(given: argparse.Namespace) -> Exit:
    """Serve until interrupted. A port that is taken makes exit code 1."""
    door = Door(given.host, public_origin(given.public_url) if given.public_url else "")
    listening = _listening(given)
    from arclore.tui.browser.server import DeskServer  # brings the web server

    address, port = listening.getsockname()[:2]
    where = given.public_url or f"http://{reachable_at(address)}:{port}/"
    if not is_loopback(address):
        say(OPEN.format(where=where))

    def ready() -> None:
        print(f"The desk is at {where} (Ctrl-C ends it)", flush=True)

    asyncio.run(DeskServer(door).until_stopped(listening, ready))
    return Exit.INTERRUPTED


def _listening(given: argparse.Namespace) -> socket.socket:
    if given.port not in PORTS:
        raise WrongUseError(f"arclore serve: --port {given.port} is no port; one is from {PORTS[0]} to {PORTS[-1]}")
    address = resolved(given.host)
    if not (is_loopback(address) or given.allow_network):
        raise WrongUseError(f"arclore serve: others can reach {given.host}; if that is meant add --allow-network")
    try:
        return own_socket(address, given.port)
    except OSError as problem:
        why = f"{os.strerror(problem.errno or 0)} (choose another with --port or --host)"
        raise OSError(problem.errno, why, f"{given.host}:{given.port}") from None
