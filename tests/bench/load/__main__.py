"""What a server carries: four workers over one index (`start`), fifty people for five minutes (`people`).

    python -m tests.bench.load start FOLDER --recalls FOLDER_OR_ZIP [--notes 200000] [--concerns 20000]

A folder without a shop is given one of that size, made of the recalls.
"""

from __future__ import annotations

import argparse
import asyncio
from contextlib import closing
from pathlib import Path

import psutil
from sqlmodel import col, select

from kb.desk.context import CONSOLE, RunningShop
from kb.records.tables import ConcernRow
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
    parser.add_argument("what", choices=["start", "people"])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--notes", type=int, default=200_000)
    parser.add_argument("--concerns", type=int, default=20_000)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--people", type=int, default=50)
    asked = parser.parse_args()
    asked.folder.mkdir(exist_ok=True)
    if not (asked.folder / "shop.db").exists():
        with closing(RunningShop.open(url_of(asked.folder))) as shop:
            fill(shop, Deck(asked.recalls), asked.notes, asked.concerns)
            give_passwords(shop)
    print(f"load {psutil.getloadavg()[0]:.1f} on {psutil.cpu_count()} cores")
    if asked.what == "start":
        measure(asked.folder)
    else:
        people(asked.folder, asked.people, asked.seconds)


def people(folder: Path, many: int, seconds: float) -> None:
    with closing(RunningShop.open(url_of(folder))) as shop, shop.reading(CONSOLE) as desk:
        lines = select(ConcernRow.complaint).order_by(col(ConcernRow.id)).limit(SAID)
        complaints = list(desk.session.exec(lines))
        opened = select(ConcernRow.id).where(col(ConcernRow.state) == "open").limit(OPEN)
        concerns = [one or 0 for one in desk.session.exec(opened)]
    with serving(folder, workers=2) as server:
        server.until_ready(2)
        asyncio.run(at_once(server, many, seconds, complaints, concerns)).say()


if __name__ == "__main__":
    main()
