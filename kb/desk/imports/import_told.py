"""An import as people see it: its state, its counts, what it could not take, and one sentence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from kb.desk.imports.not_wanted import NotWantedCount, not_wanted_words

TEXTS_TOLD = "texts_told"
"""Where a job counts what correction texts tell, by kind."""
HowFar = Callable[[int, int], None]
"""Is told how many rows are done, of how many."""


def nobody_looks(_done: int, _total: int) -> None:
    """Nobody is told how far it is."""


class ImportState(StrEnum):
    """`stopped` ended with an error; a job that says `running` and stands still died with its process."""

    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    UNDOING = "undoing"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class ImportRowError:
    """What was wrong with one line (0: the whole file). A warning let the row in; a notice names a column
    that was not read. `column` is the field's name in the file, where it has one of its own.
    """

    line: int
    field: str
    message: str
    severity: str
    column: str = ""


@dataclass(frozen=True, slots=True)
class Kept:
    """Something that an undo left where it is, and why."""

    noun: str
    id: int
    title: str
    why: str


@dataclass(slots=True)
class Undone:
    """What one batch of an undo did, and what was kept."""

    removed: int = 0
    reverted: int = 0
    kept: list[Kept] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class ImportView:
    """One import. `done` and `total` count notes or history rows; `errors` lists at most the first thousand.

    `rows` counts the rows of the file, `doubles` repeats among them and `left_out` rows with errors,
    each once however many errors it has. After an undo `removed` and `reverted` say what went, `kept` what
    stayed. `not_wanted`: good notes that were left out, by reason.

    `standing_still`: it says that it works, and has given no sign of life for some seconds;
    `last_progress` is when it gave the last, in the shop's own time. `file_kept`: it can be carried on
    without choosing the file again; `left_out_kept`: the rows that it left out can be fetched.
    `reflashes_read` were told by texts of rows that name none and count when somebody says so;
    `texts_not_read` speak of programming, and what was done is not plain.
    """

    id: int
    format: str
    file_name: str
    dry_run: bool
    state: ImportState
    done: int
    total: int
    created: int
    changed: int
    unchanged: int
    rows: int
    doubles: int
    left_out: int
    not_wanted: tuple[NotWantedCount, ...]
    error_count: int
    warning_count: int
    errors: tuple[ImportRowError, ...]
    removed: int
    reverted: int
    kept: tuple[Kept, ...]
    trouble: str
    author: str
    started_at: datetime
    ended_at: datetime | None
    last_progress_at: datetime
    last_progress: str
    standing_still: bool
    file_kept: bool
    left_out_kept: bool
    reflashes_read: int
    texts_not_read: int

    @property
    def can_be_answered(self) -> bool:
        """Whether what was read of its texts may be counted."""
        return self.state is ImportState.DONE and not self.dry_run

    @property
    def nothing_taken(self) -> bool:
        """Not one row of the file could be read."""
        return self.created + self.changed + self.unchanged == 0 and not self.not_wanted

    @property
    def reflashes_said(self) -> str:
        """How many reflashes texts tell, and where to look at them; empty where none is told."""
        if not self.reflashes_read and not self.texts_not_read:
            return ""
        reflashes = "1 reflash" if self.reflashes_read == 1 else f"{self.reflashes_read:,} reflashes"
        said = f"{reflashes} read from the correction text; none counts before you look at them"
        unread = (
            f", {self.texts_not_read:,} texts on programming that somebody must look at"
            if self.texts_not_read
            else ""
        )
        return f"{said}{unread}: /imports/{self.id}#reflashes."

    @property
    def sentence(self) -> str:
        """What it took and what it left, for the command line and the page."""
        return _SENTENCES[self.state](self)


def _ended(view: ImportView) -> str:
    if not view.rows and view.nothing_taken and not view.left_out:
        return "The file has no rows below its header: nothing taken."
    would = "would be " if view.dry_run else ""
    took = (
        f"{view.created:,} {would}new, {view.changed:,} {would}changed, {view.unchanged:,} unchanged "
        f"({view.rows:,} rows read)."
    )
    left = f" Left out: {view.left_out:,} {_rows(view.left_out)} with errors"
    repeats = "repeat" if view.doubles == 1 else "repeats"
    left += f", {view.doubles:,} {repeats} of a row before." if view.doubles else "."
    looked = f" {view.warning_count:,} to look at again." if view.warning_count else ""
    return took + left + not_wanted_words(view.not_wanted) + looked


def _undone(view: ImportView) -> str:
    said = f"Undone: {view.removed:,} removed, {view.reverted:,} put back as they were"
    return said + (f", {len(view.kept):,} kept because they were edited or used since." if view.kept else ".")


def _running(view: ImportView) -> str:
    if view.standing_still:
        return f"Stopped making progress at {view.last_progress}, with {_so_far(view)} taken. {_again(view)}"
    if not view.total:
        return "Reading the file; nothing is taken yet."
    return f"{_so_far(view)} taken so far, the last at {view.last_progress}."


def _stopped(view: ImportView) -> str:
    return f"Stopped after {_so_far(view)}: {view.trouble.rstrip('.')}. {_again(view)}"


def _undoing(view: ImportView) -> str:
    if view.standing_still:
        return (
            f"The undo stopped making progress at {view.last_progress}, with {view.removed:,} removed. "
            "Undo it again to carry on."
        )
    return f"Being undone: {view.removed:,} removed so far, the last at {view.last_progress}."


def _again(view: ImportView) -> str:
    if view.dry_run:
        return "It only looked and saved nothing; choose the file again to look once more."
    carry = "Carry it on" if view.file_kept else "Bring the same file in again to carry on"
    return f"{carry}; what was taken is not taken twice. Or undo it."


def _so_far(view: ImportView) -> str:
    return f"{view.done:,} of {view.total:,}" if view.total else "nothing"


def _rows(count: int) -> str:
    return "row" if count == 1 else "rows"


_SENTENCES = {
    ImportState.RUNNING: _running,
    ImportState.DONE: _ended,
    ImportState.STOPPED: _stopped,
    ImportState.UNDOING: _undoing,
    ImportState.UNDONE: _undone,
}
