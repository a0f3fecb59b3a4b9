"""The whole job under two worker processes: python -m tests.bench.workers [--only sqlite|postgresql].

Starts `serve` with two workers on a new database and does a technician's whole job, by forms and then by
calls with a key, in three ways: each sent *once*; each sent *at once* over two connections that different
workers hold; and each *cut*: sent, the connection closed before the answer, and sent again to the other
worker. Every answer of a pair must be the same, and every table must then hold as many rows as where all
was sent once. Ends with an error where one does not.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Generator, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

import httpx
from sqlalchemy import func, select
from sqlmodel import SQLModel

from kb.desk.access import accounts, tokens
from kb.desk.context import CONSOLE, RunningShop
from kb.desk.notes import notes
from tests import postgres
from tests.bench.workers.job import Hands, by_calls, by_forms
from tests.bench.workers.two import Held, part, signed_in, two_workers
from tests.factories import actor_of, an_update
from tests.web.browsing import Page

WAYS = ("once", "at once", "cut")
DATABASES = ("sqlite", "postgresql")
_CUT_AFTER = 0.005  # seconds: the server has the form, its answer is not there


@dataclass
class Pair:
    """Two connections at two workers; sends what it is given in one of the ways."""

    one: Held
    other: Held
    way: str
    answers: list[tuple[str, set[tuple[int, str]]]] = field(default_factory=list)
    pool: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(2))

    def see(self, path: str) -> Page:
        answer = self.one.get(path)
        assert answer.status_code == 200, f"{path}: {answer.status_code}"
        return Page(answer.text)

    def send(self, page: str, action: str, typed: Mapping[str, Any]) -> None:
        fields = self.see(page).form(action).fields | typed
        self._sent(action, lambda held: held.client.post(action, data=fields))

    def call(self, method: str, path: str, body: Mapping[str, Any], headers: Mapping[str, str]) -> None:
        keyed = {**headers, "Idempotency-Key": str(uuid4())}
        self._sent(path, lambda held: held.client.request(method, path, json=body, headers=keyed))

    def _sent(self, what: str, send: Any) -> None:
        if self.way == "once":
            found = [send(self.one)]
        else:
            part(self.one, self.other)
            found = (
                list(self.pool.map(send, (self.one, self.other)))
                if self.way == "at once"
                else [self._cut_then_again(send)]
            )
        said = {(one.status_code, one.headers.get("location", one.text)) for one in found}
        self.answers.append((what, said))
        status = {one.status_code for one in found}
        assert status <= {200, 201, 204, 303}, f"{what}: {found[0].text[-1500:]}"
        assert len(said) == 1, f"{what}: answered otherwise by the two: {said}"

    def _cut_then_again(self, send: Any) -> httpx.Response:
        before = self.one.client.timeout
        self.one.client.timeout = httpx.Timeout(before.connect, read=_CUT_AFTER)
        with suppress(httpx.TimeoutException):
            send(self.one)
        self.one.let_go()
        answer: httpx.Response = send(self.other)
        return answer


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--only", choices=DATABASES, action="append", help="instead of both")
    wrong = 0
    for name in parser.parse_args().only or DATABASES:
        with databases(name) as new:
            counted = {way: done(next(new), way) for way in WAYS}
        for way in WAYS[1:]:
            differ = {
                table: (counted["once"][table], rows)
                for table, rows in counted[way].items()
                if rows != counted["once"][table]
            }
            wrong += len(differ)
            print(f"{name}, {way}: {differ or 'every table as sent once'}", flush=True)
    sys.exit(1 if wrong else 0)


def done(database: str, way: str) -> dict[str, int]:
    """The job in one way on a new database; gives the rows of each table after it."""
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="beforeflash-workers-") as folder:
        shop = RunningShop.open(database)
        with shop.writing(CONSOLE) as desk:
            accounts.add_starting_people(desk)
        with shop.writing(actor_of(shop, "lead")) as desk:
            notes.write_note(desk, an_update(codes=("P0171",)))
        with shop.writing(CONSOLE) as desk:
            token = {"Authorization": f"Bearer {tokens.new_token(desk, 'tech')}"}
        today = shop.facts.day_of(shop.clock())
        with two_workers(database, Path(folder)) as url:
            cookies = signed_in(url, database, "tech")
            pair = Pair(Held(url, cookies), Held(url, cookies), way)
            forms = by_forms(Hands(pair.see, pair.send, today))
            opened = {
                "ro_number": "2088",
                "complaint": "surges at light throttle uphill",
                "make": "Norvane",
                "model": "Tessel",
                "year": 2019,
            }
            pair.call("POST", "/api/concerns", opened, token)
            by_calls(lambda method, path, body: pair.call(method, path, body, token), 2, today)
            calls = len(pair.answers) - forms
        with shop.reading() as desk:
            rows = {
                name: desk.session.scalar(select(func.count()).select_from(table)) or 0
                for name, table in SQLModel.metadata.tables.items()
            }
        shop.close()
    seconds = time.monotonic() - begun
    print(f"{database.partition(':')[0]}, {way}: {forms} forms, {calls} calls, {seconds:.0f} s", flush=True)
    return rows


@contextmanager
def databases(name: str) -> Iterator[Iterator[str]]:
    """New databases of one kind, one after the other."""
    with tempfile.TemporaryDirectory(prefix="beforeflash-workers-") as folder:
        if name == "sqlite":
            yield (f"sqlite:///{folder}/{number}/shop.db" for number in range(len(WAYS)))
            return
        with (
            postgres.server(lambda url: RunningShop.open(url).close()) as server,
            closing(_one_after_the_other(server)) as new,
        ):
            yield new


def _one_after_the_other(server: str) -> Generator[str]:
    while True:
        with postgres.database(server) as url:
            yield url


if __name__ == "__main__":
    main()
