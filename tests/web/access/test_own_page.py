"""A person's own page: where they are signed in, and what programs come in under their name."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest
from alembic import command
from starlette.testclient import TestClient

from kb.desk.access import accounts, tokens
from kb.desk.access.passwords import chosen
from kb.desk.context import CONSOLE, RunningShop
from kb.records.migrate import alembic_config, migrate
from tests.conftest import StandingClock
from tests.factories import actor_of, headers_of
from tests.web.browsing import Page, Visitor
from tests.web.conftest import SignIn


def made(visitor: Visitor, **typed: str) -> str:
    """The token that the page shows this once."""
    visitor.send("/me", "/me/tokens", {"token_name": "the accounts", **typed})
    assert visitor.answer is not None
    shown = Page(visitor.answer.text)
    found = re.search(r"<textarea[^>]*id=\"made\"[^>]*>\s*(\S+)\s*</textarea>", shown.html)
    assert found is not None
    assert found[1] not in visitor.see("/me").html
    return found[1]


def status(client: TestClient, method: str, path: str, token: str, body: object = None) -> int:
    headers = {"Authorization": f"Bearer {token}"}
    answer = client.request(method, f"/api{path}", headers=headers, json=body)
    return int(answer.status_code)


def test_a_token_may_what_its_scope_says_until_its_end_and_says_when_it_was_used(
    signed_in: SignIn, sqlite_client: TestClient, clock: StandingClock
) -> None:
    owner = signed_in("owner")
    reads, as_tech, whole = (
        made(owner, scope="read"), made(owner, scope="tech"), made(owner, scope="role", days="30")
    )  # fmt: skip
    assert "never used" in owner.see("/me").text
    for token in (reads, as_tech, whole):
        assert status(sqlite_client, "GET", "/me", token) == 200
    assert "last used Oct 31" in owner.see("/me").text
    assert "never used" not in owner.see("/me").text
    # A role's refusal comes before the body is looked at where the token only reads.
    assert [status(sqlite_client, "POST", "/concerns", one, {}) for one in (reads, as_tech)] == [403, 422]
    reports = [status(sqlite_client, "GET", "/reports/month", one) for one in (reads, as_tech, whole)]
    assert reports == [200, 403, 200]
    narrower = {"name": "n", "scope": "tech", "days": 3}
    longer = {"name": "n", "scope": "tech", "days": 31}
    more = {"name": "n", "scope": "role", "days": 3}
    assert status(sqlite_client, "POST", "/me/tokens", whole, narrower) == 201
    assert status(sqlite_client, "POST", "/me/tokens", whole, longer) == 403
    assert status(sqlite_client, "POST", "/me/tokens", as_tech, more) == 403
    assert status(sqlite_client, "POST", "/me/tokens", reads, narrower) == 403
    spans = [status(sqlite_client, "POST", "/me/tokens", whole, narrower | {"days": n}) for n in (0, 731)]
    assert spans == [422, 422]
    clock.move(days=30)
    assert [status(sqlite_client, "GET", "/me", one) for one in (reads, whole)] == [200, 401]


def test_tokens_end_one_by_one_and_with_the_password(
    signed_in: SignIn, sqlite_shop: RunningShop, sqlite_client: TestClient
) -> None:
    lead, owner = signed_in("lead"), signed_in("owner")
    first, second, third = (made(lead, scope="lead", token_name=name) for name in "abc")
    page = lead.see("/me")
    ends = [form.action for form in page.forms if form.action.endswith("/end") and "tokens" in form.action]
    assert len(ends) == 3
    lead.send("/me", ends[0])  # the newest stands first
    theirs = f"/shop/people/{actor_of(sqlite_shop, 'lead').user_id}/ways-in"
    owner.send(theirs, ends[1].replace("/me", theirs))
    alive = [status(sqlite_client, "GET", "/me", one) for one in (first, second, third)]
    assert alive == [200, 401, 401]
    assert signed_in("tech").see(theirs, expect=403)
    mine = sqlite_client.get("/api/me/tokens", headers=headers_of(sqlite_shop, "tech")).json()
    assert [(one["name"], one["scope"], one["ends_on"]) for one in mine] == [
        ("made on the server's console", "role", "2027-10-31")
    ]
    gone = f"/me/tokens/{mine[0]['id']}"
    assert status(sqlite_client, "DELETE", gone, first) == 404  # nobody ends another's
    who = actor_of(sqlite_shop, "lead").user_id
    with sqlite_shop.writing(CONSOLE) as desk:
        accounts.set_password(desk, who, chosen("another long password"))
    assert status(sqlite_client, "GET", "/me", first) == 401


def test_sessions_are_listed_and_ended_and_a_role_changes_at_once(
    signed_in: SignIn, sqlite_shop: RunningShop
) -> None:
    here = signed_in("lead")
    there = Visitor(sqlite_shop)
    there.client.headers["User-Agent"] = "Mozilla/5.0 (iPad) Version/17 Safari/604"
    typed = {"name": "lead", "password": "a long enough password"}
    there.send("/sign-in", "/sign-in", typed)
    there.see("/concerns")
    page = here.see("/me")
    assert "Safari on iPad" in page.text
    assert "this one" in page.text
    assert page.html.count('name="session"') == 2  # all others, and the one other
    wrong = {"session": "2", "password_for_sessions": "not the password"}
    assert "not yours" in here.send("/me", "/me/sessions/end", wrong, expect=422).text
    assert "not yours" in here.send("/me", "/me/sessions/end", {"session": "others"}, expect=422).text
    assert there.see("/concerns").text.count("Sign in") == 0
    shown = {"password_for_sessions": typed["password"]}
    here.send("/me", "/me/sessions/end", shown | {"session": "2"})
    assert "Sign in" in there.see("/concerns").text
    assert "Safari on iPad" not in here.see("/me").text
    there.send("/sign-in", "/sign-in", typed)
    who = actor_of(sqlite_shop, "lead").user_id
    with sqlite_shop.writing(CONSOLE) as desk:
        version = next(one.version for one in accounts.list_users(desk) if one.id == who)
        accounts.change_user(desk, who, version, display_name="L", role="tech")
    there.see("/review", expect=403)
    here.send("/me", "/me/sessions/end", shown | {"session": "others"})
    owner, mine = signed_in("owner"), f"/shop/people/{actor_of(sqlite_shop, 'owner').user_id}/ways-in"
    Visitor(sqlite_shop).sign_in("owner")
    refused = owner.send(mine, f"{mine}/sessions/end", {"session": "others"}, expect=422)
    assert "under your name, with your password" in refused.text
    theirs = f"/shop/people/{who}/ways-in"
    owner.send(theirs, f"{theirs}/sessions/end", {"session": "others"})
    assert "Sign in" in here.see("/concerns").text
    assert "Sign in" in there.see("/concerns").text


@pytest.mark.both_databases
def test_tokens_and_sessions_of_before_go_on_after_the_upgrade(
    shop: RunningShop, clock: StandingClock
) -> None:
    clock.now = datetime.now(UTC)  # an upgrade is at the machine's own time
    lead = Visitor(shop).sign_in("lead")
    with shop.writing(CONSOLE) as desk:
        token = tokens.new_token(desk, "lead")
    engine = shop.records.engine
    with engine.execution_options(beforeflash_writes=True).begin() as connection:
        command.downgrade(alembic_config(connection), "0041")
    migrate(engine)
    with shop.reading() as desk:
        assert tokens.who_holds_token(desk, token) is not None
    page = lead.see("/me")
    assert "do all that its person may" in page.text
    assert "they end a year after the upgrade" in page.text
    clock.move(days=366)
    with shop.reading() as desk:
        assert tokens.who_holds_token(desk, token) is None
