"""Who gets in, what a form must carry, and what the browser is told."""

from __future__ import annotations

import re
import sqlite3

import pytest
from sqlalchemy.exc import OperationalError

from kb.desk.bay.handover import concern_list
from kb.desk.context import RunningShop
from tests.web.browsing import Visitor
from tests.web.conftest import SignIn
from tests.who_may.test_who_may import is_call, routes


def filled(path: str) -> str:
    return re.sub(r"\{[^}]+\}", "1", path)


def test_no_post_is_taken_without_the_token_of_its_page(bay: RunningShop, signed_in: SignIn) -> None:
    posts = [filled(path) for method, path, _ in routes(bay) if method == "POST" and not is_call(path)]
    assert len(posts) > 30
    owner, stranger = signed_in("owner"), Visitor(bay)
    for path in posts:
        assert owner.client.post(path, data={"name": "x"}).status_code == 403, path
        assert owner.client.post(path, data={"form_token": "wrong"}).status_code == 403, path
        assert stranger.client.post(path, data={"name": "x"}).status_code in {401, 403}, path


def test_a_stranger_ends_at_the_first_run_and_later_at_the_sign_in(
    anybody: Visitor, signed_in: SignIn
) -> None:
    assert "Set up your shop" in anybody.see("/").text
    signed_in("owner")
    assert "Sign in" in anybody.see("/").text


def test_after_signing_in_one_is_where_one_wanted_to_go_but_never_on_another_site(
    bay: RunningShop, signed_in: SignIn
) -> None:
    signed_in("tech")
    for wanted, there in (
        ("/notes", "/notes"),
        ("https://elsewhere.example/", "/concerns"),
        ("//elsewhere.example/", "/concerns"),
        ("/\\elsewhere.example/", "/concerns"),
    ):
        visitor = Visitor(bay)
        typed = {"name": "tech", "password": "a long enough password", "next": wanted}
        visitor.send("/sign-in", "/sign-in", typed)
        assert visitor.answer is not None
        assert visitor.answer.url.path == there


def test_a_browser_may_load_and_run_only_our_own_files(bay: RunningShop) -> None:
    answer = Visitor(bay).client.get("/sign-in")
    said = answer.headers["content-security-policy"].split(";")
    policy = dict(part.strip().partition(" ")[::2] for part in said)
    assert policy["default-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["object-src"] == policy["base-uri"] == "'none'"
    assert not [part for part in said if "unsafe" in part]
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cache-control"] == "no-store"


def test_static_files_may_be_kept_for_a_year_because_their_address_names_their_content(
    bay: RunningShop,
) -> None:
    visitor = Visitor(bay)
    addresses = re.findall(r'(?:href|src)="(/static/[^"]+)"', visitor.see("/sign-in").html)
    assert {address.rsplit(".", 1)[1] for address in addresses} == {"css", "js", "svg"}
    for address in addresses:
        answer = visitor.client.get(address)
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
        stale = re.sub(r"/static/[^/]+/", "/static/0/", address)
        assert visitor.client.get(stale).headers["cache-control"] == "no-store"


def test_the_session_cookie_is_kept_from_scripts_and_other_sites(bay: RunningShop, signed_in: SignIn) -> None:
    signed_in("tech")
    visitor = Visitor(bay)
    page = visitor.see("/sign-in")
    typed = {"name": ["tech"], "password": ["a long enough password"]}
    form = page.form("/sign-in").fields | typed
    answer = visitor.client.post("/sign-in", data=form, follow_redirects=False)
    cookie = next(
        one for one in answer.headers.get_list("set-cookie") if one.startswith("beforeflash_session")
    )
    assert "httponly" in cookie.lower()
    assert "samesite=lax" in cookie.lower()


def test_wrong_addresses_and_unknown_things_get_a_page_that_says_so(
    signed_in: SignIn, bay: RunningShop
) -> None:
    tech = signed_in("tech")
    for path in ("/nowhere", "/concerns/99", "/notes/99", "/concerns/abc", "/concerns/99/prep"):
        assert "Nothing here" in tech.see(path, expect=404).text


def test_a_page_of_the_interface_stays_json(anybody: Visitor) -> None:
    answer = anybody.client.get("/api/nowhere")
    assert answer.status_code == 404
    assert answer.json()["error"]["code"] == "not_found"


def test_codes_and_vehicles_are_suggested_from_three_characters_on(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech").client
    assert [one["value"] for one in tech.get("/suggest/codes?q=p01").json()] == ["P0171"]
    assert tech.get("/suggest/codes?q=p0").json() == tech.get("/suggest/codes?q=%25%25%25").json() == []
    assert tech.get("/suggest/vehicles?q=zz").json() == []


def test_a_database_that_is_held_reads_as_busy_and_a_broken_one_as_our_fault(
    bay: RunningShop, signed_in: SignIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    tech = signed_in("tech")
    for said, status in (("database is locked", 503), ("no such column: x", 500)):

        def fail(*_: object, said: str = said, **__: object) -> None:
            raise OperationalError("SELECT 1", {}, sqlite3.OperationalError(said))

        monkeypatch.setattr(concern_list, "list_concerns", fail)
        assert tech.client.get("/concerns").status_code == status
