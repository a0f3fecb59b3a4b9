"""Bulletins asked for by number, in the hurry in which a number is typed."""

from __future__ import annotations

import pytest

from kb.desk.bay.search.search import SearchRequest, SearchView, search
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.people import Actor
from tests.factories import a_note, an_update

LEAD = Actor(0, "lead", "lead")


@pytest.fixture
def stocked(shop: RunningShop) -> RunningShop:
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="Orsel-31", title="Surge"))
        notes.write_note(desk, an_update(number="Orsel-32", title="Orsel 31 surge orsel31", steps=()))
        notes.write_note(desk, a_note(title="Idle after Orsel-31"))
    return shop


def asked(shop: RunningShop, text: str, **more: str) -> SearchView:
    with shop.reading(LEAD) as desk:
        return search(desk, SearchRequest(text, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["Orsel-31", "orsel31", "ORSEL 31", "orsel-31 surge"])
def test_a_bulletin_is_found_by_its_number_however_it_is_typed(stocked: RunningShop, typed: str) -> None:
    view = asked(stocked, typed)
    assert (view.results[0].number, view.not_on_file) == ("Orsel-31", "")


def test_a_number_of_a_known_series_that_is_not_there_is_said_and_a_model_is_not(
    stocked: RunningShop,
) -> None:
    assert asked(stocked, "Orsel-99").not_on_file == "No bulletin Orsel-99 on file."
    assert asked(stocked, "CX-5 stalls").not_on_file == ""
    assert asked(stocked, "P0171").not_on_file == ""


def test_a_bulletin_named_by_number_is_shown_with_what_it_is_not_for(stocked: RunningShop) -> None:
    [first, *_] = asked(stocked, "orsel31", make="Tarn").results
    assert (first.number, first.applies.value) == ("Orsel-31", "no")
