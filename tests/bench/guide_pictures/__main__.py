"""Take the guide's pictures anew: nice python -m tests.bench.guide_pictures [--database FILE] [--only NAME]

Fills the invented shop for a fixed day (or takes a copy of FILE, filled so before), makes a new shop beside
it, opens each page on a phone in the light theme, cuts out what the guide speaks of, and writes it into
web/static/guide with few colors and two pixels a CSS pixel. Look at each before it is kept: the tests see
only that it is there, named and small.
"""

from __future__ import annotations

import argparse
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from unittest.mock import patch

from PIL import Image
from playwright.sync_api import Browser, FloatRect, Page

import web
from api.connection import kept, reach
from api.settings import from_environment
from kb.desk.context import RunningShop, utc_now
from tests.bench.guide_pictures.shots import DEMO, FIRST_RUN, OWN, TILES, TRUST, Shot
from tests.bench.pages import demo
from tests.web.access.sharing import shared_tablet
from tests.web.browsing import Visitor, give_passwords
from tests.web.chromium import chromium, listening, served
from web.trust import app as trust

FOLDER = Path(web.__file__).parent / "static" / "guide"
WIDTH, SHARP, MARGIN, COLORS = 360, 2, 6, 16
_SPAN = (
    "(one) => { const box = one.getBoundingClientRect(); return [box.top + scrollY, box.bottom + scrollY]; }"
)
_CONCERN = "SELECT c.id FROM concern c JOIN repair_order r ON r.id = c.repair_order_id WHERE r.number = ?"


@dataclass
class Camera:
    """Takes those that are asked for, as whoever the cookies say."""

    browser: Browser
    only: str

    def take(
        self, shots: Sequence[Shot], url: str, shop: RunningShop, visitor: Visitor | None = None
    ) -> None:
        for shot in shots:
            if self.only in shot.name:
                with self._phone(url, Visitor(shop).sign_in(shot.who) if shot.who else visitor) as page:
                    page.goto(url + _address(shop, shot.path), wait_until="networkidle")
                    shot.first(page)
                    _keep(page, shot)

    @contextmanager
    def _phone(self, url: str, visitor: Visitor | None) -> Iterator[Page]:
        context = self.browser.new_context(
            viewport={"width": WIDTH, "height": 800}, device_scale_factor=SHARP, color_scheme="light"
        )
        held = visitor.client.cookies.items() if visitor else ()
        context.add_cookies([{"name": name, "value": str(value), "url": url} for name, value in held])
        yield context.new_page()
        context.close()


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--database", type=Path, help="the demo, filled so before")
    parser.add_argument("--only", default="", help="pictures whose name holds this")
    asked = parser.parse_args()
    FOLDER.mkdir(exist_ok=True)
    with chromium() as browser:
        camera = Camera(browser, asked.only)
        with demo(asked.database) as shop, served(shop) as url:
            camera.take(DEMO, url, shop)
            camera.take((TILES,), url, shop, shared_tablet(shop, "tech", "lead"))
        with shop_of_its_own() as shop, served(shop) as url:
            camera.take((FIRST_RUN,), url, shop)
            give_passwords(shop)
            camera.take(OWN, url, shop)
            with listening(trust.make(from_environment())) as plain:
                camera.take((TRUST,), plain, shop)
    sizes = {file.stem: file.stat().st_size for file in sorted(FOLDER.iterdir())}
    print(*(f"{size:7,} {name}" for name, size in sizes.items()), f"{sum(sizes.values()):7,}", sep="\n")


@contextmanager
def shop_of_its_own() -> Iterator[RunningShop]:
    """A new shop, started for tablets under HTTPS at an invented address."""
    with tempfile.TemporaryDirectory(prefix="beforeflash-guide-") as folder, ExitStack() as changed:
        told = {"HOST": "0.0.0.0", "PORT": "8000", "HTTPS": "yes", "DATA": folder}  # noqa: S104
        changed.enter_context(patch.dict(os.environ, {f"BEFOREFLASH_{k}": v for k, v in told.items()}))
        for module in (kept, reach):
            changed.enter_context(patch.object(module, "reached_by", lambda _host: ("192.168.1.20",)))
        kept.renew(from_environment(), utc_now())
        shop = RunningShop.open(f"sqlite:///{folder}/shop.db", name="The shop", is_demo=False)
        yield shop
        shop.close()


def _address(shop: RunningShop, path: str) -> str:
    before, brace, rest = path.partition("{")
    if not brace:
        return path
    number, _, after = rest.partition("}")
    with shop.records.engine.connect() as plain:
        found = plain.exec_driver_sql(_CONCERN, (number,)).scalar_one()
    return f"{before}{found}{after}"


def _keep(page: Page, shot: Shot) -> None:
    page.evaluate("document.activeElement.blur()")
    found = [page.locator(one).first.evaluate(_SPAN) for one in shot.of]
    top, end = min(one[0] for one in found) - MARGIN, max(one[1] for one in found) + MARGIN
    clip = FloatRect(x=0, y=top, width=WIDTH, height=end - top)
    taken = Image.open(BytesIO(page.screenshot(full_page=True, clip=clip))).convert("RGB")
    few = taken.quantize(COLORS, dither=Image.Dither.NONE)
    few.save(FOLDER / f"{shot.name}.png", optimize=True)


if __name__ == "__main__":
    main()
