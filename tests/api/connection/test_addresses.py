"""What `serve` prints for tablets, and its code read back by a reader of QR codes that is not ours."""

from __future__ import annotations

import io

import numpy as np
import pytest
import zxingcpp
from starlette.requests import Request

from api.commands.announcing import for_tablets
from api.connection import addresses, qr, reach
from api.connection.addresses import in_order, reached_by, url_of
from api.security import address
from api.settings import ProcessSettings, from_environment
from kb.desk.context import utc_now

FOUND = ["127.0.0.1", "10.8.0.1", "192.168.1.20", "169.254.7.7", "::1", "fe80::1%eth0", "fd00::2", "not one"]


def test_the_address_of_the_default_route_comes_first_and_none_that_others_cannot_reach() -> None:
    assert in_order(FOUND, 4, "192.168.1.20") == ("192.168.1.20", "10.8.0.1")
    assert in_order(FOUND, 4, "") == ("10.8.0.1", "192.168.1.20")
    assert in_order(FOUND, 6, "fd00::2") == ("fd00::2",)
    assert url_of("https", "fd00::2", 8443) == "https://[fd00::2]:8443/"  # RFC 3986, 3.2.2


def test_who_asks_is_known_again_however_the_socket_writes_their_address() -> None:
    """RFC 4291, 2.5.5.2: ::ffff:192.168.1.9 is 192.168.1.9."""
    asked = {
        "192.168.1.9": "192.168.1.9",
        "::ffff:192.168.1.9": "192.168.1.9",
        "fd00::2": "fd00::2",
        "shop": "shop",
    }
    for client, known_by in asked.items():
        assert address(Request({"type": "http", "client": (client, 5), "headers": []})) == known_by


def test_what_listens_at_loopback_is_reached_by_nobody_else(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [reached_by(one) for one in ("127.0.0.1", "localhost", "::1")] == [()] * 3
    assert [reached_by(one) for one in ("192.168.1.20", "shop-pc")] == [("192.168.1.20",), ("shop-pc",)]
    monkeypatch.setattr(addresses, "_of_this_computer", lambda: FOUND)
    assert set(reached_by("0.0.0.0")) == {"10.8.0.1", "192.168.1.20"}  # noqa: S104  # nobody listens


def test_serve_says_the_address_first_and_the_way_without_encryption_has_no_fingerprint(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(reach, "reached_by", lambda _host: ("192.168.1.20", "10.8.0.1"))
    process: ProcessSettings = from_environment({"BEFOREFLASH_PORT": "8000"})
    assert list(for_tablets(reach.reach(process, utc_now()))) == [
        "Tablets reach it at http://192.168.1.20:8000/",
        "  or, in another network of this computer, at http://10.8.0.1:8000/",
    ]


@pytest.mark.parametrize("address", ["http://192.168.1.20:8000/", "http://[fd00::2]:8000/"])
def test_the_code_on_the_terminal_reads_as_the_address(address: str) -> None:
    """Each half of a character is a module, bright where it is filled; black on white for the reader."""
    lines = qr.in_blocks(address).splitlines()
    halves = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255), " ": (0, 0)}
    rows = [[halves[one][half] for one in line] for line in lines for half in (0, 1)]
    wide = max(map(len, rows))
    drawn = np.array([row + [255] * (wide - len(row)) for row in rows], dtype=np.uint8)
    assert [one.text for one in zxingcpp.read_barcodes(np.kron(drawn, np.ones((4, 4), np.uint8)))] == [
        address
    ]


def test_no_code_where_nobody_looks_or_the_letters_are_missing() -> None:
    class Terminal(io.TextIOWrapper):
        def isatty(self) -> bool:
            return True

    assert qr.on_terminal("http://shop-pc:8000/", io.StringIO()) == ""
    assert qr.on_terminal("http://shop-pc:8000/", Terminal(io.BytesIO(), encoding="cp1252")) == ""
    assert qr.on_terminal("http://shop-pc:8000/", Terminal(io.BytesIO(), encoding="utf-8"))
