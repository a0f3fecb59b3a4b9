"""Forwarded headers count from named proxies alone: anybody can write them (RFC 7239, 8.1)."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

import pytest
from starlette.testclient import TestClient

from api.connection.proxies import BehindProxies
from api.hosts import Called
from api.settings import BadSettings, from_environment
from kb.desk.context import RunningShop
from tests.applications import pages_over
from tests.web.browsing import Page, give_passwords

PROXIES = from_environment({"BEFOREFLASH_PROXIES": "10.0.0.2, 10.1.0.0/24 fd00::2"}).proxies
NAMES = frozenset({"testserver"})
FORGED = {"X-Forwarded-For": "127.0.0.1", "X-Forwarded-Proto": "https", "X-Forwarded-Host": "localhost"}


def seen(client: str, *headers: tuple[str, str], proxies: Any = PROXIES) -> tuple[str, str, str]:
    """Address, scheme and host as the application sees them."""
    told: list[Any] = []

    async def app(scope: Any, receive: Any, send: Any) -> None:
        told.append(scope)

    sent = [(name.lower().encode(), value.encode()) for name, value in (("host", "shop"), *headers)]
    scope = {"type": "http", "client": (client, 5), "scheme": "http", "headers": sent}
    with suppress(StopIteration):  # nothing in it waits
        BehindProxies(app, proxies)(scope, None, None).send(None)  # type: ignore[arg-type, attr-defined]
    found = told[0]
    hosts = [value.decode() for name, value in found["headers"] if name == b"host"]
    assert len(hosts) == 1
    return found["client"][0], found["scheme"], hosts[0]


@pytest.mark.parametrize("client", ["192.168.1.9", "127.0.0.1", "10.1.1.0", "fd00::3", "testclient"])
def test_what_others_say_is_not_taken(client: str) -> None:
    assert seen(client, *FORGED.items()) == (client, "http", "shop")
    assert seen("10.0.0.2", *FORGED.items(), proxies=()) == ("10.0.0.2", "http", "shop")


@pytest.mark.parametrize(
    ("said", "asker"),
    [
        ("192.168.1.9", "192.168.1.9"),
        ("127.0.0.1, 192.168.1.9", "192.168.1.9"),  # the first is what the asker made up
        ("127.0.0.1, 192.168.1.9, 10.1.0.7", "192.168.1.9"),  # through two proxies of ours
        ("192.168.1.9:4711", "192.168.1.9"),
        ("[2001:db8::9]:4711", "2001:db8::9"),
        ("2001:db8::9", "2001:db8::9"),
        ("127.0.0.1, unknown", "10.0.0.2"),  # nobody knows: never the one before
        ("10.1.0.7, 10.0.0.2", "10.0.0.2"),
        ("", "10.0.0.2"),
    ],
)
def test_of_a_named_proxy_the_last_that_is_no_proxy_is_the_asker(said: str, asker: str) -> None:
    assert seen("10.0.0.2", ("X-Forwarded-For", said))[0] == asker


def test_a_proxy_says_scheme_and_host_and_the_other_kind_of_header_is_not_read() -> None:
    said = (("X-Forwarded-For", "127.0.0.1"), ("X-Forwarded-For", "192.168.1.9"))
    named = (("X-Forwarded-Proto", "http, https"), ("X-Forwarded-Host", "localhost, memory.example"))
    assert seen("fd00::2", *said, *named) == ("192.168.1.9", "https", "memory.example")
    assert seen("fd00::2", ("Forwarded", "for=127.0.0.1;proto=https;host=localhost"))[1:] == ("http", "shop")
    assert seen("fd00::2", ("X-Forwarded-Proto", "ftp"))[1] == "http"
    both = "::ffff:10.0.0.2"  # RFC 4291, 2.5.5.2: how a socket for both versions writes 10.0.0.2
    assert seen(both, ("X-Forwarded-For", "::ffff:192.168.1.9"))[0] == "192.168.1.9"


def test_the_setting_takes_addresses_and_networks_alone() -> None:
    for wrong in ("proxy.example", "*", "10.0.0.1/8"):
        with pytest.raises(BadSettings, match="BEFOREFLASH_PROXIES"):
            from_environment({"BEFOREFLASH_PROXIES": wrong})


def test_forged_addresses_do_not_fool_the_wait(sqlite_shop: RunningShop) -> None:
    """Twenty wrong tries of an address are free (`waits.FREE_BY_ADDRESS`), whatever it says of itself."""
    give_passwords(sqlite_shop)
    both = pages_over(sqlite_shop)
    for named, address, waits in (
        (False, "10.0.0.2", True),
        (True, "192.168.1.9", True),
        (True, "10.0.0.2", False),
    ):
        both.pages.middleware_stack = None  # type: ignore[attr-defined]
        both.pages.called = Called(NAMES, PROXIES if named else ())  # type: ignore[attr-defined]
        client = TestClient(both, client=(address, 5), base_url="http://testserver")
        page = Page(client.get("/sign-in").text)
        token = page.form("/sign-in").fields["form_token"][0]
        statuses = set()
        for number in range(22):
            typed = {"form_token": token, "name": f"nobody{named}{address}{number}", "password": "wrong"}
            forged = {"X-Forwarded-For": f"198.51.{number}.7"}
            statuses.add(client.post("/sign-in", data=typed, headers=forged).status_code)
        assert (429 in statuses) == waits, (named, address)


def test_cookies_are_secure_where_the_proxy_says_so_and_the_open_way_is_named(
    sqlite_shop: RunningShop,
) -> None:
    both = pages_over(sqlite_shop)
    both.pages.called = Called(NAMES, PROXIES)  # type: ignore[attr-defined]
    give_passwords(sqlite_shop)
    said = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "192.168.1.9"}
    behind = TestClient(both, client=("10.0.0.2", 5)).get("/sign-in", headers=said)
    assert behind.headers["set-cookie"].startswith("__Host-beforeflash_form=")
    assert "; Secure" in behind.headers["set-cookie"]
    assert "not encrypted" not in behind.text
    alone = TestClient(both, client=("192.168.1.9", 5)).get("/sign-in", headers=said)
    assert alone.headers["set-cookie"].startswith("beforeflash_form=")
    assert alone.text.count("This connection is not encrypted") == 1
    here = TestClient(both, client=("127.0.0.1", 5)).get("/sign-in")
    assert "not encrypted" not in here.text
