"""Searching through HTTP: nothing that is typed breaks it, and both databases give the same answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import ReportedCode
from kb.records.whole_shop.rows_out import every_row
from tests.applications import interface_over, pages_over
from tests.factories import a_concern, a_note, actor_of, an_update, headers_of
from tests.web.browsing import Visitor

ODD = {
    "empty": "",
    "blank": "  \t\n",
    "ten thousand letters": "x" * 10_000,
    "ten thousand letters of words": ("bucks uphill " * 800)[:10_000],
    "emoji": "🚗💨🙂",
    "stop words only": "the of and when it was",
    "codes only": "P0301 p0171, U0100-87",
    "right to left": "المحرك يتوقف عند الإشارة",
    "right to left, another": "המנוע כבה ברמזור",
    "a right-to-left mark": "stall\u202e throttle\u200f",
    "SQL": "'; DROP TABLE note; -- \" OR 1=1 /*",
    "regular expression": r".*(?=stall)[a-z]{1,}\\(+*?|^$",
    "query language": 'title:"stall" AND (idle* OR -hot) NEAR/3',
    "wide letters": "ｅｎｇｉｎｅ ﬁre",
    "a null": "stall\x00idle",
    "percent": "%_%25%00",
}


def stock(shop: RunningShop) -> None:
    """Notes of which many score alike, so that their order rests on the rule for ties."""
    with shop.writing(actor_of(shop, "lead")) as desk:
        for number in range(6):
            notes.write_note(desk, an_update(number=f"NV-{number}", codes=(f"P030{number}",)))
            notes.write_note(desk, a_note())
        notes.write_note(desk, a_note(title="Stalls at a light", symptom="dies coming to a stop", body=""))
    with shop.writing(actor_of(shop, "tech")) as desk:
        for number in range(4):
            draft = a_concern(ro_number=str(number), codes=(ReportedCode("P0301"),))
            concerns.open_concern(desk, draft)


def answer(client: TestClient, headers: dict[str, str], **asked: Any) -> Any:
    return client.get("/api/search", params=asked, headers=headers)


def is_an_answer_or_a_sentence(found: dict[str, Any]) -> bool:
    return bool(found["results"]) or str(found.get("message", "")).endswith(".")


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_odd_texts_get_an_answer_or_a_sentence(
    sqlite_shop: RunningShop, as_tech: dict[str, str], text: str
) -> None:
    stock(sqlite_shop)
    with TestClient(interface_over(sqlite_shop), raise_server_exceptions=False) as client:
        got = answer(client, as_tech, q=text)
    assert got.status_code == 200, got.text
    assert is_an_answer_or_a_sentence(got.json())
    visitor = Visitor(sqlite_shop).sign_in("tech")
    for address in ("/search", "/lexicon"):
        for more in ({}, {"part": "results"}):
            page = visitor.client.get(address, params={"q": text, "as_typed": text[:40], **more})
            assert page.status_code == 200, (address, page.text[-2000:])


@pytest.fixture(scope="module")
def asking(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Any]]:
    """Ask the search of a stocked shop, through pages and interface as they are served together."""
    shop = RunningShop.open(f"sqlite:///{tmp_path_factory.mktemp('search') / 'shop.db'}")
    stock(shop)
    headers = headers_of(shop, "tech")
    with TestClient(pages_over(shop), raise_server_exceptions=False) as client:
        yield lambda **asked: answer(client, headers, **asked)
    shop.close()


@settings(max_examples=80)
@given(
    q=st.text(max_size=200) | st.sampled_from(sorted(ODD.values())),
    codes=st.text(max_size=20),
    make=st.text(max_size=12),
    model=st.text(max_size=12),
    year=st.integers(-(2**70), 2**70) | st.integers(1880, 2030) | st.text(max_size=6),
    kind=st.lists(st.sampled_from(["bulletin", "lesson", "concern", "recipe", ""]), max_size=3),
    limit=st.integers(-1, 200),
    as_typed=st.text(max_size=12),
)
def test_no_query_breaks_it(asking: Callable[..., Any], **asked: Any) -> None:
    """An answer, or a refusal that says what cannot be taken as it stands."""
    got = asking(**asked)
    assert got.status_code in {200, 422}, got.text
    body = got.json()
    assert is_an_answer_or_a_sentence(body) if got.status_code == 200 else body["error"]["message"]


def test_the_same_notes_come_in_the_same_order_on_both_databases(
    sqlite_shop: RunningShop, postgres_shop: RunningShop
) -> None:
    asked: list[dict[str, Any]] = [
        {"q": "bucks uphill"},
        {"q": "rough idle cold", "limit": 3},
        {"q": "dies at lite"},
        {"codes": "P0301"},
        {"q": "throtle jerks", "make": "Norvane", "model": "Tessel", "year": 2019},
        {"q": "bucks", "kind": ["concern", "bulletin"]},
    ]
    answers = []
    for shop in (sqlite_shop, postgres_shop):
        stock(shop)
        headers = headers_of(shop, "tech")
        with TestClient(interface_over(shop), raise_server_exceptions=False) as client:
            answers.append([answer(client, headers, **each).json() for each in asked])
    assert answers[0] == answers[1]
    assert all(one["results"] for one in answers[0])


def test_reading_through_the_interface_writes_nothing(
    sqlite_shop: RunningShop, as_tech: dict[str, str]
) -> None:
    def rows() -> list[tuple[str, dict[str, Any]]]:
        with sqlite_shop.records.reading() as session:
            return [(table, dict(row)) for table, row in every_row(session)]

    stock(sqlite_shop)
    before = rows()
    with TestClient(interface_over(sqlite_shop), raise_server_exceptions=False) as client:
        assert answer(client, as_tech, q="bucks uphill").json()["results"]
    assert rows() == before
