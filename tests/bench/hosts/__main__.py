"""What hosts over one PostgreSQL carry, by the size of the shop, and where the next limit is.

    python -m tests.bench.hosts FOLDER --recalls FOLDER_OR_ZIP [--shops 1 10 1000] [--only fill|night|pages]

A database holds one shop. A shop of 4 technicians is taken to put 2 concerns a day on file on 250 days of 5
years, 2,500 in all (the demo's shop has 900 in two), and to keep 200 notes: common practice, no source. So
`--shops 10` is one shop with ten times as many of both, made of the recalls. FOLDER keeps PostgreSQL and the
made shops for the next time; it must lie where other accounts of the machine may look.

For each size it starts two hosts, each with a data folder of its own, and prints size, seconds to be ready,
megabytes, milliseconds and how long the night's copy takes.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psutil
import psycopg

from kb.desk.context import RunningShop
from tests import postgres
from tests.bench.hosts.copied import copy_concerns
from tests.bench.hosts.measured import measure
from tests.bench.load.made_shop import Deck, fill
from tests.web.browsing import give_passwords

NOTES, CONCERNS = 200, 2_500
"""One shop's worth."""
DRAWN = 10
"""Of so many shops each concern is drawn; of more they are copied."""


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--recalls", type=Path, required=True)
    parser.add_argument("--shops", type=int, nargs="+", default=[1, 10, 1000])
    parser.add_argument(
        "--only", choices=["fill", "night", "pages"], help="instead of all, one after the other"
    )
    asked = parser.parse_args()
    asked.folder.mkdir(exist_ok=True)
    with _server(asked.folder / "postgresql") as server:
        for shops in asked.shops:
            url = postgres.named(server, f"shops_{shops}")
            _fill(server, url, shops, asked.recalls)
            if asked.only != "fill":
                print(
                    f"\n{shops} shops' worth; load {psutil.getloadavg()[0]:.1f} on {psutil.cpu_count()} cores"
                )
                measure(url, asked.folder / f"shops_{shops}", asked.only or "")


@contextmanager
def _server(data: Path) -> Iterator[str]:
    running = postgres.started(data)
    yield running.get_uri()
    running.cleanup()


def _fill(server: str, url: str, shops: int, recalls: Path) -> None:
    """Make the shop unless it is there."""
    name = f"shops_{shops}"
    with psycopg.connect(server) as connection:
        if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", (name,)).fetchone():
            return
    postgres.run(server, f"CREATE DATABASE {name}")
    begun = time.monotonic()
    with closing(RunningShop.open(url)) as shop:
        drawn = min(shops, DRAWN)
        fill(shop, Deck(recalls), NOTES * shops, CONCERNS * drawn)
        give_passwords(shop)
    if shops > drawn:
        copy_concerns(url, shops // drawn - 1)
    postgres.run(url, "VACUUM ANALYZE")
    print(f"{name} made in {time.monotonic() - begun:.0f} s", flush=True)


if __name__ == "__main__":
    main()
