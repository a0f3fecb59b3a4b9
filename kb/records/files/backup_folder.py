"""The shop's own backups, the folder `backups` beside its data: what is there, and how the last went."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from enum import StrEnum
from functools import partial
from pathlib import Path

from kb.errors import KbError
from kb.records.files.check_sheet import CheckSheet
from kb.records.files.checked_copy import copy_out, plainly
from kb.records.files.kept_nights import night_of, to_keep
from kb.records.files.one_holder import held
from kb.records.files.whole_files import clear_leftovers, make_private_file, make_private_folder

FOLDER = "backups"
KEPT_BESIDE = 10
"""Copies of each other kind than nightly that are kept, the newest."""

_NOTE_SIZE = 1024  # bytes; written over in place, so that a full disk cannot keep a failure from being noted


class Reason(StrEnum):
    """Why a copy was made."""

    NIGHTLY = "nightly"
    BY_HAND = "by-hand"
    BEFORE_UPGRADE = "before-upgrade"


@dataclass(frozen=True, slots=True)
class Stored:
    """One copy on the shelf."""

    file: Path
    made_at: datetime
    reason: Reason


@dataclass(frozen=True, slots=True)
class Attempt:
    """How the last copy went. `failure` is a sentence, empty after success or before the end."""

    at: datetime
    ended: bool
    failure: str


@dataclass(frozen=True, slots=True)
class Shelf:
    """The backups of one database: `name`-MOMENT-REASON`ending`, each with its check sheet by `write`."""

    folder: Path
    name: str
    ending: str
    write: Callable[[Path, datetime], CheckSheet]

    @classmethod
    def beside(cls, database: Path) -> Shelf:
        """Of a SQLite file, as whole databases."""
        return cls(database.parent / FOLDER, database.stem, ".db", partial(copy_out, database))

    def stored(self) -> list[Stored]:
        """Every copy, the newest first; files of other names are nobody's business here."""
        pattern = re.compile(
            rf"{re.escape(self.name)}-(\d{{8}}-\d{{6}})-({'|'.join(Reason)}){re.escape(self.ending)}",
            re.ASCII,
        )
        names = self.folder.iterdir() if self.folder.is_dir() else ()
        found = ((file, pattern.fullmatch(file.name)) for file in names)
        stored = [Stored(file, _moment(match[1]), Reason(match[2])) for file, match in found if match]
        return sorted(stored, key=lambda one: one.made_at, reverse=True)

    def store(self, reason: Reason, now: datetime, zone: tzinfo) -> tuple[Path, CheckSheet]:
        """Make one more copy, note how it went, and thin out. Raises what `copy_out` raises, or Conflict."""
        with plainly("No backup was made"):
            make_private_folder(self.folder)
        with held(self.folder / "backups.lock", "backup", now, "Try again in a minute."):
            named = f"{self.name}-{now.astimezone(UTC):%Y%m%d-%H%M%S}-{reason}{self.ending}"
            target = self.folder / named
            clear_leftovers(self.folder)
            self._note(Attempt(now, ended=False, failure=""))
            try:
                sheet = self.write(target, now)
            except KbError as error:
                self._note(Attempt(now, ended=True, failure=error.message))
                raise
            self._note(Attempt(now, ended=True, failure=""))
            self._thin_out(zone)
        return target, sheet

    def last_attempt(self) -> Attempt | None:
        """None before the first, or if nobody can read the note."""
        with suppress(OSError, ValueError, KeyError, TypeError):
            said = json.loads(self._note_file.read_text("utf-8"))
            return Attempt(datetime.fromisoformat(said["at"]), said["ended"], said["failure"])
        return None

    def _thin_out(self, zone: tzinfo) -> None:
        kept: set[Path] = set()
        stored = self.stored()
        nightly = {
            night_of(one.made_at, zone): one for one in reversed(stored) if one.reason is Reason.NIGHTLY
        }
        kept.update(nightly[night].file for night in to_keep(nightly))
        for reason in (Reason.BY_HAND, Reason.BEFORE_UPGRADE):
            kept.update([one.file for one in stored if one.reason is reason][:KEPT_BESIDE])
        for one in stored:
            if one.file not in kept:
                one.file.unlink(missing_ok=True)
        for sheet in self.folder.glob(f"*{self.ending}.check"):
            if not sheet.with_suffix("").exists():
                sheet.unlink(missing_ok=True)

    @property
    def _note_file(self) -> Path:
        return self.folder / "last-attempt.json"

    def _note(self, attempt: Attempt) -> None:
        said = {"at": attempt.at.isoformat(), "ended": attempt.ended, "failure": attempt.failure[:600]}
        with suppress(OSError):
            make_private_file(self._note_file)
            with self._note_file.open("r+b") as note:
                note.write(json.dumps(said).ljust(_NOTE_SIZE).encode())
                note.truncate()


def _moment(written: str) -> datetime:
    return datetime.strptime(written, "%Y%m%d-%H%M%S").replace(tzinfo=UTC)
