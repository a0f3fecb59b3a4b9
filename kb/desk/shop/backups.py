"""The shop's own backups: what lies on the shelf, one more now, and whether somebody should be warned.

SQLite's are files beside the database, made every night by the server. PostgreSQL is backed up with its own
tools, by a command that only its owner can schedule; the owner says when it was done.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from pathlib import Path

from sqlalchemy import Engine

from kb.desk.context import Desk, RunningShop, lead_or_owner, owner_only
from kb.errors import BadInput, Conflict, NotFound, Unreadable
from kb.records.engine import database_file
from kb.records.files import check_sheet as sheets
from kb.records.files.backup_folder import KEPT_BESIDE, Reason, Shelf, Stored
from kb.records.files.kept_nights import night_of
from kb.records.store.shop import shop as shop_store
from kb.records.store.shop.opening import the_shop

OVERDUE = timedelta(days=3)
TRY_AGAIN = timedelta(hours=1)
_REPORTED = "postgresql_backup_done"


class Kind(StrEnum):
    """How this shop is backed up."""

    FILES = "files"
    POSTGRESQL = "postgresql"
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
    """`lines` newest first; `reported_*`: when and by whom a PostgreSQL backup was last said to be done."""

    kind: Kind
    folder: str
    lines: tuple[BackupLine, ...]
    kept_beside: int
    failure: str
    reported_at: datetime | None
    reported_by: str


@owner_only
def read_backups(desk: Desk) -> BackupsView:
    shelf = _shelf(desk)
    kind = _kind(desk)
    reported = _reported(desk)
    return BackupsView(
        kind=kind,
        folder=str(shelf.folder) if shelf else "",
        lines=tuple(_line(one, desk.now) for one in shelf.stored()) if shelf else (),
        kept_beside=KEPT_BESIDE,
        failure=_failure(shelf, desk.now) if shelf else "",
        reported_at=reported[0] if reported else None,
        reported_by=reported[1] if reported else "",
    )


@owner_only
def back_up_now(desk: Desk) -> str:
    """One more copy on the shelf; gives its name. Raises BadInput where there is none, NotDone, Conflict."""
    shelf = _shelf(desk)
    if shelf is None or _kind(desk) is not Kind.FILES:
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
    desk.note_down("made", "backup", None, name=name)


@owner_only
def report_done(desk: Desk) -> None:
    """The owner says that PostgreSQL's own backup was made just now. Raises BadInput on SQLite."""
    if _kind(desk) is not Kind.POSTGRESQL:
        raise BadInput("This shop is backed up by Beforeflash itself; there is nothing to report.")
    shop_store.save_setting(
        desk.session,
        desk.shop.id,
        key=_REPORTED,
        value=desk.now.isoformat(),
        source_line="",
        author=desk.actor.name,
        set_on=desk.today,
    )
    desk.bump("settings")
    desk.note_down("reported done", "backup", None)


@lead_or_owner
def warning(desk: Desk) -> str:
    """A sentence when nothing younger than three days is there, or the last copy failed; else empty."""
    kind = _kind(desk)
    if kind is Kind.NOT_AT_ALL:
        return ""
    if kind is Kind.POSTGRESQL:
        reported = _reported(desk)
        newest, failure = reported[0] if reported else None, ""
    else:
        shelf = _shelf(desk)
        # A clock that was once ahead leaves copies of days to come: they vouch for nothing.
        stored = [one for one in shelf.stored() if one.made_at <= desk.now] if shelf else []
        newest = stored[0].made_at if stored else None
        failure = _failure(shelf, desk.now) if shelf else ""
    if failure:
        return failure
    since = newest or _opened_at(desk)
    days = (desk.now - since) // timedelta(days=1)
    if desk.now - since < OVERDUE:
        return ""
    what = "The newest backup of this shop is" if newest else "This shop has no backup and is"
    return f"{what} {days} days old."


def back_up_nightly(shop: RunningShop) -> str:
    """The copy of this night, if it is due: its name, else empty. After a failure an hour passes first.

    Due whenever there is none of this night, so that a computer that is off at night makes it when it is on.
    Another process that is making one has the say. Raises KbError where it fails.
    """
    now, zone = shop.clock(), shop.facts.zone
    file = database_file(shop.records.engine.url)
    if file is None or shop.facts.is_demo:
        return ""
    shelf = Shelf(file)
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


def _kind(desk: Desk) -> Kind:
    if desk.shop.is_demo:
        return Kind.NOT_AT_ALL
    if _engine(desk).dialect.name == "postgresql":
        return Kind.POSTGRESQL
    return Kind.FILES if _shelf(desk) else Kind.NOT_AT_ALL


def _engine(desk: Desk) -> Engine:
    return desk.session.connection().engine


def _shelf(desk: Desk) -> Shelf | None:
    file = database_file(_engine(desk).url)
    return Shelf(file) if file else None


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
    return f"The last backup failed. {last.failure or 'It was broken off before its end.'}"


def _reported(desk: Desk) -> tuple[datetime, str] | None:
    row = shop_store.setting_rows(desk.session, desk.shop.id).get(_REPORTED)
    return (datetime.fromisoformat(row.value), row.author) if row else None


def _opened_at(desk: Desk) -> datetime:
    shop = the_shop(desk.session)
    return shop.created_at if shop else desk.now
