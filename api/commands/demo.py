"""`demo`: start the pages of an invented shop, and fill it beside them in a process of its own."""

from __future__ import annotations

import argparse
import os
import secrets
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from types import FrameType
from zoneinfo import ZoneInfo

from api.commands import say
from api.commands.serving import address_of, refuse_bad_address, run_pages
from api.settings import LOOPBACK, ProcessSettings
from kb.desk import filling, people
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.opening import only_server

_FILL = (sys.executable, "-m", "demo_data.fill")
_FAILED = 1  # what it exits with once it has said why


def demo(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """An invented shop in demo.db, told as of today. The shop's own database is not touched."""
    process = process.at(asked.host, asked.port)
    refuse_bad_address(process)
    with only_server(process.demo_url, "demo", utc_now()):
        _remove(process.demo_file)
        return _serve_anew(process)


def _serve_anew(process: ProcessSettings) -> int:
    shop = RunningShop.open(process.demo_url, name="Demo shop", is_demo=True)
    with shop.writing(CONSOLE) as desk:
        filling.begin_filling(desk)
        users = people.add_starting_people(desk)
        passwords = {} if process.host in LOOPBACK else {u.id: secrets.token_urlsafe(9) for u in users}
        for user_id, password in passwords.items():
            people.set_password(desk, user_id, password)
    shop.close()
    with _filled_meanwhile(process.demo_url, _local_day(shop)):
        say(f"Beforeflash, with an invented shop, is at {address_of(process)}")
        for user in users:
            if user.id in passwords:
                say(f"Sign in as {user.name} with the password {passwords[user.id]}")
        return run_pages(process, process.demo_url)


@contextmanager
def _filled_meanwhile(url: str, today: date) -> Iterator[None]:
    """Fill the demo while the block runs the pages. A failure stops the pages and ends the command with 1;
    whoever stops the pages stops the filling too.
    """
    filler = subprocess.Popen([*_FILL, url, today.isoformat()])  # noqa: S603  # our own module

    def watch() -> None:
        code = filler.wait()
        if code == 0:
            say("The demo is filled.")
        elif code == _FAILED:
            os.kill(os.getpid(), signal.SIGTERM)

    def stopped(number: int, _frame: FrameType | None) -> None:
        raise SystemExit(_FAILED if filler.poll() == _FAILED else 128 + number)

    before = signal.signal(signal.SIGTERM, stopped)
    threading.Thread(target=watch, name="demo", daemon=True).start()
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
        filler.terminate()


def _local_day(shop: RunningShop) -> date:
    return shop.clock().astimezone(ZoneInfo(shop.facts.timezone)).date()


def _remove(file: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
