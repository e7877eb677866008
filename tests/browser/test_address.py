"""Which addresses are this machine's alone, and which names and pages may ask for a desk."""

from __future__ import annotations

import socket

import pytest
from arclore.tui.browser.address import Door, is_loopback, public_origin, reachable_at, resolved
from arclore.tui.command.exits import WrongUseError

HOST = "127.0.0.1:8017"


@pytest.mark.parametrize(
    ("address", "alone"),
    [("127.0.0.1", True), ("127.9.9.9", True), ("::1", True), ("0.0.0.0", False), ("::", False), ("192.0.2.7", False)],
)
def test_only_loopback_is_this_machines_alone(address: str, alone: bool) -> None:
    """RFC 1122 3.2.1.3 and RFC 4291 2.5.3: 127/8 and ::1 never leave the host."""
    assert is_loopback(address) is alone


@pytest.mark.parametrize("host", ["", "no such host", "x" * 300, "desk.invalid", "1.2.3.4.5"])
def test_a_host_that_stands_for_no_address_is_refused_in_one_line(host: str) -> None:
    with pytest.raises(WrongUseError, match=r"\A[^\n]{1,160}\Z"):
        resolved(host)


@pytest.mark.parametrize(
    ("url", "origin"),
    [
        ("https://desk.example.org/", "https://desk.example.org"),
        ("http://Desk.example:81/x/", "http://desk.example:81"),
    ],
)
def test_the_origin_of_a_public_address_is_its_scheme_and_host(url: str, origin: str) -> None:
    assert public_origin(url) == origin


@pytest.mark.parametrize(
    "url", ["desk.example.org", "ftp://x/", "https://", "https://u:p@x/", "https://x:y/", "https://x/?a", "https://[x/"]
)
def test_anything_else_is_no_public_address(url: str) -> None:
    with pytest.raises(WrongUseError):
        public_origin(url)


@pytest.mark.parametrize("host", [HOST, "localhost:8017", "[::1]:8017", "192.0.2.7:80", socket.gethostname()])
def test_a_server_is_known_by_numbers_and_by_names_of_its_own(host: str) -> None:
    assert Door("127.0.0.1").knows(host)


@pytest.mark.parametrize("host", ["", "stranger.example", "localhost.stranger.example:8017", "127.0.0.1.example", "[x"])
def test_a_name_that_a_stranger_may_own_is_not_known(host: str) -> None:
    """Else a page of a stranger could make its own name stand for this machine and read what a desk shows."""
    assert not Door("127.0.0.1").knows(host)
    assert Door("stranger.example").knows("stranger.example:8017")


def test_a_session_opens_for_pages_of_this_server_alone() -> None:
    door, proxied = Door("127.0.0.1"), Door("127.0.0.1", "https://desk.example.org")
    assert door.opens(f"http://{HOST}", HOST)
    for strange in ("", "null", "http://stranger.example", "http://127.0.0.1:9", f"http://{HOST}.example"):
        assert not door.opens(strange, HOST)
        assert not proxied.opens(strange, HOST)
    assert proxied.opens("https://desk.example.org", HOST)
    assert proxied.knows("desk.example.org")
    assert not proxied.opens("http://desk.example.org", HOST)


def test_all_addresses_at_once_are_told_as_one_that_can_be_typed() -> None:
    assert reachable_at("127.0.0.1") == "127.0.0.1"
    assert reachable_at("::1") == "[::1]"
    assert reachable_at("0.0.0.0") not in ("0.0.0.0", "")
