"""`doctor`: the house looked over on the spot, each thing with what to do about it."""

from __future__ import annotations

import argparse
import platform
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import asdict
from importlib.util import find_spec

from api.commands import say, say_json
from api.commands.listening import answers, reach_from_here, refuse_bad_address
from api.connection.addresses import is_loopback, reached_by, url_of
from api.connection.certificate_looks import at_the_console
from api.connection.reach import FOR_TABLETS
from api.service import systemd
from api.settings import BadSettings, ProcessSettings
from kb.desk.access import trail
from kb.desk.context import CONSOLE, RunningShop, utc_now
from kb.desk.shop import health
from kb.errors import KbError, NotFound
from kb.nouns.shop.health import Finding, Gravity
from kb.nouns.shop.program import program_version

_MARKS = {Gravity.FINE: "fine ", Gravity.WATCH: "watch", Gravity.BAD: "BAD  "}
_LOOKS_AT_THE_SHOP: tuple[Callable[[RunningShop], Finding | None], ...] = (
    health.can_write,
    health.database,
    health.last_backup,
    health.newest_backup_is_whole,
    health.index,
    health.clock,
)


def doctor(process: ProcessSettings, asked: argparse.Namespace) -> int:
    """0 where all is fine, 1 where something wants a look, 2 where something is bad. Changes nothing."""
    found = tuple(look_over(process.at(asked.host, asked.port)))
    if asked.json:
        say_json([{**asdict(one), "gravity": one.gravity.value} for one in found])
    else:
        for one in found:
            say(f"{_MARKS[one.gravity]} {one.about}: {one.says}")
            if one.to_do:
                say(f"      {one.to_do}")
        say(_summary(found))
    return max(one.gravity.rank for one in found)


def look_over(process: ProcessSettings) -> Iterator[Finding]:
    python = f"Python {platform.python_version()} on {platform.platform(terse=True)}"
    says = f"Beforeflash {program_version()}, {python}."
    yield Finding("program", Gravity.FINE, says)
    yield sqlite_library()
    yield from packages(process)
    yield port(process)
    yield reach(process)
    yield from at_the_console(process, utc_now())
    yield from service_file()
    yield from _of_the_shop(process)


def sqlite_library() -> Finding:
    says = f"SQLite {sqlite3.sqlite_version} comes with this Python."
    if health.has_wal_reset_fault():
        says += (
            " It is in the range of the WAL-reset fault (3.7.0 to 3.51.2): Beforeflash makes its checkpoints "
            "by turn, so that it does not meet it. Let no other program write to the database."
        )
    return Finding("sqlite", Gravity.FINE, says)


def packages(process: ProcessSettings) -> Iterator[Finding]:
    if process.database_url.startswith("postgres") and find_spec("psycopg") is None:
        to_do = "Install it, in the folder of the program: pip install --no-deps -r .locked/postgres.txt."
        yield Finding("packages", Gravity.BAD, "PostgreSQL's driver is not installed.", to_do)
    if find_spec("rapidocr_onnxruntime") is None:
        says = (
            "Photos are read by their bar codes only; their letters need, in the folder of the program, "
            "`pip install --no-deps -r .locked/photo.txt`."
        )
        yield Finding("packages", Gravity.FINE, says)


def port(process: ProcessSettings) -> Finding:
    where = f"{process.host} port {process.port}"
    if answers(reach_from_here(process.host), process.port):
        return Finding("port", Gravity.FINE, f"A Beforeflash answers at {where}.")
    try:
        refuse_bad_address(process)
    except BadSettings as refused:
        return Finding("port", Gravity.BAD, str(refused), "")
    return Finding("port", Gravity.FINE, f"Nothing answers at {where}: it is free for a server.")


def reach(process: ProcessSettings) -> Finding:
    if is_loopback(process.host):
        says = f"Only this computer reaches the server. For tablets: `beforeflash serve {FOR_TABLETS}`."
        return Finding("reach", Gravity.FINE, says)
    mine = next(iter(reached_by(process.host)), None)
    if mine is None:
        to_do = "Look at its cable or its Wi-Fi."
        return Finding("reach", Gravity.WATCH, "This computer is in no network: no tablet reaches it.", to_do)
    pages = url_of(process.pages_at[0], mine, process.pages_at[1])
    if answers(mine, process.port):
        return Finding("reach", Gravity.FINE, f"Tablets reach it at {pages}.")
    if answers(reach_from_here(process.host), process.port):
        ports = " and ".join(str(one) for one in sorted({process.port, process.pages_at[1]}))
        to_do = f"Let the firewall of this computer take connections to port {ports}."
        return Finding("reach", Gravity.WATCH, f"It does not answer at {mine}, where tablets look.", to_do)
    return Finding("reach", Gravity.FINE, f"Once it runs, tablets look at {pages}.")


def service_file() -> Iterator[Finding]:
    """That of systemd, where one lies in its usual place and can be read: an upgrade leaves it as it was."""
    try:
        missing = systemd.lines_missing_from(systemd.UNIT.read_text("utf-8", "replace"))
    except OSError:
        return
    if not missing:
        yield Finding("service", Gravity.FINE, f"{systemd.UNIT} is as this version writes it.")
        return
    says = f"{systemd.UNIT} lacks {len(missing)} of the lines that this version writes, first: {missing[0]}"
    to_do = (
        f"Take them over: `beforeflash service systemd | diff {systemd.UNIT} -` shows them. Then systemctl "
        "daemon-reload and systemctl restart beforeflash. What is to be otherwise in your shop goes into "
        "`systemctl edit beforeflash`."
    )
    yield Finding("service", Gravity.WATCH, says, to_do)


def _of_the_shop(process: ProcessSettings) -> Iterator[Finding]:
    yield from _of_the_folder(process)
    try:
        shop = RunningShop.look_at(process.shop_url, data_folder=process.data_folder)
    except NotFound as none:
        yield Finding("shop", Gravity.WATCH, none.message, "")
        return
    except Exception as wrong:
        said = wrong.message if isinstance(wrong, KbError) else f"The database cannot be read: {wrong}."
        yield Finding("shop", Gravity.BAD, said, "")
        return
    with closing(shop):
        yield Finding("shop", Gravity.FINE, f"{shop.facts.name}, in {process.place}.")
        for look in _LOOKS_AT_THE_SHOP:
            yield from filter(None, [_looked(look, shop)])
        yield _trail(shop)


def _of_the_folder(process: ProcessSettings) -> Iterator[Finding]:
    folder = process.data_folder
    if not folder.is_dir():
        if not process.database_url:
            says = f"The data folder {folder} is not there yet; the first `serve` makes it."
            yield Finding("data folder", Gravity.FINE, says)
        return
    try:
        health.try_folder(folder)
    except KbError as refused:
        yield Finding("data folder", Gravity.BAD, f"{folder}: {refused.message}")
    else:
        yield Finding("data folder", Gravity.FINE, f"{folder} can be written.")
    yield health.room(folder)


def _looked(look: Callable[[RunningShop], Finding | None], shop: RunningShop) -> Finding | None:
    try:
        return look(shop)
    except Exception as wrong:  # each look is for itself
        return Finding(
            look.__name__.replace("_", " "), Gravity.BAD, f"It could not be looked at: {wrong}.", ""
        )


def _trail(shop: RunningShop) -> Finding:
    with shop.reading(CONSOLE) as desk:
        check = trail.check_trail(desk)
    if check.holds:
        return Finding("trail", Gravity.FINE, check.says)
    to_do = "Compare with a backup of before, put back into another folder (BEFOREFLASH_DATA)."
    return Finding("trail", Gravity.BAD, check.says, to_do)


def _summary(found: tuple[Finding, ...]) -> str:
    bad = sum(one.gravity is Gravity.BAD for one in found)
    watch = sum(one.gravity is Gravity.WATCH for one in found)
    if bad:
        return f"{bad} of {len(found)} things are bad: begin with those."
    return f"{watch} of {len(found)} things want a look." if watch else "All is well."
