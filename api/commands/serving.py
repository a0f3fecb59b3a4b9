"""`serve`: open the shop, say where it is, and start the pages."""

from __future__ import annotations

import argparse
import errno
import os
import socket

import uvicorn

from api.commands import say
from api.nightly_backup import back_up_in_background
from api.settings import BadSettings, ProcessSettings
from kb.desk.access import sign_ins
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.opening_database import only_server

SHUTDOWN_SECONDS = 5  # what open requests get after SIGTERM
ANSWER_SECONDS = 60  # a worker that is silent for longer is replaced; on a busy computer five are not enough


def serve(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """The shop's own database; while no account has a password, the set-up code is printed."""
    process = process.at(asked.host, asked.port)
    refuse_bad_address(process)
    with only_server(process.shop_url, "serve", utc_now()):
        shop = RunningShop.open(process.shop_url)
        with shop.writing(CONSOLE) as desk:
            code = sign_ins.issue_set_up_code(desk) if sign_ins.first_run_open(desk) else ""
        say(f"Beforeflash is at {address_of(process)}")
        if code:
            say(f"Set-up code for the first owner (once): {code}")
        back_up_in_background(shop)
        return run_pages(process, process.shop_url)


def run_pages(process: ProcessSettings, url: str) -> int:
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
        timeout_worker_healthcheck=ANSWER_SECONDS,
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


def address_of(process: ProcessSettings) -> str:
    host = f"[{process.host}]" if ":" in process.host else process.host
    return f"http://{host}:{process.port}/"
