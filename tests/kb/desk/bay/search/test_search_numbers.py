"""Bulletins asked for by number, in the hurry in which a number is typed."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import concerns, facts
from kb.desk.bay.search.search import SearchRequest, SearchView, search
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.people import Actor
from kb.nouns.vehicles import CalibrationReading, CalibrationSource
from tests.factories import MAKE, MODEL, a_concern, a_note, a_vehicle, an_update

LEAD = Actor(0, "lead", "lead")
OTHER_VIN = "1M8GDM9AXKP042788"  # the published example of the check digit, 49 CFR 565.15


@pytest.fixture
def stocked(shop: RunningShop) -> RunningShop:
    with shop.writing(LEAD) as desk:
        notes.write_note(desk, an_update(number="Orsel-31", title="Surge"))
        notes.write_note(desk, an_update(number="Orsel-32", title="Orsel 31 surge orsel31", steps=()))
        notes.write_note(desk, a_note(title="Idle after Orsel-31"))
    return shop


def asked(shop: RunningShop, text: str, **more: object) -> SearchView:
    with shop.reading(LEAD) as desk:
        return search(desk, SearchRequest(text, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["Orsel-31", "orsel31", "ORSEL 31", "orsel-31 surge"])
def test_a_bulletin_is_found_by_its_number_however_it_is_typed(stocked: RunningShop, typed: str) -> None:
    view = asked(stocked, typed)
    assert (view.results[0].number, view.not_on_file) == ("Orsel-31", "")


def test_a_number_finds_notes_of_the_kind_asked_for_and_no_others(stocked: RunningShop) -> None:
    assert asked(stocked, "orsel31", kinds=("bulletin",)).results[0].number == "Orsel-31"
    lessons = asked(stocked, "orsel-31 idle", kinds=("lesson",))
    assert ({one.kind for one in lessons.results}, lessons.numbered) == ({"lesson"}, False)
    nothing = asked(stocked, "NV-24-101", kinds=("lesson",))
    assert (nothing.results, bool(nothing.message)) == ((), True)


def test_a_number_of_a_known_series_that_is_not_there_is_said_and_a_model_is_not(
    stocked: RunningShop,
) -> None:
    assert asked(stocked, "Orsel-99").not_on_file == "No bulletin Orsel-99 on file."
    assert asked(stocked, "CX-5 stalls").not_on_file == ""
    assert asked(stocked, "P0171").not_on_file == ""


def test_a_bulletin_named_by_number_is_shown_with_what_it_is_not_for(stocked: RunningShop) -> None:
    [first, *_] = asked(stocked, "orsel31", make="Tarn").results
    assert (first.number, first.applies.value) == ("Orsel-31", "no")


@pytest.fixture
def worked(stocked: RunningShop) -> RunningShop:
    """Three concerns besides the bulletins; one names another's repair order in its words."""
    with stocked.writing(LEAD) as desk:
        first = concerns.open_concern(
            desk, a_concern(ro_number="2087", line="A", complaint="surges when warm")
        )
        concerns.open_concern(desk, a_concern(ro_number="2087", line="B", complaint="radio is dead"))
        other = a_vehicle(vin=OTHER_VIN)
        concerns.open_concern(
            desk, a_concern(ro_number="3099", line="A", complaint="RO 2087 again", vehicle=other)
        )
        read = CalibrationReading("PCM", "NV10A-77", CalibrationSource.READ)
        facts.put_calibration(desk, first.id, read)
    return stocked


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("RO 2087-B", ["RO 2087-B"]),
        ("2087-a", ["RO 2087-A"]),
        ("2087", ["RO 2087-B", "RO 2087-A"]),
        (OTHER_VIN[-8:].lower(), ["RO 3099-A"]),
        (OTHER_VIN, ["RO 3099-A"]),
        ("10a7", ["RO 2087-A"]),
        ("nv10b", ["Orsel-31"]),
    ],
)
def test_numbers_of_the_trade_are_found_first_from_the_one_box(
    worked: RunningShop, typed: str, first: list[str]
) -> None:
    assert [one.number for one in asked(worked, typed).results][: len(first)] == first


def test_what_a_text_says_of_a_vehicle_stands_beside_its_vin(worked: RunningShop) -> None:
    """The VIN of an invented make tells nothing but its year (K behind a figure: 1989, 49 CFR 565.15)."""
    vin = "1NVTS52G1KR104477"
    read = asked(worked, f"surges {MAKE} {MODEL} 2.0t {vin}").read
    assert read is not None
    told = read.vehicle
    assert (told.make, told.model, told.year, told.engine) == (MAKE, MODEL, 1989, "2.0L turbo")
    assert told.vin == vin
    assert read.words == (MAKE, *MODEL.split(), "2.0t", vin)


def test_a_number_of_a_note_is_not_looked_for_among_past_vehicles(worked: RunningShop) -> None:
    assert all(one.kind == "concern" for one in asked(worked, "nv10", kinds=("concern",)).results)
    assert all(one.kind != "concern" for one in asked(worked, "2087", kinds=("bulletin", "lesson")).results)
