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

from playwright.sync_api import Browser, Locator, Page

from kb.desk.access import accounts
from kb.desk.bay.concern import concerns
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from tests.bench.read.camera import taken
from tests.bench.read.drawn import flat_screen, flat_vin_label
from tests.factories import a_concern, a_vehicle, actor_of, an_update
from tests.web.browsing import PASSWORD
from tests.web.chromium import chromium, screen, served

VIN, BEFORE = "1XVFB3A27K8000417", "1XVFB3A22K8000311"
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
        self.page.wait_for_url("**/read")
        self.page.wait_for_load_state()


def run() -> None:
    draw = Random(4)
    label = taken(flat_vin_label(VIN), draw, "tilt").data
    rows = [("ECU", "Cal ID", "CVN"), ("PCM", "NV77A", "4C2E9B36"), ("", "", ""), ("Code", "Status", "")]
    shown = taken(flat_screen([*rows, ("P0171", "pending", "")], "Scan"), draw, "plain").data
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        for way in ("photographed", "typed"):
            shop = _shop(Path(folder) / f"{way}.db")
            with served(shop) as url:
                thumb, seconds = _drive(browser, url, (label, shown) if way == "photographed" else ())
            print(
                f"  {way}: {thumb.taps} taps, {len(thumb.fields)} typed fields ({', '.join(thumb.fields)}), "
                f"{seconds:.0f} s of machine time"
            )


def _drive(browser: Browser, url: str, photos: tuple[bytes, ...]) -> tuple[Thumb, float]:
    bay = screen(browser, url)
    bay.page.set_viewport_size({"width": 390, "height": 664})
    bay.sign_in("tech", PASSWORD)
    bay.open("/")
    thumb, began = Thumb(bay.page), time.perf_counter()
    thumb.tap("text=New concern")
    if photos:
        for photo in photos:
            thumb.photograph(photo)
        thumb.tap("button[name=take_all]")
    else:
        thumb.type("vin", VIN)
        thumb.type("codes", "P0171")
    thumb.type("complaint", COMPLAINT)
    thumb.tap("label:has-text('no number yet')")
    thumb.tap("button:has-text('Open concern')")
    bay.page.wait_for_url("**/concerns/2")
    if not photos:
        thumb.tap("text=Read a module")
        for name, said in (("module", "PCM"), ("calibration_id", "NV77A"), ("cvn", "4C2E9B36")):
            thumb.type(name, said)
        thumb.tap("button:has-text('Save the reading')")
    for _ in range(_STEPS):
        bay.page.wait_for_load_state()
        if _first_check_in_sight(bay.page):
            break
        thumb.tap(".pick button.do")
        bay.page.wait_for_timeout(1500)
    return thumb, time.perf_counter() - began


def _first_check_in_sight(page: Page) -> bool:
    button = page.locator("form.pick[action$='/findings'] button.do").first
    box = button.bounding_box() if button.count() else None
    height = page.viewport_size["height"] if page.viewport_size else 0
    return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= height


def _shop(file: Path) -> RunningShop:
    """A shop that had a like car before, and an update for it."""
    shop = RunningShop.open(f"sqlite:///{file}")
    with shop.writing(CONSOLE) as desk:
        accounts.add_starting_people(desk)
        for user in accounts.list_users(desk):
            accounts.set_password(desk, user.id, PASSWORD)
    with shop.writing(actor_of(shop, "lead")) as desk:
        notes.write_note(desk, an_update(codes=("P0171",)))
        before = a_concern(
            ro_number="1988", vehicle=a_vehicle(vin=BEFORE), vin_confirmed=True, complaint="radio dead"
        )
        concerns.open_concern(desk, before)
    return shop
