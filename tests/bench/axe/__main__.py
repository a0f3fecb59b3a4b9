"""Every page held to axe-core, 320 px and 48 px targets: nice python -m tests.bench.axe [--database FILE].

Fills the invented shop for a fixed day (or takes a copy of FILE, filled so before), signs in as each of the
three people, follows every link, and shows one page of each kind, all folds open, at three widths in two
themes. Prints each fault once, where it is first seen; the last line counts. `--only WORD` takes the pages
whose address holds WORD.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser
from starlette.testclient import TestClient

from tests.bench.pages import demo, visit
from tests.web import one_hand
from tests.web.browsing import Page
from tests.web.chromium import chromium, screen, served

WIDTHS, ROLES = (1280, 390, 320), ("tech", "lead", "owner")
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
            client = visit(shop, role)
            for path in kinds_of_pages(client):
                if asked.only in path:
                    show(browser, url, client, path, role, seen)
        print(f"{seen.pages} pages shown, {len(seen.faults)} faults")


def kinds_of_pages(client: TestClient) -> list[str]:
    """Follows links, a few of each kind: a thousand notes are one page."""
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
        waiting += found[path].leads_to
    return one_hand.one_of_each(found, one_hand.by_question)


def show(browser: Browser, url: str, client: TestClient, path: str, role: str, seen: Seen) -> None:
    shown = screen(browser, url, WIDTHS[0])
    shown.come_in_as(client)
    shown.open(path)
    page = shown.page
    one_hand.load_axe(page)
    one_hand.unfold(page)
    for width in WIDTHS:
        for dark in (False, True):
            seen.pages += 1
            for fault in one_hand.faults(page, width, dark=dark):
                seen.add(fault, f"{path} as {role} at {width}{' dark' if dark else ''}")
    page.context.close()


if __name__ == "__main__":
    main()
