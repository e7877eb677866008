"""Where the desk may be reached: the address it listens at, and the names and pages that may ask for it.

A web page of a stranger can reach a server on this machine through the coach's own browser. So a request must name this
server by a name that no stranger can give it, and a session is opened only for a page that came from here.
"""

from __future__ import annotations

import socket
from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit

from arclore.engine.library.problems import shortened
from arclore.tui.command.exits import WrongUseError

PORTS = range(65536)


def resolved(host: str) -> str:
    """The one address that a host name or address stands for. Raises WrongUseError where it stands for none."""
    try:
        found = socket.getaddrinfo(host, None, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError, ValueError):
        found = []
    if not host or not found:
        raise WrongUseError(f"arclore serve: --host {shortened(host, 60)!r} is no address of this machine")
    return str(found[0][4][0])


def is_loopback(address: str) -> bool:
    """Whether only programs on this machine can reach an address."""
    return ip_address(address.partition("%")[0]).is_loopback


def reachable_at(address: str) -> str:
    """The address that another machine would type: this machine's own where it listens at all of them."""
    if not ip_address(address.partition("%")[0]).is_unspecified:
        return f"[{address}]" if ":" in address else address
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which way a packet would leave
            return str(probe.getsockname()[0])
    except OSError:
        return socket.gethostname()


def own_socket(address: str, port: int) -> socket.socket:
    """Listen there. Raises OSError."""
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    return socket.create_server((address, port), family=family)


def public_origin(url: str) -> str:
    """Scheme and host of the address at which a proxy shows the desk. Raises WrongUseError for anything else."""
    try:
        parts = urlsplit(url)
        _ = parts.port  # raises for a port that is no number
    except ValueError:
        parts = urlsplit("")
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.username or parts.query or parts.fragment:
        raise WrongUseError(
            f"arclore serve: --public-url {shortened(url, 80)!r} is no web address; one reads https://desk.example.org/"
        )
    return f"{parts.scheme}://{parts.netloc}".lower()


@dataclass(frozen=True)
class Door:
    """Who may come in. ``name``: as it was typed after --host; ``public``: scheme and host of a proxy, or ""."""

    name: str
    public: str = ""

    def knows(self, host: str) -> bool:
        """Whether a request's Host header names this server: by number, by a name of its own, or by the proxy's."""
        try:
            named = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        own, proxy = socket.gethostname().lower(), urlsplit(self.public).hostname
        if named in ("localhost", self.name.lower(), own, f"{own}.local", proxy):
            return True
        try:
            ip_address(named)
        except ValueError:
            return False
        return True

    def opens(self, origin: str, host: str) -> bool:
        """Whether a page of this origin may open a session: it came from this very server, or through the proxy."""
        here = {f"http://{host}".lower(), f"https://{host}".lower()}
        return origin.lower() in ({*here, self.public} if self.public else here)
