"""What a server carries: four workers over one index (`start`), fifty people for five minutes (`people`).

    python -m tests.bench.load start FOLDER --recalls FOLDER_OR_ZIP [--notes 200000] [--concerns 20000]

A folder without a shop is given one of that size, made of the recalls (`fill` does nothing else). With
--postgresql the shop is on a server of its own in that folder, which waits for its disk as any other.
"""

from __future__ import annotations

import argparse
import asyncio
import os
from collections.abc import Iterator
from contextlib import closing, contextmanager, nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory

import psutil
from sqlmodel import col, select

from kb.desk.context import CONSOLE, RunningShop
from kb.desk.opening_database import has_shop
from kb.records.tables import ConcernRow
from tests import postgres
from tests.bench.load.made_shop import Deck, fill
from tests.bench.load.people import at_once
from tests.bench.load.server import serving, url_of
from tests.bench.load.starting import measure
from tests.web.browsing import give_passwords

OPEN, SAID = 200, 500


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=["fill", "start", "people"])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--notes", type=int, default=200_000)
    parser.add_argument("--concerns", type=int, default=20_000)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--people", type=int, default=50)
    parser.add_argument("--postgresql", action="store_true")
    asked = parser.parse_args()
    asked.folder.mkdir(exist_ok=True)
    with _database(asked) as url:
        print(f"load {psutil.getloadavg()[0]:.1f} on {psutil.cpu_count()} cores", flush=True)
        if asked.what == "start":
            measure(asked.folder, url)
        elif asked.what == "people":
            people(asked.folder, url, asked.people, asked.seconds)


@contextmanager
def _database(asked: argparse.Namespace) -> Iterator[str]:
    """The URL of a filled shop."""
    with _postgresql(asked.folder) if asked.postgresql else nullcontext(url_of(asked.folder)) as url:
        if not has_shop(url):
            _fill(asked, url)
        yield url


@contextmanager
def _postgresql(folder: Path) -> Iterator[str]:
    with TemporaryDirectory(prefix="beforeflash-load-") as runtime:
        os.environ["XDG_RUNTIME_DIR"] = runtime
        running = postgres.started(folder.absolute() / "postgres")
        try:
            yield running.get_uri()
        finally:
            running.cleanup()


def _fill(asked: argparse.Namespace, url: str) -> None:
    with closing(RunningShop.open(url)) as shop:
        fill(shop, Deck(asked.recalls), asked.notes, asked.concerns)
        give_passwords(shop)


def people(folder: Path, url: str, many: int, seconds: float) -> None:
    with closing(RunningShop.open(url)) as shop, shop.reading(CONSOLE) as desk:
        lines = select(ConcernRow.complaint).order_by(col(ConcernRow.id)).limit(SAID)
        complaints = list(desk.session.exec(lines))
        opened = select(ConcernRow.id).where(col(ConcernRow.state) == "open").limit(OPEN)
        concerns = [one or 0 for one in desk.session.exec(opened)]
    with serving(folder, url, workers=2) as server:
        server.until_ready(2)
        server.until_open()
        asyncio.run(at_once(server, many, seconds, complaints, concerns)).say()


if __name__ == "__main__":
    main()
