"""Kills of the server amid saving: python -m tests.bench.kills [--only sqlite|postgresql] [--kills 200].

*Killed*: eight writers save notes and concerns through HTTP, each of several rows; at a drawn moment `serve`
is ended by SIGKILL, started again over the same data, and so on. After every kill each acknowledged note
and concern must be there as it was sent (*lost*), each one on file must have all of its rows
(*half-written*), and the trail must hang together. *At once*: sixteen writers change the same eight notes
through `serve` with three worker processes; every acknowledged change must be a version (*lost updates*),
and no answer may be an error (*locked*). Ends with an error where a count is not 0.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kb.desk.access import accounts
from kb.desk.context import CONSOLE, RunningShop
from tests import postgres
from tests.bench.kills.left import Saved, half_written, lost, trail_says
from tests.bench.kills.serving import served, token_of
from tests.bench.kills.writers import Writing, change_at_once, save_on
from tests.nursery import Nursery, nursery

DATABASES = ("sqlite", "postgresql")
WRITERS, WORKERS, CHANGERS = 8, 3, 16
_CHANGES_EACH = 25
_SHORTEST, _LONGEST = 0.0, 0.5  # seconds from the first answer to the kill


def main() -> None:
    asked = _asked()
    wrong = 0
    with nursery() as processes:
        for name in asked.only or DATABASES:
            with _database(name) as (url, folder):
                wrong += killed(processes, url, folder, asked.kills)
            with _database(name) as (url, folder):
                wrong += at_once(processes, url, folder)
    sys.exit(1 if wrong else 0)


def killed(processes: Nursery, url: str, folder: Path, kills: int) -> int:
    """Prints what is lost and half-written after so many kills, and gives how much."""
    rng, saved, begun = random.Random(kills), Saved(), time.monotonic()
    headers, counts = token_of(url, "lead"), [0, 0]
    for number in range(1, kills + 1):
        with served(processes, url, folder, workers=1) as server:
            save_on(
                Writing(server.url, headers, saved), WRITERS, rng.uniform(_SHORTEST, _LONGEST), server.kill
            )
        with _opened(url) as shop:
            counts[0] += lost(shop, saved)
            counts[1] += half_written(shop)
        if number % 20 == 0 or number == kills:
            _say(
                url, f"{number} kills, {saved.count} acknowledged, {counts[0]} lost, {counts[1]} half-written"
            )
    with _opened(url) as shop:
        says = trail_says(shop)
    _say(url, f"{says.says} ({time.monotonic() - begun:.0f} s)")
    return sum(counts) + (not says.holds)


def at_once(processes: Nursery, url: str, folder: Path) -> int:
    """Prints how many changes of sixteen writers in three processes were lost, and gives how many."""
    headers = token_of(url, "lead")
    with served(processes, url, folder, workers=WORKERS) as server:
        done = change_at_once(server.url, headers, CHANGERS, _CHANGES_EACH)
        server.stop()
    _say(
        url,
        f"{CHANGERS} writers in {WORKERS} processes: {done.acknowledged} changes acknowledged, "
        f"{done.refused_as_stale} told that somebody was first, {done.lost} lost updates, "
        f"{done.errors} answered by an error (locked)",
    )
    return done.lost + done.errors


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--only", choices=DATABASES, action="append", help="instead of both")
    parser.add_argument("--kills", type=int, default=200)
    return parser.parse_args()


def _say(url: str, words: str) -> None:
    print(f"{url.partition(':')[0].partition('+')[0]}: {words}", flush=True)


@contextmanager
def _opened(url: str) -> Iterator[RunningShop]:
    shop = RunningShop.open(url)
    yield shop
    shop.close()


@contextmanager
def _database(name: str) -> Iterator[tuple[str, Path]]:
    """A new shop of one kind with its people, and the data folder of its server."""
    with tempfile.TemporaryDirectory(prefix="beforeflash-kills-") as made:
        folder = Path(made)
        if name == "sqlite":
            yield _with_people(f"sqlite:///{folder / 'shop.db'}"), folder
            return
        with (
            postgres.server(lambda url: RunningShop.open(url).close()) as server,
            postgres.database(server) as url,
        ):
            yield _with_people(url), folder


def _with_people(url: str) -> str:
    with _opened(url) as shop, shop.writing(CONSOLE) as desk:
        accounts.add_starting_people(desk)
    return url


if __name__ == "__main__":
    main()
