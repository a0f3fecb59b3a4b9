"""`serve` and `demo`: open the shop, say where it is, and start the pages."""

from __future__ import annotations

import argparse
import errno
import os
import secrets
import socket
import threading
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import uvicorn

from api.commands import say
from api.settings import LOOPBACK, BadSettings, ProcessSettings
from kb.desk import people
from kb.desk.context import CONSOLE, RunningShop

SHUTDOWN_SECONDS = 5  # what open requests get after SIGTERM
LONGEST_WAIT_SECONDS = 30  # the pages answer within a minute of the start


def serve(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """The shop's own database; while no account has a password, the set-up code is printed."""
    process = process.at(asked.host, asked.port)
    refuse_bad_address(process)
    shop = RunningShop.open(process.shop_url)
    with shop.writing(CONSOLE) as desk:
        code = people.issue_set_up_code(desk) if people.first_run_open(desk) else ""
    shop.close()
    say(f"Beforeflash is at {_address(process)}")
    if code:
        say(f"Set-up code for the first owner (once): {code}")
    return _run(process, process.shop_url)


def demo(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """An invented shop in demo.db, dated back from today. The shop's own database is not touched."""
    process = process.at(asked.host, asked.port)
    refuse_bad_address(process)
    _remove(process.demo_file)
    shop = RunningShop.open(process.demo_url, name="Demo shop", is_demo=True)
    with shop.writing(CONSOLE) as desk:
        users = people.add_starting_people(desk)
        passwords = {} if process.host in LOOPBACK else {u.id: secrets.token_urlsafe(9) for u in users}
        for user_id, password in passwords.items():
            people.set_password(desk, user_id, password)
    if not _fill(shop):
        say("The demo is still being filled; its pages show little until that is done.")
    say(f"Beforeflash, with an invented shop, is at {_address(process)}")
    for user in users:
        if user.id in passwords:
            say(f"Sign in as {user.name} with the password {passwords[user.id]}")
    return _run(process, process.demo_url)


def _fill(shop: RunningShop) -> bool:
    """Load the scenario. On a slow machine the pages do not wait for the end of it: then False."""
    from demo_data.load import load  # no other command needs the scenario

    def fill() -> None:
        load(shop, _local_day(shop))
        shop.close()

    filling = threading.Thread(target=fill, name="demo", daemon=True)
    filling.start()
    filling.join(LONGEST_WAIT_SECONDS)
    return not filling.is_alive()


def _run(process: ProcessSettings, url: str) -> int:
    os.environ["BEFOREFLASH_DATABASE_URL"] = url  # the server's own processes open it by this
    uvicorn.run(
        "web.app:make",
        factory=True,
        host=process.host,
        port=process.port,
        workers=process.workers,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=SHUTDOWN_SECONDS,
    )
    return 0


def refuse_bad_address(process: ProcessSettings) -> None:
    """Raise BadSettings in a sentence before anything is said or made, where nobody could listen."""
    if not 1 <= process.port <= 65535:
        raise BadSettings(f"The port is {process.port}; it must be a whole number from 1 to 65535.")
    try:
        found = socket.getaddrinfo(process.host, process.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        raise BadSettings(f"There is no address {process.host!r} to listen at.") from None
    family, kind, protocol, _, address = found[0]
    with socket.socket(family, kind, protocol) as one:
        one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind(address)
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                said = f"Port {process.port} is in use already. Stop that server, or take another --port."
            else:
                said = f"Nothing can listen at {process.host} port {process.port}: {error.strerror}."
            raise BadSettings(said) from None


def _address(process: ProcessSettings) -> str:
    host = f"[{process.host}]" if ":" in process.host else process.host
    return f"http://{host}:{process.port}/"


def _local_day(shop: RunningShop) -> date:
    return shop.clock().astimezone(ZoneInfo(shop.facts.timezone)).date()


def _remove(file: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        file.with_name(file.name + ending).unlink(missing_ok=True)
