"""The shop's own backups: what lies on the shelf, one more now, and whether somebody should be warned.

A SQLite file's are copies of it beside it; those of a shop on PostgreSQL are exports in the data folder of
one of its hosts. The server makes one every night.
"""

from __future__ import annotations

import socket
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial
from pathlib import Path

from sqlalchemy import Engine

from kb.desk.context import CONSOLE, Desk, RunningShop, lead_or_owner, owner_only
from kb.desk.shop import backup_turns
from kb.desk.shop.backup_turns import TRY_AGAIN, LastCopy
from kb.errors import BadInput, Conflict, KbError, NotFound, Unreadable
from kb.records.engine import Records, database_file
from kb.records.files import check_sheet as sheets
from kb.records.files.backup_folder import FOLDER, KEPT_BESIDE, Reason, Shelf, Stored
from kb.records.files.kept_nights import night_of
from kb.records.store.shop.opening import the_shop
from kb.records.whole_shop.exported_copy import write_out

OVERDUE = timedelta(days=3)


class Kind(StrEnum):
    """What a copy of this shop is."""

    DATABASES = "databases"
    EXPORTS = "exports"
    NOT_AT_ALL = "not_at_all"


@dataclass(frozen=True, slots=True)
class BackupLine:
    """One copy, whole `days` old. `rows`: of each table, empty where its sheet tells nothing.

    `fault`: what is wrong with it, as a sentence.
    """

    name: str
    made_at: datetime
    days: int
    reason: Reason
    size: int
    rows: Mapping[str, int]
    fault: str


@dataclass(frozen=True, slots=True)
class BackupsView:
    """`lines`: of this computer, newest first; `last`: the newest of all hosts, on a host with a name where
    there are several.
    """

    kind: Kind
    folder: str
    lines: tuple[BackupLine, ...]
    kept_beside: int
    last: LastCopy

    @property
    def elsewhere(self) -> str:
        """The host on which the newest copy lies, if that is another one."""
        here = any(one.name == self.last.made_as for one in self.lines)
        return "" if here else self.last.made_on


@owner_only
def read_backups(desk: Desk) -> BackupsView:
    shelf = _shelf(desk)
    return BackupsView(
        kind=_kind(desk),
        folder=str(shelf.folder) if shelf else "",
        lines=tuple(_line(one, desk.now) for one in shelf.stored()) if shelf else (),
        kept_beside=KEPT_BESIDE,
        last=_last_copy(desk),
    )


@owner_only
def back_up_now(desk: Desk) -> str:
    """One more copy on the shelf; gives its name. Raises BadInput where there is none, NotDone, Conflict."""
    shelf = _shelf(desk)
    if shelf is None or _kind(desk) is Kind.NOT_AT_ALL:
        raise BadInput("This shop is not backed up by Beforeflash itself: see the page of backups.")
    target, _ = shelf.store(Reason.BY_HAND, desk.now, desk.shop.zone)
    return target.name


@owner_only
def find_backup(desk: Desk, name: str) -> Path:
    """The file of that name on the shelf, a copy or its check sheet. Raises NotFound."""
    shelf = _shelf(desk)
    for one in shelf.stored() if shelf else ():
        for file in (one.file, sheets.sheet_of(one.file)):
            if file.name == name and file.is_file():
                return file
    raise NotFound("There is no backup of that name any more. Load the page of backups again.")


@owner_only
def note_fetched(desk: Desk, name: str) -> None:
    """A copy left the shop's computer: who took it stays on the trail."""
    desk.note_down("fetched", "backup", None, name=name)


@owner_only
def note_made(desk: Desk, name: str) -> None:
    """One was made by hand."""
    shelf = _shelf(desk)
    if shelf and _kind(desk) is Kind.EXPORTS:
        backup_turns.note_copy(desk, _host(shelf), name, begun=desk.now, nightly=False)
    desk.note_down("made", "backup", None, name=name)


@lead_or_owner
def warning(desk: Desk) -> str:
    """A sentence when nothing younger than three days is there, or the last copy failed; else empty."""
    if _kind(desk) is Kind.NOT_AT_ALL:
        return ""
    last = _last_copy(desk)
    if last.failure:
        return f"The last backup failed. {last.failure}"
    since = last.made_at or _opened_at(desk)
    days = (desk.now - since) // timedelta(days=1)
    if desk.now - since < OVERDUE:
        return ""
    what = "The newest backup of this shop is" if last.made_at else "This shop has no backup and is"
    return f"{what} {days} days old."


def back_up_nightly(shop: RunningShop) -> str:
    """The copy of this night, if it is due: its name, else empty. After a failure an hour passes first.

    Due whenever there is none of this night, so that a computer that is off at night makes it when it is on.
    Another process or host that is making one has the say. Raises KbError where it fails.
    """
    shelf = shelf_of(shop.records.engine, shop.data_folder)
    if shelf is None or shop.facts.is_demo:
        return ""
    now, zone = shop.clock(), shop.facts.zone
    if not shop.records.is_sqlite:
        return _nightly_export(shop, shelf, now)
    last = shelf.last_attempt()
    tonight = night_of(now, zone)
    made = any(
        one.reason is Reason.NIGHTLY and night_of(one.made_at, zone) == tonight for one in shelf.stored()
    )
    if made or (last is not None and last.failure and abs(now - last.at) < TRY_AGAIN):
        return ""
    with suppress(Conflict):
        return shelf.store(Reason.NIGHTLY, now, zone)[0].name
    return ""


def _nightly_export(shop: RunningShop, shelf: Shelf, now: datetime) -> str:
    with shop.writing(CONSOLE) as desk:
        if not backup_turns.take_turn(desk, _host(shelf)):
            return ""
    try:
        name = shelf.store(Reason.NIGHTLY, now, shop.facts.zone)[0].name
    except KbError as error:
        busy = isinstance(error, Conflict)  # the owner makes one by hand just now
        with shop.writing(CONSOLE) as desk:
            backup_turns.end_turn(desk, failure="" if busy else error.message)
        if not busy:
            raise
        return ""
    with shop.writing(CONSOLE) as desk:
        backup_turns.note_copy(desk, _host(shelf), name, begun=now, nightly=True)
    return name


def shelf_of(engine: Engine, data_folder: Path | None) -> Shelf | None:
    """Where copies of this database lie on this computer; None where nobody said."""
    if file := database_file(engine.url):
        return Shelf.beside(file)
    if engine.dialect.name == "sqlite" or data_folder is None:
        return None
    return Shelf(data_folder / FOLDER, "shop", ".jsonl", partial(write_out, Records(engine)))


def _kind(desk: Desk) -> Kind:
    if desk.shop.is_demo:
        return Kind.NOT_AT_ALL
    if _engine(desk).dialect.name == "postgresql":
        return Kind.EXPORTS
    return Kind.DATABASES if _shelf(desk) else Kind.NOT_AT_ALL


def _engine(desk: Desk) -> Engine:
    return desk.session.connection().engine


def _shelf(desk: Desk) -> Shelf | None:
    return shelf_of(_engine(desk), desk.data_folder)


def _host(shelf: Shelf) -> str:
    """As the owner finds it."""
    return f"{socket.gethostname()}, {shelf.folder}"


def _last_copy(desk: Desk) -> LastCopy:
    if _kind(desk) is Kind.EXPORTS:
        return backup_turns.last_copy(desk)
    shelf = _shelf(desk)
    # A clock that was once ahead leaves copies of days to come: they vouch for nothing.
    stored = [one for one in shelf.stored() if one.made_at <= desk.now] if shelf else []
    failure = _failure(shelf, desk.now) if shelf else ""
    return (
        LastCopy(stored[0].made_at, "", stored[0].file.name, failure) if stored else LastCopy(failure=failure)
    )


def _line(one: Stored, now: datetime) -> BackupLine:
    size, days = one.file.stat().st_size, (now - one.made_at) // timedelta(days=1)
    rows: Mapping[str, int] = {}
    try:
        sheet = sheets.read(sheets.sheet_of(one.file))
        rows = sheet.holds.tables
        fault = "" if size == sheet.size else "It is not as long as its check sheet says. Use another copy."
    except Unreadable as refused:
        fault = refused.message
    except FileNotFoundError:
        fault = "Its check sheet is missing."
    return BackupLine(one.file.name, one.made_at, days, one.reason, size, rows, fault)


def _failure(shelf: Shelf, now: datetime) -> str:
    last = shelf.last_attempt()
    if last is None or (last.ended and not last.failure) or (not last.ended and now - last.at < TRY_AGAIN):
        return ""
    return last.failure or "It was broken off before its end."


def _opened_at(desk: Desk) -> datetime:
    shop = the_shop(desk.session)
    return shop.created_at if shop else desk.now
