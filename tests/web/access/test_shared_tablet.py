"""A shared tablet changes hands by name and PIN, with a technician's rights and each person's own place."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from api.security import COOKIE
from kb.desk.access import pins, sessions, shared_devices, showing_who
from kb.desk.access.devices import STRANGER
from kb.desk.access.showing_who import Shown
from kb.desk.context import Desk, RunningShop
from kb.errors import BadInput
from tests.conftest import StandingClock
from tests.factories import actor_of
from tests.web.access.sharing import PINS, give_pin, shared_tablet, switch, take_up
from tests.web.browsing import PASSWORD, Page, Visitor
from tests.web.conftest import SignIn
from web.forms import SECRETS, TypedForm

GUESSED = "123 1234 4321 0000 1212 123123 890123 2580 1998 2024 4554 12a4 ١٢٣٩ 640718259"


@pytest.mark.parametrize("pin", [*GUESSED.split(), "4 71", ""])
def test_a_pin_that_somebody_tries_first_is_refused(pin: str) -> None:
    with pytest.raises(BadInput):
        pins.refuse_weak(pin)


def test_of_four_digits_just_those_with_a_pattern_are_refused_and_most_are_left() -> None:
    """The patterns written out one by one, as a slow twin."""
    digits = "0123456789"
    ways = [(first, way) for first in range(10) for way in (1, -1)]
    runs = {"".join(str((first + step * way) % 10) for step in range(4)) for first, way in ways}
    pairs = {f"{a}{b}{a}{b}" for a in digits for b in digits}
    mirrors = {f"{a}{b}{b}{a}" for a in digits for b in digits}
    years = {f"{century}{year:02}" for century in (19, 20) for year in range(100)}
    lines = {"2580", "0852", "1470", "0741", "3690", "0963", "1379", "9731", "1397", "7931", "1590"}
    guessed = runs | pairs | mirrors | years | lines
    every = {f"{number:04}" for number in range(10_000)}
    assert {one for one in every if pins.is_easily_guessed(one)} == guessed
    assert len(guessed) < 500  # guessing is not made much easier by what may not be chosen


def test_a_pin_is_set_with_the_password_and_removed_by_the_owner_who_never_sees_it(
    signed_in: SignIn, sqlite_shop: RunningShop
) -> None:
    tech, owner = signed_in("tech"), signed_in("owner")
    typed = {"pin": "4071", "pin_again": "4071", "password_for_pin": "not the password"}
    refused = tech.send("/me", "/me/pin", typed, expect=422)
    assert "not yours" in refused.text
    assert "4071" not in refused.html
    assert "differs" in tech.send("/me", "/me/pin", typed | {"pin_again": "4072"}, expect=422).text
    assert (
        "easily guessed"
        in tech.send("/me", "/me/pin", typed | {"pin": "1111", "pin_again": "1111"}, expect=422).text
    )
    tech.send("/me", "/me/pin", typed | {"password_for_pin": PASSWORD})
    assert "There is a PIN." in tech.see("/me").text
    theirs = f"/shop/people/{actor_of(sqlite_shop, 'tech').user_id}/ways-in"
    page = owner.see(theirs)
    assert "There is a PIN." in page.text
    assert "argon2" not in page.html
    owner.send(theirs, f"{theirs}/pin/remove")
    assert "There is no PIN" in tech.see("/me").text


def test_no_page_shows_what_was_typed_into_a_field_for_a_secret() -> None:
    templates = (Path(__file__).parents[3] / "web" / "templates").rglob("*.html")
    fields = re.findall(
        r'<input[^>]*type="password"[^>]*', "".join(one.read_text("utf-8") for one in templates)
    )
    names = {re.search(r'name="([^"]*)"', one)[1] for one in fields}  # type: ignore[index]  # each has one
    assert len(names) > 4
    assert names <= SECRETS
    typed = dict.fromkeys(SECRETS, ("4071",)) | {"reason": ("the hose",)}
    assert TypedForm(typed).worth_keeping() == (("reason", "the hose"),)


def test_by_pin_everybody_has_a_technicians_rights_until_the_password(
    bay: RunningShop, clock: StandingClock
) -> None:
    tablet = shared_tablet(bay, "tech", "lead", "owner")
    tiles = tablet.see("/who")
    assert [one for one in ("Technician", "Lead technician", "Owner") if one not in tiles.text] == []
    assert "not the PIN" in take_up(tablet, bay, "owner", "4444", expect=401).text
    take_up(tablet, bay, "owner")
    for path in ("/review", "/shop/backups", "/shop/shared-tablets", "/imports"):
        tablet.see(path, expect=403)
    assert "/me/pin" not in [form.action for form in tablet.see("/me").forms]
    token = tablet.see("/me").forms[0].fields["form_token"]
    forms = {"/me/tokens": {"token_name": "t", "scope": "role", "days": "9"}}
    forms["/me/pin"] = {"pin": "7305", "pin_again": "7305", "password_for_pin": PASSWORD}
    for action, fields in forms.items():
        assert tablet.client.post(action, data=fields | {"form_token": token[0]}).status_code == 403, action
    tablet.send("/sign-in?with=password", "/sign-in", {"name": "owner", "password": PASSWORD})
    assert tablet.see("/review")
    # A browser that is not shared shows no tiles and takes no PIN.
    stranger = Visitor(bay)
    assert "Sign in with name" in stranger.see("/who").text
    answer = stranger.send("/sign-in", "/sign-in", {"name": "owner", "password": PINS["owner"]}, expect=401)
    assert "do not match" in answer.text
    form = {"pin": PINS["owner"], "form_token": stranger.see("/sign-in").forms[-1].fields["form_token"]}
    whose = actor_of(bay, "owner").user_id
    stranger.client.post(f"/who/{whose}", data=form)
    assert "Sign in" in stranger.see("/review").text


def test_whoever_came_by_a_pin_that_is_removed_is_out(bay: RunningShop, signed_in: SignIn) -> None:
    tablet = shared_tablet(bay, "tech")
    take_up(tablet, bay, "tech")
    theirs = f"/shop/people/{actor_of(bay, 'tech').user_id}/ways-in"
    signed_in("owner").send(theirs, f"{theirs}/pin/remove")
    assert "Sign in with name" in tablet.see("/concerns").text


def test_each_finds_the_page_they_left_and_may_stay_where_the_tablet_is(bay: RunningShop) -> None:
    tablet = shared_tablet(bay, "tech", "lead")
    take_up(tablet, bay, "tech")
    switch(tablet, "/concerns/1/prep")
    lead = f"/who/{actor_of(bay, 'lead').user_id}"
    assert "Concerns, today 12:00 PM" in tablet.see(f"{lead}?next=/concerns/1/prep").text
    take_up(tablet, bay, "lead", go="/concerns/1/prep")
    assert tablet.answer is not None
    assert tablet.answer.url.path == "/concerns/1/prep"
    switch(tablet, "/notes?q=surge")
    tech = f"/who/{actor_of(bay, 'tech').user_id}"
    page = tablet.see(f"{tech}?next=/notes")
    assert "Go on where you were" in page.text
    assert [one.get("value") for one in page.form(tech).buttons] == ["/concerns/1/prep", "/notes"]
    take_up(tablet, bay, "tech", go="https://elsewhere.example/")
    assert tablet.answer.url.path == "/concerns"


def test_wrong_pins_wait_and_the_password_still_opens(bay: RunningShop) -> None:
    tablet = shared_tablet(bay, "tech", "lead")
    wrong = [take_up(tablet, bay, "tech", pin, expect=401) for pin in ("4072", "4073", "4074")]
    assert "wait" in wrong[-1].text
    assert "Too many wrong tries" in take_up(tablet, bay, "tech", expect=429).text
    take_up(tablet, bay, "lead")  # another person's tries are their own
    switch(tablet, "/concerns")
    tablet.send("/sign-in?with=password", "/sign-in", {"name": "tech", "password": PASSWORD})
    assert tablet.see("/concerns")


def test_a_pin_that_is_slowed_or_shut_is_shown_to_its_person_and_the_owner(
    bay: RunningShop, signed_in: SignIn, clock: StandingClock
) -> None:
    """Slowed by the third wrong try in a row, shut by the tenth, by whoever tries from anywhere."""
    owner, tech = signed_in("owner"), signed_in("tech")
    who = give_pin(bay, "tech")
    theirs = f"/shop/people/{who}/ways-in"

    def tried(typed: str, times: int) -> None:
        for _ in range(times):
            with suppress(BadInput):
                showing_who.sign(bay, actor_of(bay, "tech"), Shown(who, typed, STRANGER))

    tried("4072", 2)
    assert "This PIN is" not in owner.see(theirs).text
    tried("4072", 1)
    slowed = (
        "slowed by wrong tries, 3 in a row, the last today 12:00 PM: 10 shut it, the right one begins anew."
    )
    assert (
        f"{slowed} Where Technician was never signed in, the next try is in 1 minute."
        in owner.see(theirs).text
    )
    assert f"{slowed} Where you were never" in tech.see("/me").text
    for _ in range(7):
        clock.move(hours=1)
        tried("4072", 1)
    clock.move(hours=1)
    shut = "This PIN is shut since today 7:00 PM: it was wrong 10 times in a row. It is open again once"
    assert f"{shut} Technician signs in with the password, or sets another PIN." in owner.see(theirs).text
    assert f"{shut} you sign in with the password, or set another PIN." in tech.see("/me").text
    assert owner.see("/shop/people").text.count("PIN shut") == 1
    signed_in("tech")
    assert "This PIN is shut" not in owner.see(theirs).text
    assert "PIN shut" not in owner.see("/shop/people").text


def test_the_tablet_locks_after_its_time_but_not_while_programming_goes_on(
    bay: RunningShop, clock: StandingClock
) -> None:
    tablet = shared_tablet(bay, "tech")
    take_up(tablet, bay, "tech")
    clock.move(hours=11, minutes=59)
    assert "Concerns" in tablet.see("/concerns").text
    clock.move(hours=12)
    asked = tablet.see("/concerns/1/prep")
    assert "PIN" in asked.text
    assert asked.forms[0].fields["next"] == ["/concerns/1/prep"]
    take_up(tablet, bay, "tech")
    clock.move(days=-1)  # the clock was set back: it asks again, and nothing is lost
    assert "PIN" in tablet.see("/concerns").text
    clock.move(days=1)
    owner = Visitor(bay).sign_in("owner")
    key = "shared_device_lock_minutes"
    owner.send("/shop/settings", f"/shop/settings/{key}", {"value": "20"})
    take_up(tablet, bay, "tech")
    programs(bay, tablet, shared_devices.programming_begins)
    clock.move(hours=3)
    assert "PIN" not in tablet.see("/concerns").text
    programs(bay, tablet, shared_devices.programming_is_over)
    clock.move(minutes=20)
    assert "PIN" in tablet.see("/concerns").text
    take_up(tablet, bay, "tech")
    programs(bay, tablet, shared_devices.programming_begins)
    clock.move(hours=12)  # nobody said that it was over
    assert "PIN" in tablet.see("/concerns").text


def programs(shop: RunningShop, tablet: Visitor, does: Callable[[Desk], None]) -> None:
    """What starting a programming and recording it do on the tablet."""
    with shop.reading() as desk:
        visitor = sessions.who_holds_cookie(desk, str(tablet.client.cookies[COOKIE]))
    assert visitor is not None
    with shop.writing(visitor.actor) as desk:
        does(desk)


def test_what_is_signed_by_name_asks_for_the_pin_once_more_and_nothing_else_does(bay: RunningShop) -> None:
    tablet = shared_tablet(bay, "tech")
    take_up(tablet, bay, "tech")
    read = "/concerns/1/readings"
    strike = f"{read}/strike"
    assert "Your PIN, to sign" in tablet.see(read).text
    for typed, said in (({"signature": ""}, "show that it is you"), ({"signature": "1357"}, "not the PIN")):
        assert said in tablet.send(read, strike, typed, expect=422).text
    assert "Struck." in tablet.send(read, strike, {"signature": PINS["tech"]}).text
    cookies = {"cookies": dict(tablet.client.cookies)}
    assert cookies["cookies"]
    own = Visitor(bay).sign_in("lead")
    assert "to sign" not in own.see(read).text
    own.send(read, strike)


def test_a_device_that_is_shared_no_more_lets_nobody_in_by_pin(bay: RunningShop) -> None:
    tablet = shared_tablet(bay, "tech")
    take_up(tablet, bay, "tech")
    lead = Visitor(bay).sign_in("lead")
    assert "tablet, bay 2" in lead.see("/shop/shared-tablets").text
    lead.send("/shop/shared-tablets", "/shop/shared-tablets/1/end")
    assert "Sign in with name" in tablet.see("/concerns").text
    Visitor(bay).sign_in("tech").see("/shop/shared-tablets", expect=403)


def turned_to_customer(visitor: Visitor) -> Page:
    form = visitor.see("/concerns/1/authorization").form("/concerns/1/authorization").fields
    visitor.answer = visitor.client.post("/concerns/1/ask", data=form | ASK)
    assert visitor.answer.status_code == 200
    return Page(visitor.answer.text)


ASK = {"proposed": "Update the PCM", "amount": "180", "if_not_cured": "credited", "way": "tablet"}


def test_a_tablet_turned_to_a_customer_shows_nothing_of_the_shop_until_somebody_shows_who_they_are(
    bay: RunningShop, signed_in: SignIn
) -> None:
    phone = signed_in("tech")
    page = turned_to_customer(phone)
    assert "For the shop: back" in page.text
    assert phone.see("/concerns")  # nobody has a PIN: as it was
    give_pin(bay, "tech")
    before = phone.client.cookies["beforeflash_session"]
    page = turned_to_customer(phone)
    assert "I agree" in page.text
    assert phone.client.cookies["beforeflash_session"] != before
    assert "data-person" not in page.html
    turned = str(phone.answer.url)  # type: ignore[union-attr]
    for path in (
        "/",
        "/concerns",
        "/concerns/1",
        "/concerns/1/authorization",
        "/notes",
        "/shop",
        "/me",
        "/search?q=x",
    ):
        shown = phone.see(path)
        assert "PIN" in shown.text, path
        assert "Concerns" not in shown.text, path
    other = turned.replace("way=tablet", "way=phone")
    assert "PIN" in phone.see(other.removeprefix("http://testserver")).text
    assert phone.client.get("/api/me").status_code == 401
    form = page.form("/concerns/1/authorization").fields
    for path in ("/concerns/1/close", "/concerns/1/authorization", "/me/sessions/end"):
        answer = phone.client.post(path, data=form | {"way": ["phone"], "who": ["Ann"]})
        assert answer.status_code in (401, 405), path
    thanks = phone.client.post("/concerns/1/authorization", data=form | {"who": ["Ann"]})
    assert "Thank you, Ann" in thanks.text
    assert "I agree" in phone.see(turned.removeprefix("http://testserver")).text
    whose = actor_of(bay, "tech").user_id
    at = f"/who/{whose}?next=/concerns/1"
    assert "not the PIN" in phone.send(at, f"/who/{whose}", {"pin": "1357"}, expect=401).text
    phone.send(at, f"/who/{whose}", {"pin": PINS["tech"]})
    assert "Ann" in phone.see("/concerns/1/authorization").text
    phone.see("/shop")
    # The way back to the customer's page leads to the shop's.
    assert "For the shop: back" not in phone.see(turned.removeprefix("http://testserver")).text
