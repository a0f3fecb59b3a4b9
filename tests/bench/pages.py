"""What a page costs: statements and processor time of every page a technician waits for, in the demo shop.

    python -m tests.bench.pages [--database FILE]

Fills the invented shop for a fixed day under a clock that stands (or takes a copy of FILE, filled so before),
signs in as the lead and asks each page of the newest concerns and every note several times in this process. A
page's first answer fills what is remembered between requests and is told apart; of the others the quickest
counts, since a busy machine only ever makes an answer slower. Each figure is the median of the pages, in
brackets the most of any.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from statistics import median
from time import process_time

from starlette.testclient import TestClient

from api.security import COOKIE
from demo_data.load import load
from kb.desk.access import accounts, sign_ins
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import demo_filling
from tests.applications import pages_over
from tests.statements import statements_of

ON = date(2026, 11, 26)
NOW = datetime(2026, 11, 26, 15, 0, tzinfo=UTC)
ASKED = 5

Figures = tuple[str, str, str]
# Before a concern's file was read once: statements, milliseconds of processor the first time and again.
BEFORE: dict[str, Figures] = {
    "concern, open": ("64 (66)", "61", "33 (55)"),
    "concern, reflashed": ("69 (74)", "39", "27 (32)"),
    "concern in the interface": ("37 (39)", "11", "11 (13)"),
    "advice in the interface": ("26 (28)", "18", "17 (36)"),
    "preparation": ("50 (52)", "24", "22 (41)"),
    "programming form": ("41 (43)", "22", "21 (42)"),
    "release": ("35 (37)", "9", "8 (9)"),
    "note": ("30 (130)", "9", "8 (58)"),
}

OPEN = "SELECT id FROM concern WHERE state = 'open' ORDER BY id DESC LIMIT 20"
REFLASHED = (
    "SELECT DISTINCT c.id FROM concern c JOIN outcome o ON o.concern_id = c.id WHERE o.installed"
    " ORDER BY c.id DESC LIMIT 20"
)
NOTES = "SELECT id FROM note WHERE state = 'published' ORDER BY id"
PAGES = (
    ("concern, open", "/concerns/{}", OPEN),
    ("concern, reflashed", "/concerns/{}", REFLASHED),
    ("concern in the interface", "/api/concerns/{}", OPEN),
    ("advice in the interface", "/api/concerns/{}/advice", OPEN),
    ("preparation", "/concerns/{}/prep", OPEN),
    ("programming form", "/concerns/{}/programming", OPEN),
    ("release", "/concerns/{}/release", REFLASHED),
    ("note", "/notes/{}", NOTES),
)


@dataclass(frozen=True, slots=True)
class Cost:
    """Of one page: statements of a request and its milliseconds of processor, the first time and again."""

    statements: int
    first: float
    again: float


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--database", type=Path, help="the demo, filled so before")
    asked = parser.parse_args()
    with demo(asked.database) as shop:
        measure(shop)


@contextmanager
def demo(database: Path | None) -> Iterator[RunningShop]:
    """The invented shop, filled for a fixed day, or a copy of `database`, which was filled so before."""
    with tempfile.TemporaryDirectory(prefix="beforeflash-bench-") as folder:
        file = Path(folder) / "demo.db"
        if database:
            shutil.copy(database, file)
        shop = RunningShop.open(f"sqlite:///{file}", name="Demo", is_demo=True, clock=lambda: NOW)
        if not database:
            fill(shop)
        yield shop
        shop.close()


def fill(shop: RunningShop) -> None:
    with shop.writing(CONSOLE) as desk:
        demo_filling.begin_filling(desk)
        accounts.add_starting_people(desk)
    load(shop, ON)


def visit(shop: RunningShop, role: str) -> TestClient:
    """A client signed in as one of the demo's people."""
    with shop.writing(CONSOLE) as desk:
        cookie = sign_ins.sign_in_demo(desk, role).cookie
    return TestClient(pages_over(shop), cookies={COOKIE: cookie})


def measure(shop: RunningShop) -> None:
    client = visit(shop, "lead")
    client.get("/api/search", params={"q": "stalls"}).raise_for_status()  # builds the index
    with shop.records.engine.connect() as plain:
        ids = {which: plain.exec_driver_sql(which).scalars().all() for _, _, which in PAGES}
    headings = ("statements", "ms first", "ms again")
    print(f"{'':26}{'pages':>6}" + "".join(f"{one:>20}{'before':>14}" for one in headings))
    for name, path, which in PAGES:
        costs = [cost_of(shop, client, path.format(one)) for one in ids[which]]
        columns = (
            _middle_and_most([one.statements for one in costs]),
            _middle_and_most([one.first for one in costs]),
            _middle_and_most([one.again for one in costs]),
        )
        told = zip(columns, BEFORE.get(name, ("", "", "")), strict=True)
        print(f"{name:26}{len(costs):6}" + "".join(f"{now:>20}{then:>14}" for now, then in told), flush=True)


def cost_of(shop: RunningShop, client: TestClient, path: str) -> Cost:
    """All statements of the request count: who is signed in and what every page shows, too."""
    first = _milliseconds(client, path)
    with statements_of(shop.records.engine) as seen:
        client.get(path)
    return Cost(len(seen), first, min(_milliseconds(client, path) for _ in range(ASKED)))


def _milliseconds(client: TestClient, path: str) -> float:
    start = process_time()
    client.get(path).raise_for_status()
    return (process_time() - start) * 1000


def _middle_and_most(numbers: Sequence[float]) -> str:
    return f"{median(numbers):.0f} ({max(numbers):.0f})"


if __name__ == "__main__":
    main()
