"""`demo`: start the pages of an invented shop, and fill it beside them in a process of its own.

What the pages need is imported while that process imports what it needs.
"""

from __future__ import annotations

import argparse
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from api.commands import say
from api.connection.addresses import is_loopback
from api.settings import ProcessSettings

_FILL = (sys.executable, "-m", "demo_data.fill")
_FAILED = 1  # what it exits with once it has said why


def demo(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """An invented shop in demo.db, told as of today. The shop's own database is not touched."""
    process = process.at(asked.host, asked.port, https=asked.https, https_only=asked.https_only)
    with _filler() as filler:
        from api.commands import announcing, listening, serving  # meanwhile
        from api.connection import https_only, secured
        from kb.desk.context import utc_now
        from kb.desk.opening_database import only_server

        listening.refuse_bad_address(process)
        https_only.refuse_what_is_open(process, process.demo_url)
        with only_server(process.demo_url, "demo", utc_now()):
            passwords = _make_empty(process, filler)
            if process.https:
                secured.prepared(process)
            announcing.say_where(process, "Beforeflash, with an invented shop,")
            for name, password in passwords.items():
                say(f"Sign in as {name} with the password {password}")
            return serving.run_pages(process, process.demo_url)


def _make_empty(process: ProcessSettings, filler: subprocess.Popen[str]) -> dict[str, str]:
    """A new demo.db with its people, which the filler may begin to fill; gives their passwords by name."""
    from kb.desk.access import accounts
    from kb.desk.access.passwords import made_up
    from kb.desk.context import CONSOLE, RunningShop
    from kb.desk.shop import demo_filling

    _remove(process.demo_file)
    shop = RunningShop.open(process.demo_url, name="Demo shop", is_demo=True)
    with shop.writing(CONSOLE) as desk:
        demo_filling.begin_filling(desk)
        users = accounts.add_starting_people(desk)
        passwords = {} if is_loopback(process.host) else {u.name: made_up() for u in users}
        for user in users:
            if user.name in passwords:
                chosen = accounts.choose_for(desk, user.id, passwords[user.name])
                accounts.set_password(desk, user.id, chosen)
    shop.close()
    today = shop.facts.day_of(shop.clock())
    if filler.stdin is not None:
        filler.stdin.write(f"{process.demo_url} {today.isoformat()}\n")
        filler.stdin.close()
    return passwords


@contextmanager
def _filler() -> Iterator[subprocess.Popen[str]]:
    """What fills the demo, as soon as it is told where, while the block runs the pages. Its failure stops
    the pages and ends the command with 1; whoever stops the pages stops it too.
    """
    filler = subprocess.Popen(_FILL, stdin=subprocess.PIPE, text=True)  # noqa: S603  # our own module

    def watch() -> None:
        code = filler.wait()
        if code == 0:
            say("The demo is filled.")
        elif code == _FAILED:
            signal.raise_signal(signal.SIGTERM)

    def stopped(number: int, _frame: FrameType | None) -> None:
        raise SystemExit(_FAILED if filler.poll() == _FAILED else 128 + number)

    before = signal.signal(signal.SIGTERM, stopped)
    threading.Thread(target=watch, name="demo", daemon=True).start()
    try:
        yield filler
    finally:
        signal.signal(signal.SIGTERM, before)
        filler.terminate()
        if filler.stdin is not None:
            filler.stdin.close()  # what refuses to start has told it nothing


def _remove(file: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
