"""HTTPS alone: what goes without encryption, what browsers are told, and what is refused before it starts."""

from __future__ import annotations

from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from api import cli
from api.connection.https_only import refuse_what_is_open
from api.hosts import Called
from api.settings import BadSettings, ProcessSettings, from_environment
from kb.desk.context import RunningShop
from tests.applications import pages_over
from tests.factories import headers_of
from tests.web.browsing import PASSWORD, Page, give_passwords
from web.app import SideBySide

PROXY = from_environment({"BEFOREFLASH_PROXIES": "127.0.0.1"}).proxies
ALONE = Called(frozenset({"memory.example", "localhost"}), PROXY, https_only=True)
YEAR = 365 * 24 * 60 * 60


def over(shop: RunningShop, called: Called) -> SideBySide:
    both = pages_over(shop)
    both.pages.called = both.interface.called = called  # type: ignore[attr-defined]
    return both


def through_the_proxy(both: SideBySide, scheme: str, host: str = "memory.example") -> TestClient:
    """As a proxy on this computer hands it on, for a tablet."""
    said = {"X-Forwarded-Proto": scheme, "X-Forwarded-Host": host, "X-Forwarded-For": "192.168.1.9"}
    return TestClient(both, base_url=f"{scheme}://{host}", client=("127.0.0.1", 5), headers=said)


def directly(both: SideBySide, address: str = "192.168.1.9") -> TestClient:
    return TestClient(both, base_url="http://memory.example", client=(address, 5), follow_redirects=False)


def test_without_encryption_pages_lead_on_and_nothing_is_taken_or_given(sqlite_shop: RunningShop) -> None:
    both = over(sqlite_shop, ALONE)
    token = headers_of(sqlite_shop, "tech")
    for client in (directly(both), through_the_proxy(both, "http"), directly(both, "127.0.0.1")):
        client.follow_redirects = False
        old = client.get("/concerns/5%2Fx?line=A&next=//elsewhere.example")
        there = "https://memory.example/concerns/5%2Fx?line=A&next=//elsewhere.example"
        assert (old.status_code, old.headers["location"]) == (307, there)
        assert client.get("//elsewhere.example/").headers["location"].startswith("https://memory.example/")
        refused = [client.post("/sign-in", data={"name": "owner", "password": PASSWORD})]
        refused += [client.get("/api/me", headers=token), client.post("/api/notes", headers=token, json={})]
        refused += [client.request(one, "/me") for one in ("PUT", "DELETE", "OPTIONS")]
        assert {one.status_code for one in refused} == {403}
        assert "begins with https" in refused[1].json()["error"]["message"]
        for one in (old, *refused):
            assert not {"set-cookie", "strict-transport-security"} & set(one.headers)
        assert client.get("/notes", headers={"Host": "elsewhere.example"}).status_code in {307, 400}
    silent = directly(both, "127.0.0.1").get("/notes", headers={"X-Forwarded-For": "192.168.1.9"})
    assert (silent.status_code, "X-Forwarded-Proto" in silent.text) == (403, True)
    assert directly(both).get("/healthz").status_code == 307
    assert directly(both, "127.0.0.1").get("/readyz").json()["ready"] is True
    through = TestClient(both, base_url="http://memory.example", client=("192.168.1.9", 5))
    forged = through.get("/readyz", headers={"X-Forwarded-For": "127.0.0.1", "X-Forwarded-Proto": "https"})
    assert str(forged.url).startswith("https://")


def test_under_https_every_cookie_is_bound_to_it_and_every_answer_says_a_year(
    sqlite_shop: RunningShop,
) -> None:
    give_passwords(sqlite_shop)
    client = through_the_proxy(over(sqlite_shop, ALONE), "https")
    form = client.get("/sign-in")
    token = Page(form.text).form("/sign-in").fields["form_token"][0]
    typed = {"form_token": token, "name": "lead", "password": PASSWORD}
    came = client.post("/sign-in", data=typed, follow_redirects=False)
    shared = client.post("/sign-out", data=Page(client.get("/notes").text).form("/sign-out").fields)
    given = [one for answer in (form, came, *shared.history) for one in answer.headers.get_list("set-cookie")]
    names = {one.partition("=")[0] for one in given}
    assert {f"__Host-beforeflash_{name}" for name in ("form", "session", "device")} <= names
    for cookie in given:
        assert cookie.startswith("__Host-"), cookie
        assert {"Secure", "HttpOnly", "Path=/"} <= set(cookie.split("; ")), cookie
        assert "Domain" not in cookie
    answers = [form, came, client.get("/nowhere"), client.get("/api/me"), client.request("TRACE", "/")]
    answers += [client.get("/healthz"), client.get("/notes", headers={"X-Forwarded-Host": "other.example"})]
    for one in answers:
        age, subdomains = one.headers["strict-transport-security"].split("; ")
        assert int(age.removeprefix("max-age=")) >= YEAR
        assert subdomains == "includeSubDomains"


def told(shop: RunningShop, called: Called, host: str = "memory.example") -> Any:
    both = over(shop, replace(called, names=ALONE.names))
    with TestClient(both, base_url=f"https://{host}", client=("192.168.1.9", 5)) as client:
        return client.get("/sign-in").headers.get("strict-transport-security")


def test_who_goes_back_has_browsers_forget_it_and_other_programs_of_this_computer_are_left_alone(
    sqlite_shop: RunningShop,
) -> None:
    own = Called(https=True, https_only=True)
    assert told(sqlite_shop, own) == "max-age=31536000; includeSubDomains"
    assert told(sqlite_shop, own, "localhost") is None
    assert told(sqlite_shop, replace(own, https_only=False)) == "max-age=0"
    assert told(sqlite_shop, Called(proxies=PROXY)) is None, "a proxy may say it itself"


TLS = "sslmode=verify-full&sslrootcert=ca.pem"


@pytest.mark.parametrize(
    ("settings", "said"),
    [
        ({}, "add --https"),
        ({"HTTPS": "yes"}, ""),
        ({"PROXIES": "127.0.0.1 ::1"}, ""),
        ({"PROXIES": "127.0.0.1, 192.168.1.5"}, "names 192.168.1.5/32, not this computer"),
        ({"PROXIES": "192.168.1.5", "HTTPS": "yes"}, ""),
        ({"DATABASE_URL": "postgresql://beforeflash@db.shop.lan/shop"}, "at db.shop.lan would"),
        ({"DATABASE_URL": "postgresql://beforeflash@192.168.1.4/shop?sslmode=require"}, "at 192.168.1.4"),
        ({"DATABASE_URL": "postgresql:///shop?host=localhost&host=db2.lan&sslmode=verify-ca"}, "at db2.lan"),
        ({"DATABASE_URL": "postgresql://127.0.0.1/shop?hostaddr=192.168.1.4"}, "at 192.168.1.4"),
        ({"DATABASE_URL": "postgresql:///shop?service=shop"}, "at shop would"),
        ({"DATABASE_URL": f"postgresql://beforeflash@db.shop.lan/shop?{TLS}"}, ""),
        ({"DATABASE_URL": "postgresql://beforeflash@localhost/shop"}, ""),
        ({"DATABASE_URL": "postgresql:///shop?host=/run/postgresql"}, ""),
    ],
)
def test_what_would_go_unencrypted_is_refused_in_a_sentence(
    settings: dict[str, str], said: str, tmp_path: Path
) -> None:
    usual = {"DATA": str(tmp_path), "HTTPS_ONLY": "yes"} | (
        {"HTTPS": "yes"} if "DATABASE_URL" in settings else {}
    )
    process = from_environment({f"BEFOREFLASH_{name}": one for name, one in (usual | settings).items()})
    refuse_what_is_open(replace(process, https_only=False), process.shop_url)
    with pytest.raises(BadSettings, match=said) if said else nullcontext():
        refuse_what_is_open(process, process.shop_url)


def test_libpqs_own_settings_count_where_the_address_is_silent(monkeypatch: pytest.MonkeyPatch) -> None:
    process = ProcessSettings(Path("nowhere"), https=True, https_only=True)
    monkeypatch.setenv("PGHOST", "db.shop.lan")
    with pytest.raises(BadSettings, match="sslmode=verify-full"):
        refuse_what_is_open(process, "postgresql:///shop")
    monkeypatch.setenv("PGSSLMODE", "verify-full")
    refuse_what_is_open(process, "postgresql:///shop")


@pytest.mark.parametrize("command", ["serve", "demo"])
def test_the_commands_refuse_it_before_they_make_anything(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BEFOREFLASH_DATA", str(tmp_path))
    monkeypatch.delenv("BEFOREFLASH_DATABASE_URL", raising=False)
    assert cli.main([command, "--https-only", "--port", "8999"]) == 1
    assert "HTTPS alone needs HTTPS" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
