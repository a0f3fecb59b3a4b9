"""From the home page to the first check in sight, on a phone of 390 x 664: taps, typed fields, seconds.

A drawn label and a drawn screen of an invented car whose update is on file; once with photos, once typed from
the same label and screen. Needs Chromium.
"""

from __future__ import annotations

import tempfile
import time
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

    def photograph(self, data: bytes) -> None:
        """A tap on the camera; the picture is read at once."""
        self.taps += 1
        self.page.set_input_files("#camera", {"name": "photo.jpg", "mimeType": "image/jpeg", "buffer": data})
        before = self.page.locator(".photos img").count()
        self.page.locator(".photos img").nth(before).wait_for()


def run() -> None:
    draw = Random(4)
    label = taken(flat_vin_label(VIN), draw, "tilt").data
    rows = [("ECU", "Cal ID", "CVN"), ("PCM", "NV77A", "4C2E9B36"), ("", "", ""), ("Code", "Status", "")]
    shown = taken(flat_screen([*rows, ("P0171", "pending", "")], "Scan"), draw, "plain").data
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        for way in ("photographed", "typed"):
            shop = _shop(Path(folder) / f"{way}.db")
            with phone_in_the_bay(browser, shop) as bay:
                thumb, seconds = _drive(bay, (label, shown) if way == "photographed" else ())
            print(
                f"  {way}: {thumb.taps} taps, {len(thumb.fields)} typed fields ({', '.join(thumb.fields)}), "
                f"{seconds:.0f} s of machine time"
            )


def _drive(bay: Screen, photos: tuple[bytes, ...]) -> tuple[Thumb, float]:
    bay.open("/")
    thumb, began = Thumb(bay.page), time.perf_counter()
    thumb.tap("text=New concern")
    if photos:
        for photo in photos:
            thumb.photograph(photo)
        marked = bay.page.locator(".seen .chips label:has(mark)")
        for n in range(marked.count()):
            thumb.tap(marked.nth(n))
        thumb.tap("button[name=take_all]")
    else:
        thumb.type("vin", VIN)
        thumb.tap(".known button:has-text('Take')")
        thumb.type("codes", "P0171")
    if photos:
        with bay.page.expect_navigation():
            thumb.tap(".known button:has-text('Take')")
    thumb.type("complaint", COMPLAINT)
    thumb.tap("label:has-text('no number yet')")
    thumb.tap("button:has-text('Open concern')")
    bay.page.wait_for_url("**/concerns/2")
    if not photos:
        if not bay.page.input_value("#module-now"):
            thumb.type("module-now", "PCM")
        thumb.type("id-now", "NV77A")
        thumb.tap("button:has-text('From the vehicle')")
        bay.page.wait_for_timeout(1500)
    for _ in range(_STEPS):
        bay.page.wait_for_load_state()
        if _first_check_in_sight(bay.page):
            break
        _settle(thumb)
        bay.page.wait_for_timeout(1500)
    return thumb, time.perf_counter() - began


def _settle(thumb: Thumb) -> None:
    """The step in front of the checks: what the manufacturer's look-up by VIN offers."""
    thumb.type("newest-now", "NV77B")
    thumb.tap(".pick button:has-text('Newer one')")


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
