"""From the home page to the first check in sight, on a phone of 390 x 664: taps, typed fields, seconds.

A drawn label and drawn screens of an invented car whose update is on file; with photos chosen together or
taken one by one, and typed from the same label and screen. Needs Chromium.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from playwright.sync_api import Locator, Page

from kb.desk.bay.concern import concerns
from kb.desk.context import RunningShop
from kb.desk.notes import notes
from kb.nouns.vehicles import CalibrationStep
from tests.bench.read.camera import taken
from tests.bench.read.drawn import flat_screen, flat_vin_label
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.web.chromium import Screen, chromium, phone_in_the_bay

VIN, BEFORE = "5NVFB3A23K8000417", "5NVFB3A29K8000311"
COMPLAINT = "bucks n jerks lite throtle goin uphill only wen warm"
_STEPS = 12


@dataclass
class Thumb:
    """A person with one hand; counts what is tapped and which fields are typed."""

    page: Page
    taps: int = 0
    fields: list[str] = field(default_factory=list)

    def tap(self, what: Locator | str) -> None:
        (self.page.locator(what) if isinstance(what, str) else what).first.click()
        self.taps += 1

    def type(self, name: str, text: str) -> None:
        """A tap into the field, then the text."""
        self.tap(f"#{name}")
        self.page.keyboard.type(text)
        self.fields.append(name)

    def photograph(self, photos: Sequence[bytes], field: str) -> None:
        """A tap on the field; what is chosen there together is read at once."""
        self.taps += 1
        before = self.page.locator(".photos img").count()
        files = [
            {"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": one} for n, one in enumerate(photos)
        ]
        self.page.set_input_files(field, files)  # type: ignore[arg-type]
        self.page.locator(".photos img").nth(before + len(photos) - 1).wait_for()


def run() -> None:
    label, screen, look_up = _photos()
    ways: dict[str, tuple[str, list[list[bytes]]]] = {
        "label and screen chosen together": ("#photos", [[label, screen]]),
        "label, screen and look-up chosen together": ("#photos", [[label, screen, look_up]]),
        "label, then screen, by the camera": ("#camera", [[label], [screen]]),
        "typed": ("", []),
    }
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        for n, (way, (field, sendings)) in enumerate(ways.items()):
            shop = _shop(Path(folder) / f"{n}.db")
            with phone_in_the_bay(browser, shop) as bay:
                thumb, seconds = _drive(bay, field, sendings)
            photos = f"{len(sendings)} of them for photos, " if sendings else ""
            print(
                f"  {way}: {thumb.taps} taps, {photos}{len(thumb.fields)} typed fields "
                f"({', '.join(thumb.fields)}), {seconds:.0f} s of machine time"
            )


def _photos() -> tuple[bytes, bytes, bytes]:
    """Of the label, the scan tool's screen and the screen of the manufacturer's look-up."""
    draw = Random(4)
    label = taken(flat_vin_label(VIN), draw, "tilt").data
    rows = [("ECU", "Cal ID", "CVN"), ("PCM", "NV77A", "4C2E9B36"), ("", "", ""), ("Code", "Status", "")]
    screen = taken(flat_screen([*rows, ("P0171", "pending", "")], "Scan"), draw, "plain").data
    offered = [("ECU", "Current ID", "Newest ID"), ("PCM", "NV77A", "NV77B")]
    return label, screen, taken(flat_screen(offered, f"VIN {VIN}"), draw, "plain").data


def _drive(bay: Screen, field: str, sendings: list[list[bytes]]) -> tuple[Thumb, float]:
    bay.open("/")
    thumb, began = Thumb(bay.page), time.perf_counter()
    page = bay.page
    thumb.tap("text=New concern")
    if sendings:
        if field == "#camera":
            thumb.tap("#more-to-read > summary")
        for photos in sendings:
            thumb.photograph(photos, field)
        with page.expect_navigation():
            thumb.tap("button[name=take_all]")
    else:
        thumb.type("vin", VIN)
        thumb.tap(".known button:has-text('Take')")
    thumb.type("complaint", COMPLAINT)
    if not sendings:
        thumb.type("codes", "P0171")
    thumb.tap("button:has-text('Open concern')")
    page.wait_for_url("**/concerns/2")
    if not sendings:
        if not page.input_value("#module-now"):
            thumb.type("module-now", "PCM")
        thumb.type("id-now", "NV77A")
        thumb.tap("button:has-text('From the vehicle')")
        page.wait_for_timeout(1500)
    for _ in range(_STEPS):
        page.wait_for_load_state()
        if _first_check_in_sight(page):
            return thumb, time.perf_counter() - began
        thumb.tap("form[action$='/look-ups'] button:has-text('Looked up by this VIN')")
        page.wait_for_timeout(1500)
    raise AssertionError("no check came into sight")


def _first_check_in_sight(page: Page) -> bool:
    button = page.locator("form.pick[action$='/findings'] button.do").first
    box = button.bounding_box() if button.count() else None
    height = page.viewport_size["height"] if page.viewport_size else 0
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= height


def _shop(file: Path) -> RunningShop:
    """A shop that had a like car before, and an update for it."""
    shop = RunningShop.open(f"sqlite:///{file}")
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(
            desk, an_update(codes=("P0171",), steps=(CalibrationStep("PCM", ("NV77A",), "NV77B"),))
        )
        before = a_concern(
            ro_number="1988", vehicle=a_vehicle(vin=BEFORE), vin_confirmed=True, complaint="radio dead"
        )
        concerns.open_concern(desk, before)
    return shop
