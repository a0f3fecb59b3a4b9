"""One shop under two hosts: how big, how soon, how much memory, how long people wait."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import numpy as np
from sqlalchemy import func
from sqlmodel import Session, col, select

from kb.desk.context import CONSOLE, RunningShop
from kb.desk.shop import backup_turns, backups
from kb.records.tables import ConcernRow, NoteRow
from tests import patience
from tests.bench.load.people import sign_in
from tests.bench.load.server import Server, serving, token_of

WORKERS = 2
SEARCHES, CONCERNS, OPENED, AGAIN = 200, 60, 20, 5


@dataclass(frozen=True)
class OnFile:
    """What to ask for: complaints as customers say them, and ids of open concerns."""

    complaints: Sequence[str]
    concerns: Sequence[int]


def measure(url: str, folder: Path, only: str = "") -> None:
    """Prints the figures of one size. The night's copy comes first: a server that starts would make it."""
    shutil.rmtree(folder, ignore_errors=True)
    hosts = [folder / name for name in ("one", "other")]
    for host in hosts:
        host.mkdir(parents=True)
    with closing(RunningShop.open(url, data_folder=hosts[0])) as shop:
        asked = _sizes(shop)
        if only == "pages":
            _say_it_is_made(shop)
        else:
            _night(shop)
    if only == "night":
        return
    token = {"Authorization": f"Bearer {token_of(url, 'lead')}"}
    with serving(hosts[0], url, WORKERS) as one:
        built = one.until_ready(WORKERS)
        print(f"  host with {WORKERS} workers ready in {built:.1f} s, index {_index_seconds(one)}")
        print(f"  at rest {one.memory()}")
        _pages(one, token, asked)
        print(f"  at work {one.memory()}", flush=True)
        with serving(hosts[1], url, 1) as other:
            other.until_ready(1)
            _found_at_the_other(one, other, token)
    with serving(hosts[0], url, WORKERS) as again:
        print(f"  started again, nothing changed: ready in {again.until_ready(WORKERS):.1f} s", flush=True)


def _sizes(shop: RunningShop) -> OnFile:
    with shop.reading(CONSOLE) as desk:
        session: Session = desk.session
        size = session.execute(select(func.pg_database_size(func.current_database()))).scalar_one()
        notes, concerns = (
            session.exec(select(func.count()).select_from(one)).one() for one in (NoteRow, ConcernRow)
        )
        said = select(ConcernRow.complaint).order_by(col(ConcernRow.id)).limit(SEARCHES)
        opened = select(ConcernRow.id).where(col(ConcernRow.state) == "open").limit(CONCERNS)
        asked = OnFile(list(session.exec(said)), [one or 0 for one in session.exec(opened)])
    print(f"  {notes:,} notes, {concerns:,} concerns; database {size / 1e6:,.0f} MB")
    return asked


def _night(shop: RunningShop) -> None:
    begun = time.monotonic()
    with shop.reading(CONSOLE) as desk:
        name = backups.back_up_now(desk)
    seconds = time.monotonic() - begun
    with shop.reading(CONSOLE) as desk:
        [line] = (one for one in backups.read_backups(desk).lines if one.name == name)
    _say_it_is_made(shop)
    print(f"  the night's copy: {seconds:.1f} s, {line.size / 1e6:,.0f} MB", flush=True)


def _say_it_is_made(shop: RunningShop) -> None:
    with shop.writing(CONSOLE) as desk:
        backup_turns.note_copy(desk, "bench", "none", begun=desk.now, nightly=True)


def _index_seconds(server: Server) -> str:
    """Of the slowest worker, as it says itself."""
    return max((line.rpartition(", ")[2] for line in server.ready()), key=lambda said: float(said.split()[0]))


def _pages(server: Server, token: dict[str, str], asked: OnFile) -> None:
    owner = httpx.Client(base_url=server.url, cookies=sign_in(server, "owner"), timeout=patience.LONG)
    calls = httpx.Client(base_url=server.url, headers=token, timeout=patience.LONG)
    with owner, calls:

        def page(path: str, **query: Any) -> None:
            answer = owner.get(path, params=query)
            assert answer.status_code == 200, f"{path}: {answer.status_code}"

        def opening(number: int) -> None:
            body = {"ro_number": f"Q{time.time_ns()}", "complaint": asked.complaints[number]}
            body |= {"make": "Kia", "model": "SORENTO", "year": 2021}
            answer = calls.post("/api/concerns", json=body)
            assert answer.status_code == 201, answer.text

        vehicle = {"make": "Kia", "model": "SORENTO", "year": "2021"}
        _say("search page", _timed(lambda said: page("/search", q=said), asked.complaints))
        _say(
            "the same, vehicle known",
            _timed(lambda said: page("/search", q=said, **vehicle), asked.complaints),
        )
        _say("page of a concern", _timed(lambda one: page(f"/concerns/{one}"), asked.concerns))
        _say("a concern opened", _timed(opening, range(OPENED)))
        for path in ("/review", "/review/month", "/review/week"):
            first, *again = _timed(lambda _, path=path: page(path), range(AGAIN + 1))
            print(f"    {path:24} first {first:7.0f} ms, again {max(again):5.0f} ms at most", flush=True)


def _found_at_the_other(one: Server, other: Server, token: dict[str, str]) -> None:
    """A note saved at one host, and the first search at the other."""
    words = "zephyr hose wheezes"
    with httpx.Client(headers=token, timeout=patience.LONG) as client:
        body = {"kind": "lesson", "title": words, "symptom": words, "body": "Look at it."}

        def saved(_: object) -> None:
            assert client.post(f"{one.url}/api/notes", json=body).status_code == 201

        def found(_: object) -> None:
            results = client.get(f"{other.url}/api/search", params={"q": words}).json()["results"]
            assert results[0]["title"] == words

        for _ in range(2):
            save, search = _timed(saved, [1]), _timed(found, [1])
        print(f"    saved at one host in {save[0]:.0f} ms, then found at the other in {search[0]:.0f} ms")


def _timed(ask: Callable[[Any], None], of: Iterable[Any]) -> list[float]:
    """Milliseconds of each."""
    took = []
    for one in of:
        begun = time.perf_counter()
        ask(one)
        took.append((time.perf_counter() - begun) * 1e3)
    return took


def _say(what: str, took: Sequence[float]) -> None:
    p50, p95 = np.percentile(took, (50, 95))
    print(f"    {what:24} p50 {p50:5.0f}  p95 {p95:5.0f} ms", flush=True)
