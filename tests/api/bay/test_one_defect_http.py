"""Recalls of one defect through the interface and on the page.

The sentences on campaigns are of NHTSA recall communications of 2022 (US government records), shortened.
"""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CoverageLine
from tests.applications import interface_over
from tests.factories import a_note, actor_of, an_update, headers_of
from tests.web.browsing import Visitor

TELLS = "The seat belt pretensioner may deploy abnormally in a crash. "
LATER = ((2021, 2022),)
RECALLS = {
    "22V127": (TELLS + "Notice for the SC231 Safety Recall.", ((2022, 2022),), ""),
    "22V447": (TELLS + "SC241. This campaign supersedes the previously launched 22V127 recall.", LATER, ""),
    "23V001": (TELLS + "This campaign supersedes the previously launched 22V447 recall.", LATER, "1.6"),
    "22V900": ("The seat belt buckle may not latch, and the tongue may come out of it.", LATER, ""),
}


@pytest.fixture
def stocked(sqlite_shop: RunningShop) -> RunningShop:
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for number, (text, years, engine) in RECALLS.items():
            line = CoverageLine("Kia", "Sorento Hybrid", years, engine=engine)
            said = {"title": "Safety recall", "symptom": "", "conditions": "", "body": text}
            notes.write_note(desk, an_update(number=number, coverage=(line,), steps=(), **said))
        notes.write_note(desk, a_note(title="Seat belt pretensioner light after a seat swap"))
    return sqlite_shop


def found(shop: RunningShop, q: str, **asked: Any) -> list[tuple[str, set[str]]]:
    with TestClient(interface_over(shop)) as client:
        answer = client.get("/api/search", params={"q": q, **asked}, headers=headers_of(shop, "tech")).json()
    return [(one["number"], set(one.get("also", ()))) for one in answer["results"] if one["number"]]


def test_recalls_of_one_defect_are_one_result(stocked: RunningShop) -> None:
    group = {"22V127", "22V447", "23V001"}
    results = found(stocked, "seat belt pretensioner went off in a crash")
    heads = [number for number, _ in results]
    assert sorted(heads, key=heads.index) == list(dict.fromkeys(heads))
    assert len(group & set(heads)) == 1
    for number, also in results:
        assert also == (group - {number} if number in group else set())


def test_the_recall_that_is_for_the_vehicle_stands_for_those_that_are_not(stocked: RunningShop) -> None:
    [first, *_] = found(stocked, "2021 kia sorento hybrid 2.5 seat belt pretensioner went off in a crash")
    assert first == ("22V447", {"22V127", "23V001"})


def test_a_recall_asked_for_by_its_number_stands_first_with_the_others_under_it(stocked: RunningShop) -> None:
    for number in ("22V127", "22v-447", "23V001"):
        plain = number.replace("-", "").upper()
        assert found(stocked, number)[0] == (plain, {"22V127", "22V447", "23V001"} - {plain})


def test_the_page_names_the_others_with_their_addresses(stocked: RunningShop) -> None:
    page = Visitor(stocked).sign_in("tech").see("/search?q=22V447")
    assert "Same defect:" in page.text
    assert {"/notes/1", "/notes/3"} <= {link.split("?")[0] for link in page.links}
