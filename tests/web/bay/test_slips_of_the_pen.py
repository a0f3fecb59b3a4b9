"""What is typed wrong is asked back, and what is kept is what was meant."""

from __future__ import annotations

import pytest

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.context import RunningShop
from kb.errors import BadInput
from kb.nouns.vehicles import Vehicle
from tests.factories import a_concern, actor_of
from tests.web.conftest import SignIn
from web.forms import MILES, MINUTES, TypedForm

# Of an invented make; no North American beginning, so its check digit is not looked at.
KNOWN = "XV1FB3A28K8210341"
NEXT = "XV1FB3A28K8990341"


@pytest.fixture
def known(bay: RunningShop) -> RunningShop:
    with bay.writing(actor_of(bay, "tech")) as desk:
        for number, vin in (("41", KNOWN), ("42", NEXT)):
            car = Vehicle(make="Norvane", model="Tessel", year=2019, vin=vin)
            concerns.open_concern(desk, a_concern(ro_number=number, vehicle=car, vin_confirmed=True))
    return bay


def vin_of(shop: RunningShop, concern: int) -> str:
    with shop.reading(actor_of(shop, "tech")) as desk:
        return read_concern(desk, concern).vehicle.vin


@pytest.mark.parametrize(
    "slip",
    ["XV1FB3A28K8210342", "XV1FB3A28K8210314", "XV1FB3A2K88210341", "XV1FB3A28K821034"],
    ids=["one off", "two swapped", "swapped in the middle", "one missing"],
)
def test_a_vin_one_slip_off_a_known_vehicle_is_asked_back_and_taken_by_a_tap(
    known: RunningShop, signed_in: SignIn, slip: str
) -> None:
    tech = signed_in("tech")
    typed = {"vin": slip, "ro_number": "50", "complaint": "stalls"}
    page = tech.send("/concerns/new", "/concerns/new", typed, expect=422)
    assert "Use \u2026K8210341?" in page.text
    assert KNOWN in [found.get("value") for found in page.all("input") if found.get("name") == "vin_chosen"]
    tech.send("/concerns/new", "/concerns/new", typed | {"vin_chosen": KNOWN})
    assert vin_of(known, 4) == KNOWN


def test_the_neighbor_of_a_fleet_is_another_vehicle_when_somebody_says_so(
    known: RunningShop, signed_in: SignIn
) -> None:
    typed = {"vin": "XV1FB3A28K8210342", "ro_number": "50", "complaint": "stalls", "vin_other": "yes"}
    signed_in("tech").send("/concerns/new", "/concerns/new", typed)
    assert vin_of(known, 4) == "XV1FB3A28K8210342"


def test_vehicles_with_the_same_ending_are_taps(known: RunningShop, signed_in: SignIn) -> None:
    typed = {"vin": "0341", "ro_number": "50", "complaint": "stalls"}
    page = signed_in("tech").send("/concerns/new", "/concerns/new", typed, expect=422)
    offered = [found.get("value") for found in page.all("input") if found.get("name") == "vin_chosen"]
    assert sorted(map(str, offered)) == sorted((KNOWN, NEXT))


def test_sixteen_characters_are_corrected_before_opening_or_belong_to_an_older_vehicle(
    bay: RunningShop, signed_in: SignIn
) -> None:
    tech = signed_in("tech")
    typed = {"vin": "ZZ9FB3A28K821034", "ro_number": "50", "complaint": "stalls"}
    page = tech.send("/concerns/new", "/concerns/new", typed, expect=422)
    assert "16 characters" in page.text
    assert "vin_confirmed" not in page.html
    tech.send("/concerns/new", "/concerns/new", typed | {"year": "1974"})
    assert vin_of(bay, 2) == "ZZ9FB3A28K821034"


def test_a_wrong_check_digit_is_confirmed_by_the_box_that_the_message_names(
    bay: RunningShop, signed_in: SignIn
) -> None:
    typed = {"vin": "11111111X11111111", "year": "2019", "ro_number": "50", "complaint": "stalls"}
    page = signed_in("tech").send("/concerns/new", "/concerns/new", typed, expect=422)
    assert "tick “I read it again: it is right”" in page.text
    assert page.text.count("I read it again: it is right") == 2
    assert "vin_confirmed" not in page.text


@pytest.mark.parametrize("typed", ["12,50", "1,25", "1,2500", "12,500,5", ",50"])
def test_a_comma_that_may_be_a_point_is_no_money(typed: str) -> None:
    form = TypedForm({"amount": (typed,)})
    for read in (
        lambda: form.minor("amount", "USD"),
        lambda: form.number("amount"),
        lambda: form.whole("amount"),
    ):
        with pytest.raises(BadInput, match=r"Write 12\.50 or 1,250"):
            read()


def test_commas_between_thousands_are_taken() -> None:
    form = TypedForm({"amount": ("$1,250.50",), "miles": ("1,079,800",)})
    assert (form.minor("amount", "USD"), form.whole("miles")) == (125_050, 1_079_800)


def test_the_unit_that_a_field_has_may_stand_behind_its_number_and_no_other() -> None:
    for said in ("61,203 mi", "61203 Miles", "61203mi.", "61,203"):
        assert TypedForm({"odometer": (said,)}).whole("odometer", unit=MILES) == 61_203
    assert TypedForm({"minutes": ("40 min",)}).whole("minutes", unit=MINUTES) == 40
    for said in ("61,203 km", "mi", "40 min"):
        with pytest.raises(BadInput, match=r"The odometer must be a whole number\."):
            TypedForm({"odometer": (said,)}).whole("odometer", "odometer", MILES)


@pytest.mark.parametrize(
    ("typed", "currency", "told"),
    [
        ("30.555", "USD", r"The price takes at most 2 digits after the point\."),
        ("30.5", "JPY", r"The price takes no digits after the point\."),
        ("0.0001", "KWD", "at most 3 digits"),
        ("99999999999", "USD", "The price is too high: is there a digit too many?"),
    ],
)
def test_money_is_refused_with_the_reason_and_never_rounded(typed: str, currency: str, told: str) -> None:
    """Decimals of the currencies as in ISO 4217: 2 for USD, 0 for JPY, 3 for KWD (from memory)."""
    with pytest.raises(BadInput, match=told):
        TypedForm({"amount": (typed,)}).minor("amount", currency, "price")


def test_zeros_that_change_nothing_are_taken_as_typed() -> None:
    typed = {"USD": "030.5500", "JPY": "00000000030.0", "KWD": "30.555"}
    found = {code: TypedForm({"a": (text,)}).minor("a", code) for code, text in typed.items()}
    assert found == {"USD": 3_055, "JPY": 30, "KWD": 30_555}


@pytest.mark.parametrize("typed", ["2087-A", "ro2087a", "RO 2087 a", "2087", "ro#2087-a"])
def test_exact_entries_are_found_however_the_number_is_typed(
    bay: RunningShop, signed_in: SignIn, typed: str
) -> None:
    page = signed_in("tech").see(f"/exact?ro={typed.replace('#', '%23').replace(' ', '+')}")
    assert "Type exactly this" in page.text
