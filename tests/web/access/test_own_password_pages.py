"""Guessing, waiting and changing passwords as people meet them, without a script, and by the interface."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from api import security
from kb.desk.access import accounts
from kb.desk.context import CONSOLE, RunningShop
from tests.applications import pages_over
from tests.conftest import StandingClock
from tests.factories import actor_of, headers_of
from tests.web.browsing import PASSWORD, Visitor

NEW = "spring under bench four"


def test_three_wrong_passwords_wait_a_minute_that_is_counted_down_and_the_owner_reads_of_them(
    sqlite_shop: RunningShop, clock: StandingClock
) -> None:
    owner, known, guesser = (Visitor(sqlite_shop) for _ in range(3))
    owner.sign_in("owner")
    known.sign_in("tech")
    known.send("/concerns", "/sign-out")
    for name in ("tech", "nobody.here"):
        wrong = {"name": name, "password": "a guess"}
        said = [guesser.send("/sign-in", "/sign-in", wrong, expect=401).text for _ in range(3)]
        assert [text.count("Name and password do not match") for text in said] == [1, 1, 1]
        assert "wait 1 minute" in said[2]
        assert "wait" not in said[1].lower()
        assert "1:00" in said[2]
        clock.move(seconds=20)
        waits = guesser.send("/sign-in", "/sign-in", wrong | {"password": PASSWORD}, expect=429)
        assert "Too many wrong tries. Wait 40 seconds" in waits.text
        assert "0:40" in waits.text
        (again,) = [tag["content"] for tag in waits.all("meta") if tag.get("http-equiv") == "refresh"]
        seconds, _, address = again.partition(";url=")
        clock.move(seconds=int(seconds))
        assert "0:35" in guesser.see(address).text
        clock.move(seconds=40)
        assert "You can try again now" in guesser.see(address).text
        clock.move(days=1)
    for _ in range(3):
        guesser.send("/sign-in", "/sign-in", {"name": "tech", "password": "a guess"}, expect=401)
    known.send("/sign-in", "/sign-in", {"name": "tech", "password": PASSWORD})
    assert "6 wrong tries for tech in the last 7 days" in owner.see("/shop/people").text
    guesser.see("/sign-in?until=9e99", expect=404)


def test_what_was_wrong_with_one_persons_form_stands_in_it_and_not_in_that_of_somebody_new(
    sqlite_shop: RunningShop,
) -> None:
    owner, who = Visitor(sqlite_shop).sign_in("owner"), actor_of(sqlite_shop, "tech").user_id
    theirs, typed = f"/shop/people/{who}", {"display_name": "Ines R.", "role": "lead", "password": "short"}
    page = owner.send("/shop/people", theirs, typed, expect=422)
    mine, anew = page.form(theirs), page.form("/shop/people")
    assert (mine.fields["display_name"], mine.fields["role"]) == (["Ines R."], ["lead"])
    assert (anew.fields["display_name"], anew.fields["role"]) == ([""], ["tech"])
    theirs_alone = page.html.split(f'<details id="u{who}"')[1].split("</details>")[0]
    assert theirs_alone.startswith(" open>")
    assert "12 characters or more" in theirs_alone
    assert 'aria-invalid="true"' not in page.html.split('id="add"')[1]
    for wrong in ({"role": "boss"}, {"version": "many"}):  # nothing is wrong with the password
        assert (
            "12 characters or more"
            not in owner.send("/shop/people", theirs, wrong, expect=422)
            .html.split("<details id=")[1]
            .partition('id="add"')[0]
        )


def test_a_first_password_is_made_up_shown_once_and_changed_before_all_else(
    sqlite_shop: RunningShop, sqlite_client: TestClient
) -> None:
    owner = Visitor(sqlite_shop).sign_in("owner")
    short = owner.send("/shop/people", "/shop/people", {"name": "ann", "password": "short"}, expect=422)
    assert "this one has 5" in short.text
    assert "Four words" in short.text
    assert 'autocomplete="new-password"' in short.html
    assert "onpaste" not in short.html
    made = owner.send("/shop/people", "/shop/people", {"name": "ann", "role": "tech", "made_up": "yes"})
    (given,) = re.findall(r"(?:[a-z2-9]{4}-){3}[a-z2-9]{4}", made.text)
    ann = Visitor(sqlite_shop)
    page = ann.send("/sign-in", "/sign-in", {"name": "ann", "password": given, "next": "/notes"})
    assert "Somebody else chose the password that you have" in page.text
    api = TestClient(pages_over(sqlite_shop))
    token = api.post("/api/sign-in", json={"name": "ann", "password": given}).json()["form_token"]
    assert api.get("/api/concerns").status_code == 403
    assert api.get("/api/me").json()["name"] == "ann"
    wrong = ann.send("/me/password", "/me/password", {"old_password": "x", "password": NEW}, expect=422)
    assert "not your old password" in wrong.text
    assert "as it was" in wrong.text
    ann.send("/me/password", "/me/password", {"old_password": given, "password": NEW})
    ann.see("/notes")
    assert api.get("/api/me").status_code == 401
    token = api.post("/api/sign-in", json={"name": "ann", "password": NEW}).json()["form_token"]
    (ann_id,) = [one["id"] for one in api.get("/api/users").json() if one["name"] == "ann"]
    mine = f"/api/users/{ann_id}/password"
    headers = {"X-Form-Token": token}
    refused = api.put(mine, json={"password": PASSWORD}, headers=headers)
    assert (refused.status_code, list(refused.json()["error"]["fields"])) == (422, ["old_password"])
    assert api.put(mine, json={"password": PASSWORD, "old_password": NEW}, headers=headers).status_code == 204
    assert api.get("/api/me").status_code == 200
    assert "Sign in" in ann.see("/notes").text
    made = (
        Visitor(sqlite_shop)
        .sign_in("owner")
        .send("/me/password", "/me/password", {"old_password": PASSWORD, "made_up": "yes"})
    )
    (own,) = re.findall(r"(?:[a-z2-9]{4}-){3}[a-z2-9]{4}", made.text)
    sqlite_client.post("/api/sign-in", json={"name": "owner", "password": own}).raise_for_status()
    theirs = sqlite_client.put(mine, json={"password": NEW}, headers=headers_of(sqlite_shop, "owner"))
    assert theirs.status_code == 204


@pytest.mark.parametrize(
    ("client", "host", "headers", "is_here"),
    [
        ("127.0.0.1", "127.0.0.1:8000", {}, True),
        ("::1", "[::1]:8000", {}, True),
        ("192.168.1.9", "127.0.0.1:8000", {}, False),
        ("127.0.0.1", "testserver", {}, False),
        ("127.0.0.1", "127.0.0.1:8000", {"X-Forwarded-For": "127.0.0.1"}, False),
        ("127.0.0.1", "127.0.0.1:8000", {"Forwarded": "for=127.0.0.1"}, False),
    ],
)
def test_a_click_alone_signs_in_from_the_demos_own_machine_only(
    demo_without_passwords: RunningShop, client: str, host: str, headers: dict[str, str], is_here: bool
) -> None:
    browser = TestClient(
        pages_over(demo_without_passwords), base_url=f"http://{host}", client=(client, 50000), headers=headers
    )
    page = browser.get("/sign-in").text
    assert ("Look around the demo shop" in page) is is_here
    token = next(iter(re.findall(r'name="form_token" value="([^"]+)"', page)), "")
    answer = browser.post(
        "/sign-in/demo", data={"form_token": token, "name": "owner"}, follow_redirects=False
    )
    assert answer.status_code == (303 if is_here else 403)
    assert (security.COOKIE in answer.cookies) is is_here


def test_the_demo_says_why_nobody_sets_a_pin_and_its_trail_that_nobody_has_the_name_that_was_tried(
    demo_without_passwords: RunningShop,
) -> None:
    browser = TestClient(
        pages_over(demo_without_passwords), base_url="http://127.0.0.1:8000", client=("127.0.0.1", 50000)
    )
    token = re.findall(r'name="form_token" value="([^"]+)"', browser.get("/sign-in").text)[0]
    wrong = {"form_token": token, "name": "nobody", "password": "not the password"}
    assert browser.post("/sign-in", data=wrong).status_code == 401
    browser.post("/sign-in/demo", data={"form_token": token, "name": "owner"})
    own = browser.get("/me").text
    assert "you have none yet" in own
    assert 'action="/me/pin"' not in own
    assert "gave a wrong password for a name that nobody here has" in browser.get("/shop/trail").text


@pytest.fixture(scope="module")
def demo_without_passwords(tmp_path_factory: pytest.TempPathFactory) -> RunningShop:
    demo = RunningShop.open(f"sqlite:///{tmp_path_factory.mktemp('demo')}/demo.db", is_demo=True)
    with demo.writing(CONSOLE) as desk:
        accounts.add_starting_people(desk)
    return demo
