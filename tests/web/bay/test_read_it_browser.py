"""Reading a label and a report into a new concern on a phone of 390 x 664, with scripts and without."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from kb.desk.bay.concern import concerns
from kb.desk.bay.concern.concern_file import read_concern
from kb.desk.bay.seen import photos
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from kb.nouns.concerns import CodeStatus
from kb.nouns.vehicles import CalibrationSource, CalibrationStep
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.kb.intake.scan.drawn_photos import file_of, label
from tests.web.chromium import Screen, phone_in_the_bay

pytestmark = pytest.mark.browser

VIN, OTHER_VIN, LIKE_VIN = "1NVAL45C7FR018832", "5NVAL45C5LR918830", "1NVAL45C4FR000417"
REPORT = "Odometer 84,210 mi\nModule: PCM\nCalibration ID 0447B\nCVN 1A2B3C4D\nP0171 pending\nP0300 stored\n"


@pytest.fixture(params=[True, False], ids=["with scripts", "without"])
def phone(browser: Browser, sqlite_shop: RunningShop, request: pytest.FixtureRequest) -> Iterator[Screen]:
    with phone_in_the_bay(browser, sqlite_shop, script=request.param) as shown:
        yield shown


def send(phone: Screen, field: str, *photos: bytes) -> None:
    """Choose photos together; with scripts they are read at once, without them by the button."""
    page = phone.page
    files = [{"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": one} for n, one in enumerate(photos)]
    page.set_input_files(field, files)  # type: ignore[arg-type]
    if phone.script:
        page.wait_for_url("**/read")
    else:
        page.click("#read-it")


def test_a_label_and_a_report_fill_the_form_and_what_was_typed_stays(
    phone: Screen, sqlite_shop: RunningShop
) -> None:
    page = phone.page
    phone.open("/concerns/new")
    page.fill("#complaint", "surges uphill")
    page.fill("#codes", "P0087")
    photo = file_of(label(VIN, "Code39", tilt=5, noise=6))
    page.click("#more-to-read > summary")
    page.fill("#read_text", REPORT)
    send(phone, "#photos", photo)

    page.click("button:has-text('Fill in what is ticked')")  # nothing is, and the page now stands at a place
    expect(page.locator("#filled")).to_contain_text("Nothing is ticked")
    expect(page.locator("#vin")).to_have_value("")
    expect(page.locator(".photos img")).to_have_js_property("naturalWidth", 640)
    expect(page.locator("#complaint")).to_have_value("surges uphill")
    taps = page.locator(".seen label:has(input)")
    expect(taps).to_have_count(6)
    assert phone.fits()
    for said in (VIN, "84210", "0447B", "1A2B3C4D", "P0171"):
        tap = page.locator(".seen .chips label", has_text=said)
        box = tap.bounding_box()
        assert box is not None
        assert box["height"] >= 48
        tap.click()
    page.click("button:has-text('Fill in what is ticked')")
    expect(page.locator(".seen .chips label")).to_have_count(1)

    expect(page.locator("#vin")).to_have_value(VIN)
    expect(page.locator("#odometer")).to_have_value("84210")
    expect(page.locator("#codes")).to_have_value("P0087 P0171")
    expect(page.locator("#complaint")).to_have_value("surges uphill")
    expect(page.locator(".unsaved-note")).to_have_count(0)
    assert phone.fits()
    page.fill("#ro_number", "2087")
    page.press("#ro_number", "Enter")  # opens the concern, as ever: it does not read again
    page.wait_for_url("**/concerns/*")
    assert not phone.troubles

    with sqlite_shop.reading(CONSOLE) as desk:
        opened = read_concern(desk, 1)
        assert [one.kept_by for one in photos.list_photos(desk, 1)] == ["tech"]
    assert (opened.vehicle.vin, opened.odometer) == (VIN, 84210)
    assert {(code.code, code.module, code.status) for code in opened.codes} == {
        ("P0087", "", CodeStatus.NOT_SAID),
        ("P0171", "PCM", CodeStatus.PENDING),
    }
    kept = [(one.module, one.calibration_id, one.cvn, one.source) for one in opened.readings]
    assert kept == [("PCM", "0447B", "1A2B3C4D", CalibrationSource.READ)]


def test_a_screen_is_read_into_an_open_concern_and_its_programming(
    phone: Screen, sqlite_shop: RunningShop
) -> None:
    with sqlite_shop.writing(actor_of(sqlite_shop, "tech")) as desk:
        concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=VIN), vin_confirmed=True))
    page = phone.page
    phone.open("/concerns/1")
    page.click("text=from a photo")
    page.click("#more-to-read > summary")
    page.fill("#read_text", f"{VIN}\nModule: TCM\nCal ID 1: 0447B\nCal ID 2: 0448C\nCVN 5D6E7F80\nU0100")
    page.click("#read-it")
    expect(page.locator(".only-read")).to_contain_text(VIN)
    assert phone.fits()
    page.click("button:has-text('Save all 4')")
    page.wait_for_url("**/concerns/1")
    expect(page.locator(".said")).to_contain_text("2 calibration IDs and 1 code saved")

    phone.open("/concerns/1/read")
    send(phone, "#photos", file_of(label(OTHER_VIN, "DataMatrix")))
    expect(page.get_by_role("alert")).to_contain_text("of another vehicle")
    expect(page.locator(".seen")).to_have_count(0)

    phone.open("/concerns/1/programming")
    page.click("#more-to-read > summary")
    page.fill("#read_text", "Module: TCM\nCalibration ID: 0449D\nCVN: 11223344")
    page.click("#read-it")
    page.click("button:has-text('Fill in all 2')")
    expect(page.locator("#module_1")).to_have_value("TCM")
    expect(page.locator("#after_1")).to_have_value("0449D")
    expect(page.locator("input[name=after_source_1][value=read]")).to_be_checked()
    assert not [one for one in phone.troubles if "422" not in one]
    with sqlite_shop.reading(CONSOLE) as desk:
        [read] = read_concern(desk, 1).readings
    assert [(one.calibration_id, one.cvn) for one in read.ids] == [("0447B", "5D6E7F80"), ("0448C", "")]


def test_a_photo_and_five_taps_lead_to_the_first_check(phone: Screen, sqlite_shop: RunningShop) -> None:
    """Both labels are codes, so that it is no matter how well letters are read; the text is the screen's."""
    with sqlite_shop.writing(actor_of(sqlite_shop, "lead")) as desk:
        notes.write_note(desk, an_update(steps=(CalibrationStep("PCM", ("NV77A",), "NV77B"),)))
        concerns.open_concern(desk, a_concern(vehicle=a_vehicle(vin=LIKE_VIN, year=1985), ro_number="1988"))
    page = phone.page
    phone.open("/concerns/new")
    page.click("#more-to-read > summary")
    page.fill("#read_text", "Module: PCM\nCal ID NV77A\nP0171 pending")
    send(phone, "#photos", file_of(label(VIN, "Code39")), file_of(label("SN 4417", "DataMatrix")))
    expect(page.locator(".photos img")).to_have_count(2)
    page.click("button:has-text('Fill in all 3')")
    expect(page.locator(".known")).to_contain_text("Read as 1985 Norvane Tessel 2.0 L")
    expect(page.locator("#complaint")).to_be_in_viewport()
    page.click("button:has-text('No, it is another')")
    expect(page.locator("#make")).to_have_value("")
    expect(page.locator(".known button")).to_have_count(0)
    for name, said in {"make": "Norvane", "model": "Tessel", "year": "2019"}.items():
        page.fill(f"#{name}", said)
    page.fill("#complaint", "bucks uphill when warm")
    page.click("button:has-text('Open concern') >> nth=0")
    page.wait_for_url("**/concerns/2")
    expect(page.locator(".ref").first).to_contain_text("enter its number")
    page.click("button:has-text('Looked up by this VIN today: NV77B')")
    expect(page.locator("form[action$='/findings'] button.do").first).to_be_in_viewport()
    with sqlite_shop.reading(CONSOLE) as desk:
        file = read_concern(desk, 2)
        assert len(photos.list_photos(desk, 2)) == 2
    assert [(one.module, one.newest_id, one.by) for one in file.look_ups] == [("PCM", "NV77B", "tech")]
    assert not phone.troubles


def test_a_file_that_is_no_photo_is_said_and_what_was_typed_stays(phone: Screen) -> None:
    page = phone.page
    phone.open("/concerns/new")
    page.fill("#complaint", "surges uphill")
    send(phone, "#photos", b"meow")
    expect(page.get_by_role("alert")).to_contain_text("no photo that can be read")
    expect(page.locator("#complaint")).to_have_value("surges uphill")
    page.fill("#vin", VIN[:13])
    page.click("button.do.big >> visible=true >> nth=0")
    expect(page.get_by_role("alert")).to_contain_text("13 characters")
    page.fill("#vin", "")
    send(phone, "#photos", file_of(label(VIN, "Code39")))  # refused, the page reads as before
    expect(page.locator(".seen")).to_contain_text(VIN)
