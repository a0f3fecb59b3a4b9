"""`serve`: open the shop, say where it is, and start the pages."""

from __future__ import annotations

import argparse

import uvicorn

from api import logs
from api.commands import say, workers
from api.commands.announcing import say_where
from api.commands.listening import refuse_bad_address
from api.connection import secured
from api.connection.https_only import refuse_what_is_open
from api.connection.reading_http import READING
from api.nightly_backup import back_up_in_background
from api.settings import ProcessSettings
from kb.desk.access import sign_ins
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.opening_database import only_server
from kb.desk.shop_facts import ShopFacts
from kb.errors import Conflict

SHUTDOWN_SECONDS = 5  # what open requests get after SIGTERM
ANSWER_SECONDS = 60  # a worker that is silent for longer is replaced; on a busy computer five are not enough


def serve(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """The shop's own database; while no account has a password, the set-up code is printed."""
    process = process.at(asked.host, asked.port, https=asked.https, https_only=asked.https_only)
    refuse_bad_address(process)
    refuse_what_is_open(process, process.shop_url)
    with only_server(process.shop_url, "serve", utc_now()):
        shop = RunningShop.open(process.shop_url, data_folder=process.data_folder)
        refuse_demo(shop.facts, process.place)
        with shop.writing(CONSOLE) as desk:
            code = sign_ins.issue_set_up_code(desk) if sign_ins.first_run_open(desk) else ""
        if process.https:
            secured.prepared(process)
        say_where(process, "Beforeflash")
        if code:
            say(f"Set-up code for the first owner (once): {code}")
        back_up_in_background(shop)
        return run_pages(process, process.shop_url)


def refuse_demo(shop: ShopFacts, place: str) -> None:
    """Raise Conflict for the database of a demo, wherever it was copied to: anybody comes in there."""
    if shop.is_demo:
        raise Conflict(
            f"The shop in {place} is a demo's: its vehicles and people are invented, and whoever asks comes "
            "in as its owner. Look at it with `beforeflash demo`; for your own shop name another folder in "
            "BEFOREFLASH_DATA, or put a backup of yours back with `beforeflash restore FILE`."
        )


def run_pages(process: ProcessSettings, url: str) -> int:
    logs.set_up(process.log)
    workers.prepare(process, url)
    workers.divide()
    if process.https:
        secured.show_the_way(process)
    uvicorn.run(
        "web.app:make",
        factory=True,
        **secured.listens(process),
        **READING,
        workers=process.workers,
        timeout_graceful_shutdown=SHUTDOWN_SECONDS,
        timeout_worker_healthcheck=ANSWER_SECONDS,
    )
    return 0
