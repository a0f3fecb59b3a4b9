"""All that is on file taken in for a new index: where it is much, other processes share in it."""

from __future__ import annotations

import gc
import logging
import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection, wait
from typing import Any

from sqlmodel import Session

from kb.desk.bay.search.entries import concern_entry, note_entry
from kb.desk.context import CONSOLE, Desk, RunningShop
from kb.records.store.bay import searching as store
from kb.records.store.imports.bulk import runs
from kb.records.store.notes.note_texts import Shared, note_texts
from kb.search.making import Rows
from kb.search.query import IndexEntry

MUCH = 20_000
"""Fewer entries are taken in sooner than another process has started."""
SLICE = 4_000
_MOST_PROCESSES = 4
_AHEAD = 2
"""So many slices another process has before it, so that it need not wait for the next."""
_TELLS_EVERY = 10_000
_log = logging.getLogger("beforeflash")

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Slice:
    """Some notes or some past concerns, by their ids."""

    notes: Sequence[int] = ()
    concerns: Sequence[int] = ()

    @property
    def size(self) -> int:
        return len(self.notes) + len(self.concerns)


def taken_in(desk: Desk, progress: Progress | None = None) -> Rows:
    """All that is published and released; what a running import has taken so far is of revision 0.

    `progress` is told how many entries were taken, about every 10,000. Other processes see no more than is
    saved: a request that writes takes all in by itself.
    """
    slices = _slices(desk)
    work = _Work(slices, progress or (lambda _taken: None))
    if desk.gathered is not None and sum(one.size for one in slices) >= MUCH:
        url = desk.session.get_bind().engine.url.render_as_string(hide_password=False)
        work.share(url, min(os.cpu_count() or 1, _MOST_PROCESSES) - 1)
    try:
        while work.is_left:
            work.take_one(desk.session)
    finally:
        work.end()
    return work.rows


@dataclass
class _Work:
    """Slices, which of them nobody has, those taken that wait for one before them, and all others joined."""

    slices: Sequence[Slice]
    progress: Progress
    rows: Rows = field(default_factory=Rows)
    shared: Shared = field(default_factory=Shared)
    nobodys: deque[int] = field(default_factory=deque)
    waiting: dict[int, Rows] = field(default_factory=dict)
    others: dict[Connection, _Other] = field(default_factory=dict)
    joined: int = 0
    taken: int = 0

    def __post_init__(self) -> None:
        self.nobodys.extend(range(len(self.slices)))

    @property
    def is_left(self) -> bool:
        return self.joined < len(self.slices)

    def share(self, url: str, among: int) -> None:
        """Start other processes that take a part; where none can be had this one does all."""
        if multiprocessing.current_process().daemon:  # which may have none
            return
        try:
            for _ in range(among):
                here, other = _started(url)
                self.others[here] = other
                self._give(here)
        except OSError as fault:
            _log.warning("the search index is made by fewer processes: %r", fault)

    def take_one(self, session: Session) -> None:
        """Take what others have ready; then one slice here, or wait for others where nobody has none."""
        for other in wait(list(self.others), 0 if self.nobodys else None):
            self._hear(other)
        if self.nobodys:
            at = self.nobodys.popleft()
            self._keep(at, Rows().take(_entries(session, self.slices[at], self.shared)))

    def end(self) -> None:
        """End the other processes."""
        for connection, other in self.others.items():
            connection.close()
            other.process.terminate()
            other.process.join()

    def _hear(self, connection: Any) -> None:
        try:
            at, rows = connection.recv()
        except (EOFError, OSError) as fault:  # it ended; what it had is taken by others
            _log.warning("the search index is made by fewer processes: %r", fault)
            other = self.others.pop(connection)
            self.nobodys.extendleft(reversed(other.has))
            other.process.join()
            return
        self.others[connection].has.remove(at)
        self._give(connection)
        self._keep(at, rows)

    def _give(self, connection: Connection) -> None:
        has = self.others[connection].has
        while self.nobodys and len(has) < _AHEAD:
            has.append(self.nobodys.popleft())
            with suppress(OSError):  # heard of where its answer is waited for
                connection.send((has[-1], self.slices[has[-1]]))

    def _keep(self, at: int, rows: Rows) -> None:
        self.waiting[at] = rows
        while self.joined in self.waiting:
            self.rows.join(self.waiting.pop(self.joined))
            self.joined += 1
        before, self.taken = self.taken, self.taken + self.slices[at].size
        if self.taken // _TELLS_EVERY > before // _TELLS_EVERY:
            self.progress(self.taken)


@dataclass(frozen=True, slots=True)
class _Other:
    """Another process and the slices that it has, in order."""

    process: multiprocessing.process.BaseProcess
    has: list[int] = field(default_factory=list)


def _started(url: str) -> tuple[Connection, _Other]:
    """A process that is never divided from this one: threads run here. It ends with this one."""
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe()
    with closing(there):
        process = context.Process(target=_take_in, args=(there, url), daemon=True)
        process.start()
    return here, _Other(process)


def _take_in(asked: Connection, url: str) -> None:
    """What such a process does: the rows of each slice that it is given, until nobody gives any."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # it is for who started this
    gc.disable()  # it lives for seconds, and looking through a slice's values takes a third of them
    with (
        suppress(EOFError, BrokenPipeError),
        closing(RunningShop.look_at(url)) as shop,
        shop.reading(CONSOLE) as desk,
    ):
        shared = Shared()
        while True:
            at, wanted = asked.recv()
            asked.send((at, Rows().take(_entries(desk.session, wanted, shared))))


def _slices(desk: Desk) -> list[Slice]:
    """In the order in which their entries are numbered: past concerns come last."""
    notes = [note_id for note_id, is_out in store.changed_notes(desk.session, desk.shop.id, 0) if is_out]
    concerns = store.changed_concerns(desk.session, desk.shop.id, 0)
    noted = (Slice(notes=ids) for ids in runs(notes, SLICE))
    return [*noted, *(Slice(concerns=ids) for ids in runs(concerns, SLICE))]


def _entries(session: Session, wanted: Slice, shared: Shared) -> Iterator[IndexEntry]:
    for note in note_texts(session, wanted.notes, shared):
        yield note_entry(note)
    for ids in runs(wanted.concerns):
        for text in store.concern_texts(session, ids):
            yield concern_entry(text)
