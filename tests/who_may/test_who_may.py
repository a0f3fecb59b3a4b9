"""Every route of pages and interface, and who may: told by hand in `rows.txt`, asked of the running program.

A cell is right if a person without the right is refused whatever they send, and one with it is answered
otherwise. What is sent is nonsense on purpose: nobody without the right is told that it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from fastapi.routing import iter_route_contexts
from starlette.testclient import TestClient

from api.who_may import roles_of
from kb.desk.context import RunningShop
from tests.applications import interface_over, pages_over
from tests.conftest import StandingClock
from tests.factories import headers_of
from tests.web.access.sharing import shared_tablet, take_up
from tests.web.browsing import Visitor

ROLES = ("tech", "lead", "owner")
ANYBODY = "anybody"
BY_PIN = "the owner, by PIN"
READING = "the owner, by a token that only reads"
RIGHTS = {BY_PIN: "tech", READING: "owner"}
OUT = {(BY_PIN, "/me/pin/remove"), (BY_PIN, "/api/sign-out")}  # whoever came in by it is out with it
NEVER = {(BY_PIN, "POST", "/me/password")}  # a PIN opens no other way in
Row = tuple[str, str, frozenset[str]]


def rows() -> list[Row]:
    lines = (Path(__file__).parent / "rows.txt").read_text("utf-8").splitlines()
    told = [line.split() for line in lines if line and not line.startswith("#")]
    return [(method, path, frozenset(who)) for method, path, *who in told]


def routes(shop: RunningShop) -> Iterator[tuple[str, str, Any]]:
    """Method, path, and the function that answers."""
    apps: tuple[Any, ...] = (interface_over(shop), pages_over(shop).pages)
    for app in apps:
        for route in iter_route_contexts(app.routes):
            methods = (route.methods or set()) - {"HEAD"}
            yield from ((method, str(route.path), route.endpoint) for method in methods)


def is_call(path: str) -> bool:
    return path.startswith("/api/")


def addressed(path: str) -> str:
    """With no id that there could be, so that nothing is done by who may."""
    return re.sub(r"\{(?:\w+_id)\}", "0", re.sub(r"\{(?!\w+_id)\w+\}", "nothing", path))


def test_every_route_has_a_row_and_every_row_a_route(sqlite_shop: RunningShop) -> None:
    told = [(method, path) for method, path, _ in rows()]
    assert sorted(set(told) ^ {route[:2] for route in routes(sqlite_shop)}) == []
    assert len(told) == len(set(told))
    known = {*ROLES, ANYBODY}
    assert [row for row in rows() if not row[2] or row[2] - known] == []


def test_who_may_not_is_refused_before_what_was_sent_is_looked_at(sqlite_shop: RunningShop) -> None:
    """Asked of what routes say of themselves: the answer alone does not tell when it was given."""
    told = {(method, path): who for method, path, who in rows() if ANYBODY not in who}
    late = [
        (method, path, who, roles_of(answers))
        for method, path, answers in routes(sqlite_shop)
        if (method != "GET" or is_call(path))
        and (who := told.get((method, path))) not in (None, roles_of(answers))
    ]
    assert late == []


def test_who_may_is_settled_before_the_first_request(sqlite_shop: RunningShop) -> None:
    """Asked of the program as it was written, not of what stands at a use case's name when somebody comes."""
    asked = [answers for _, _, answers in routes(sqlite_shop)]
    settled = roles_of.cache_info().misses
    assert {roles_of(answers) for answers in asked}
    assert roles_of.cache_info().misses == settled


def test_calls_are_for_whom_their_row_names(sqlite_shop: RunningShop, clock: StandingClock) -> None:
    client = TestClient(interface_over(sqlite_shop), raise_server_exceptions=False)
    callers = {role: (client, headers_of(sqlite_shop, role)) for role in ROLES}
    callers |= {READING: (client, reading_token(client, callers["owner"][1])), BY_PIN: by_pin(sqlite_shop)}
    wrong = []
    for method, path, who in rows():
        if not is_call(path):
            continue
        clock.move(minutes=1)
        status = nonsense(client, method, path, {})
        wrong += [("nobody", method, path, status)] * ((status == 401) == (ANYBODY in who))
        for person, (by, headers) in callers.items():
            if (person, path) in OUT:
                continue
            status = nonsense(by, method, path, headers)
            may = who if person != READING or method == "GET" else who & {ANYBODY}
            wrong += [(person, method, path, status)] * is_wrong(RIGHTS.get(person, person), may, status)
    assert wrong == []


def reading_token(client: TestClient, owner: dict[str, str]) -> dict[str, str]:
    asked = {"name": "the wall's screen", "scope": "read"}
    made = client.post("/api/me/tokens", json=asked, headers=owner).json()
    return {"Authorization": f"Bearer {made['token']}"}


def by_pin(shop: RunningShop) -> tuple[TestClient, dict[str, str]]:
    tablet = come_in(shop, BY_PIN)
    return tablet.client, {"X-Form-Token": form_token(tablet)}


def form_token(browser: Visitor) -> str:
    return str(browser.see("/what-if").form("/sign-out").fields["form_token"])


def test_pages_are_for_whom_their_row_names(sqlite_shop: RunningShop) -> None:
    told = [row for row in rows() if not is_call(row[1]) and ANYBODY not in row[2]]
    wrong = []
    for person in (BY_PIN, *ROLES):
        browser = come_in(sqlite_shop, person)
        typed = {"form_token": form_token(browser)}
        for method, path, who in told:
            if (person, path) in OUT:
                continue
            status = nonsense(browser.client, method, path, {}, typed | {"version": ["nonsense"]})
            who = frozenset() if (person, method, path) in NEVER else who
            wrong += [(person, method, path, status)] * is_wrong(RIGHTS.get(person, person), who, status)
    stranger = Visitor(sqlite_shop).client
    for method, path, _ in told:
        answer = stranger.request(method, addressed(path), follow_redirects=False)
        there = answer.headers.get("location", "").split("?")[0]
        if (answer.status_code, there) not in ((303, "/sign-in"), (403, "")):
            wrong.append(("nobody", method, path, answer.status_code))
    assert wrong == []


def come_in(shop: RunningShop, person: str) -> Visitor:
    if person != BY_PIN:
        return Visitor(shop).sign_in(person)
    tablet = shared_tablet(shop, "owner")
    take_up(tablet, shop, "owner")
    return tablet


def is_wrong(person: str, who: frozenset[str], status: int) -> bool:
    return (status == 403) == (person in who or ANYBODY in who) or status == 401 or status >= 500


def nonsense(
    client: Any, method: str, path: str, headers: dict[str, str], typed: dict[str, Any] | None = None
) -> int:
    """The status that a body which cannot be read, or a form without sense, is answered with."""
    sent: dict[str, Any] = {"data": typed} if method == "POST" else {}
    if typed is None:
        sent = {"content": b"{", "headers": {"Content-Type": "application/json"} | headers}
    status: int = client.request(method, addressed(path), follow_redirects=False, **sent).status_code
    return status
