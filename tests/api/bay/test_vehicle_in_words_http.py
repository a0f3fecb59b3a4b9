"""The vehicle that is typed into the one box, through the interface and on the page."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CoverageLine
from tests.applications import interface_over
from tests.factories import actor_of, an_update, headers_of
from tests.web.browsing import Visitor

TOLD = "C/S 18 tessel 2.0t jerks at light throttle"


@pytest.fixture
def stocked(sqlite_shop: RunningShop) -> RunningShop:
    """An update for a Norvane Tessel of 2017 to 2021 with one engine, and one for another make's vehicle."""
    covers = {
        "NV-1": CoverageLine("Norvane", "Tessel", ((2017, 2021),), engine="2.0 T"),
        "NV-2": CoverageLine("Norvane", "Tessel", ((2017, 2021),), engine="1.4"),
        "TN-1": CoverageLine("Tarn", "Vell", ((2017, 2021),)),
    }
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        for number, line in covers.items():
            notes.write_note(desk, an_update(number=number, coverage=(line,)))
    return sqlite_shop


def found(shop: RunningShop, **asked: Any) -> Any:
    with TestClient(interface_over(shop)) as client:
        return client.get("/api/search", params=asked, headers=headers_of(shop, "tech")).json()


def numbers(answer: Any) -> set[str]:
    return {one["number"] for one in answer["results"]}


def test_the_interface_says_which_vehicle_it_read_and_searches_for_it(stocked: RunningShop) -> None:
    answer = found(stocked, q=TOLD)
    assert answer["read_vehicle"] == {
        "make": "Norvane",
        "model": "Tessel",
        "year": 2018,
        "engine": "2.0L turbo",
    }
    assert numbers(answer) == {"NV-1"}


def test_the_vehicle_in_the_words_is_left_alone_where_one_says_so(stocked: RunningShop) -> None:
    answer = found(stocked, q=TOLD, read_vehicle="no")
    assert "read_vehicle" not in answer
    assert numbers(answer) == {"NV-1", "NV-2", "TN-1"}
    assert "read_vehicle" not in found(stocked, q="jerks at light throttle")


def test_what_is_filled_in_stands_and_the_words_add_the_year(stocked: RunningShop) -> None:
    answer = found(stocked, q="my 2015 jerks at light throttle", make="norvane", model="tessel")
    assert answer["read_vehicle"] == {"make": "norvane", "model": "tessel", "year": 2015, "engine": ""}
    assert not answer["results"]
    assert numbers(found(stocked, q="2018 Norvane Tessel jerks", make="Tarn")) == {"TN-1"}


def test_a_whole_vin_tells_the_vehicle(stocked: RunningShop) -> None:
    """The published worked example of the check digit, 49 CFR 565.15: a vehicle of 1989."""
    answer = found(stocked, q="1M8GDM9AXKP042788 jerks at light throttle")
    assert answer["read_vehicle"]["year"] == 1989
    assert not numbers(answer)
    answer = found(stocked, q="1M8GDM9AXKP042788 jerks at light throttle", read_vehicle="no")
    assert "NV-1" in numbers(answer)


def test_the_page_shows_the_vehicle_as_read_and_takes_it_back_without_javascript(
    stocked: RunningShop,
) -> None:
    visitor = Visitor(stocked).sign_in("tech")
    page = visitor.see("/search?q=18+tessel+2.0t+jerks+at+light+throttle")
    assert "Read as 2018 Norvane Tessel 2.0L turbo from “18 tessel 2.0t”; not this one" in " ".join(
        page.text.split()
    )
    assert "TN-1" not in page.text
    page = visitor.see(next(link for link in page.links if "vehicle=no" in link))
    assert "TN-1" in page.text
    again = next(link for link in page.links if link.startswith("/search?") and "vehicle" not in link)
    assert "Read as 2018 Norvane Tessel" in " ".join(visitor.see(again).text.split())


def test_a_concern_opened_with_these_words_begins_with_the_vehicle_read(stocked: RunningShop) -> None:
    visitor = Visitor(stocked).sign_in("tech")
    page = visitor.see("/search?q=18+tessel+2.0t+jerks")
    form = visitor.see(next(link for link in page.links if link.startswith("/concerns/new?")))
    fields = form.form("/concerns/new").fields
    values = [fields[name][0] for name in ("complaint", "make", "model", "year", "engine")]
    assert values == ["18 tessel 2.0t jerks", "Norvane", "Tessel", "2018", "2.0L turbo"]
