"""The vehicle read out of a complaint, against names that a shop has on file. Makes are invented, or those of
which the trade's own slang is tested.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from kb.nouns.vehicles import Vehicle
from kb.vehicle.families import bare_model, families_on_file, fold
from kb.vehicle.read_vehicle import read_vehicle

NEWEST = 2027
ON_FILE = (
    ("TARN", "VELL"),
    ("TARN", "VELL HYBRID"),
    ("TARN", "CREST 1500"),
    ("TARN", "CREST 2500"),
    ("TARN", "K-40"),
    ("TARN", "K-40 SD"),
    ("TARN", "QD"),
    ("TARN COACH", "FERRY"),
    ("ORLAND", "ONE4 SLIM"),
    ("NORVANE", "3"),
    ("NORVANE", "OXBOW SPORT"),
    ("NORVANE", "AIR BAG"),
    ("KIA", "SOUL"),
    ("KIA", "TELLURIDE"),
    ("NISSAN", "LEAF"),
    ("NISSAN", "ROGUE"),
    ("HYUNDAI", "SANTA FE"),
    ("SUBARU", "FORESTER"),
    ("VOLVO", "XC60"),
    ("MAZDA", "CX-5"),
)
WORDS = {
    "one",
    "soul",
    "leaf",
    "rogue",
    "crest",
    "air",
    "bag",
    "spring",
    "light",
    "fuel",
    "pump",
    "view",
    "forester",
}
THINGS = {("air", "bag"), ("leaf", "spring"), ("fuel", "pump")}


class OnFile:
    """The names above, looked through one by one."""

    def make_called(self, name: str) -> str:
        return next((make for make, _ in ON_FILE if fold(make) == name), "")

    def makes_begun(self, word: str) -> Sequence[str]:
        begun = {make: make.casefold().split() for make, _ in ON_FILE}
        return [make for make, said in begun.items() if len(said) > 1 and said[0] == word]

    def models_called(self, make: str, name: str) -> Sequence[tuple[str, str]]:
        families = families_on_file()
        return [
            (theirs, model)
            for theirs, model in ON_FILE
            if make in ("", fold(theirs))
            and (
                name in (bare_model(theirs, model), fold(theirs) + bare_model(theirs, model))
                or name in families.read(theirs, model).shorter
            )
        ]

    def models_of(self, make: str) -> list[str]:
        return [fold(model) for theirs, model in ON_FILE if fold(theirs) == make]

    def makers(self) -> list[str]:
        return ["tarn"]

    def is_maker(self, name: str) -> bool:
        return name == "tarn"

    def may_begin(self, word: str) -> bool:
        return True

    def is_word(self, word: str) -> bool:
        return word in WORDS

    def is_thing(self, words: Sequence[str]) -> bool:
        return any(pair in THINGS for pair in pairwise(words))


def told(text: str, known: Vehicle | None = None) -> tuple[int | None, str, str, str] | None:
    read = read_vehicle(text, OnFile(), known or Vehicle(), NEWEST)
    if read is None:
        return None
    return read.vehicle.year, read.vehicle.make, read.vehicle.model, read.vehicle.engine


@pytest.mark.parametrize(
    ("text", "vehicle"),
    [
        ("THE CONTACT OWNS A 2021 TARN VELL. WHILE DRIVING 45 MPH, IT STALLED", (2021, "TARN", "VELL", "")),
        ("17 vell 2.0t dies at light", (2017, "TARN", "VELL", "2.0L turbo")),
        ("17 telluride 2.0t dies at light", (2017, "KIA", "TELLURIDE", "2.0L turbo")),
        ("my '19 Tarn Vell shudders", (2019, "TARN", "VELL", "")),
        ("Year: 2020 Make: Norvane Model: Oxbow Sport. No start", (2020, "NORVANE", "OXBOW SPORT", "")),
        ("tarn crest 2018 surges", (2018, "TARN", "CREST", "")),
        ("2018 tarn crest 2500 5.3 v8 shudder", (2018, "TARN", "CREST 2500", "5.3L V8")),
        ("tarn vell hybrid 2022 wont go to ready", (2022, "TARN", "VELL HYBRID", "")),
        ("2019 Tarn K-40 Super Duty wobbles", (2019, "TARN", "K-40 SD", "")),
        ("norvane 3, bought new in 2019", (None, "NORVANE", "3", "")),
        ("cx5 2016 rear lamp", (2016, "MAZDA", "CX-5", "")),
        ("hundai santa fe 2.4 knocks", (None, "HYUNDAI", "SANTA FE", "2.4L")),
        ("2019 suburu forrester windshield", (2019, "SUBARU", "FORESTER", "")),
        ("2016 nissan rouge slips", (2016, "NISSAN", "ROGUE", "")),
        ("2019 black all new volvo xc60 froze", (2019, "VOLVO", "XC60", "")),
        ("my soul died again", (None, "KIA", "SOUL", "")),
        ("2016 tarn stalls at a light", (2016, "TARN", "", "")),
        ("the kia dealer keeps telling me it is normal", (None, "KIA", "", "")),
        ("own a 2021 and it stalls", (2021, "", "", "")),
        ("2019, dies coming off the highway", (2019, "", "", "")),
        ("C/S on 2020 Kia Telluride: no crank", (2020, "KIA", "TELLURIDE", "")),
        ("In 2021 I purchased a 2019 Tarn Vell. In March 2022 it died", (2019, "TARN", "VELL", "")),
        ("was hit by a 2015 Kia Soul while driving my 2020 Tarn Vell", (2020, "TARN", "VELL", "")),
        ("we own a 2017 Kia Soul and a 2020 Tarn Vell. The Vell stalls", (2020, "TARN", "VELL", "")),
        ("at 55 vell shudders", (None, "TARN", "VELL", "")),
        ("drops to 40 mazda cx-5 stalls", (None, "MAZDA", "CX-5", "")),
        ("stalls at 25 tarn vell bucks", (None, "TARN", "VELL", "")),
        ("stalls going 35 tarn vell bucks", (None, "TARN", "VELL", "")),
        ("trouble at '15 tarn vell idle", (2015, "TARN", "VELL", "")),
        ("98 kia soul stalls", (1998, "KIA", "SOUL", "")),
        ("RO 2019 tarn vell stalls", (None, "TARN", "VELL", "")),
        ("on 2019 tarn vell stalls", (2019, "TARN", "VELL", "")),
        ("2021 Tarn QD7 creeps away", (2021, "TARN", "QD", "")),
        ("our 2018 Tarn Ferry pulls left", (2018, "TARN COACH", "FERRY", "")),
        ("we have one 2022 Tarn Vell", (2022, "TARN", "VELL", "")),
        ("2021 Tarn Hybrid Vell stalls", (2021, "TARN", "VELL", "")),
        ("My Telluride stalls. It is a 2020 Kia with 20,100 miles", (2020, "KIA", "TELLURIDE", "")),
    ],
)
def test_the_vehicle_is_read_as_people_write_it(text: str, vehicle: tuple[int | None, str, str, str]) -> None:
    assert told(text) == vehicle


@pytest.mark.parametrize(
    "text",
    [
        "leaf spring broke on the trailer",
        "air bag light came on at 2000 rpm",
        "put my heart and soul into this",
        "the mirror blocked my view",
        "charged 1,200 dollars on 10/2021",
        "happened in 2021 and in march 2022",
        "RO 2087-A, 20V177, P0301",
        "2021 was when it began",
        "I was rear ended by a 2015 Kia Soul and the seat broke",
        "they gave me a rental 2021 Tarn Vell meanwhile",
        "crest of the hill, engine dies",
        "fuel pump 2019 recall",
        "",
    ],
)
def test_words_and_figures_are_no_vehicle(text: str) -> None:
    assert told(text) is None


def test_what_was_filled_in_stands_and_the_text_adds_what_is_missing() -> None:
    tarn = Vehicle("Tarn", "Vell")
    assert told("my 2019 stalls", tarn) == (2019, "Tarn", "Vell", "")
    assert told("2019 vell stalls", tarn) == (2019, "Tarn", "Vell", "")
    assert told("2019 kia soul stalls", tarn) is None
    assert told("my 2019 stalls", Vehicle("Tarn", "Vell", 2018)) is None


@pytest.mark.parametrize("newest", [2027, 2028, 2035])
def test_a_figure_is_a_model_year_up_to_the_newest(newest: int) -> None:
    for year in range(2024, 2040):
        for text in (f"my {year} Tarn Vell stalls", f"my '{year % 100} Vell stalls"):
            read = read_vehicle(text, OnFile(), Vehicle(), newest)
            assert read is not None
            assert read.vehicle.year == (year if year <= newest else None)


def test_the_words_it_was_read_from_are_kept_apart_from_the_rest() -> None:
    text = "My 2019 Tarn Vell 2.0T stalls, 2,019 miles"
    read = read_vehicle(text, OnFile(), Vehicle(), NEWEST)
    assert read is not None
    assert read.words == ("2019", "Tarn", "Vell", "2.0T")
    assert read.rest_of(text).split() == ["My", "stalls,", "2,019", "miles"]


@given(st.text(st.sampled_from("²①٢2'., ") | st.characters()), st.sampled_from(("", " vell", " tarn vell")))
@example("²²", " vell")
@example("my '²²", "")
def test_anything_may_be_typed(said: str, name: str) -> None:
    text = said + name
    read = read_vehicle(text, OnFile(), Vehicle(), NEWEST)
    if read:
        assert len(read.rest_of(text)) == len(text)


def test_the_trim_behind_a_model_tells_nothing_of_what_is_wrong() -> None:
    for text, rest in (
        ("My 2021 Tarn Vell SE Limited stalls", "My stalls"),
        ("my 2021 tarn vell se light is on", "my se light is on"),
    ):
        read = read_vehicle(text, OnFile(), Vehicle(), NEWEST)
        assert read is not None
        assert " ".join(read.rest_of(text).split()) == rest


@given(
    st.sampled_from([one for one in ON_FILE if one != ("NORVANE", "AIR BAG")]),
    st.integers(1981, 2027),
    st.sampled_from(
        [
            "The contact owns a {year} {make} {model}. The failure mileage was 42,000.",
            "{make} {model} {year}: went dead",
            "I drive a {year} {make} {model} and in 2022 it stalled at 35 mph",
            "{year} {make}, {model}. no crank",
            "we bought our {make} {model} new ({year})",
        ]
    ),
    st.sampled_from([str.upper, str.lower, str.title]),
)
def test_make_model_and_year_on_file_are_read_wherever_they_stand(
    names: tuple[str, str], year: int, template: str, written: object
) -> None:
    make, model = names
    assert callable(written)
    text = written(template.format(year=year, make=make, model=model))
    assert told(text) == (year, make, model, "")


def test_a_make_filled_in_by_another_of_its_names_is_the_make_told() -> None:
    """VIN tables say VOLVO TRUCK where people and recalls say Volvo (recall 23V689, NHTSA)."""
    assert told("2019 volvo xc60 froze", Vehicle("VOLVO TRUCK")) == (2019, "VOLVO TRUCK", "XC60", "")
