"""Every page held to axe-core, 320 px and 48 px targets: nice python -m tests.bench.axe [--database FILE].

Fills the invented shop for a fixed day (or takes a copy of FILE, filled so before), signs in as each of the
three people, follows every link, and shows one page of each kind, all folds open, at three widths in two
themes. Prints each fault once, where it is first seen; the last line counts. `--only WORD` takes the pages
whose address holds WORD.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser
from starlette.testclient import TestClient

from api.security import COOKIE
from kb.desk.access import sign_ins
from kb.desk.context import CONSOLE, RunningShop
from tests.applications import pages_over
from tests.bench.pages import NOW, fill
from tests.web import one_hand
from tests.web.browsing import Page
from tests.web.chromium import chromium, served

WIDTHS, ROLES = (1280, 390, 320), ("tech", "lead", "owner")
NO_PAGES = ("/api/", "/static/", "tel:", "mailto:", "sms:", "#", "http")
OF_A_KIND = 3


@dataclass
class Seen:
    """Faults by their words, each told when it is first seen."""

    faults: set[str] = field(default_factory=set)
    pages: int = 0

    def add(self, fault: str, where: str) -> None:
        if fault not in self.faults:
            print(f"{where}: {fault}", flush=True)
        self.faults.add(fault)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--database", type=Path, help="the demo, filled so before")
    parser.add_argument("--only", default="", help="pages whose address holds this")
    parser.add_argument("--role", choices=ROLES, action="append", help="instead of all three")
    asked = parser.parse_args()
    with demo(asked.database) as shop, served(shop) as url, chromium() as browser:
        seen = Seen()
        for role in asked.role or ROLES:
            cookie = cookie_of(shop, role)
            paths = [one for one in kinds_of_pages(shop, cookie) if asked.only in one]
            for path in paths:
                show(browser, url, cookie, path, role, seen)
        print(f"{seen.pages} pages shown, {len(seen.faults)} faults")


@contextmanager
def demo(database: Path | None) -> Iterator[RunningShop]:
    with tempfile.TemporaryDirectory(prefix="beforeflash-bench-") as folder:
        file = Path(folder) / "demo.db"
        if database:
            shutil.copy(database, file)
        shop = RunningShop.open(f"sqlite:///{file}", name="Demo", is_demo=True, clock=lambda: NOW)
        if not database:
            fill(shop)
        yield shop
        shop.close()


def cookie_of(shop: RunningShop, role: str) -> str:
    with shop.writing(CONSOLE) as desk:
        return sign_ins.sign_in_demo(desk, role).cookie


def kinds_of_pages(shop: RunningShop, cookie: str) -> list[str]:
    """Follows links, a few of each kind: a thousand notes are one page."""
    client = TestClient(pages_over(shop), cookies={COOKIE: cookie})
    found: dict[str, Page] = {}
    times: dict[str, int] = {}
    waiting = ["/"]
    while waiting:
        path = waiting.pop()
        kind = one_hand.by_question(path)
        if path in found or times.get(kind, 0) >= OF_A_KIND:
            continue
        times[kind] = times.get(kind, 0) + 1
        answer = client.get(path)
        if "html" not in answer.headers.get("content-type", ""):
            continue
        found[path] = Page(answer.text)
        links = (link.split("#")[0] for link in found[path].links)
        waiting += [link for link in links if link and not link.startswith(NO_PAGES)]
    return one_hand.one_of_each(found, one_hand.by_question)


def show(browser: Browser, url: str, cookie: str, path: str, role: str, seen: Seen) -> None:
    context = browser.new_context(viewport={"width": WIDTHS[0], "height": 800})
    context.add_cookies([{"name": COOKIE, "value": cookie, "url": url}])
    page = context.new_page()
    page.goto(url + path)
    one_hand.load_axe(page)
    one_hand.unfold(page)
    for width in WIDTHS:
        for dark in (False, True):
            seen.pages += 1
            for fault in one_hand.faults(page, width, dark=dark):
                seen.add(fault, f"{path} as {role} at {width}{' dark' if dark else ''}")
    context.close()


if __name__ == "__main__":
    main()
