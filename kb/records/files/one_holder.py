"""One at a time: a lock file that names who holds it, let go of by the system when the holder dies."""

from __future__ import annotations

import errno
import json
import os
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from kb.errors import Conflict

if sys.platform == "win32":
    import msvcrt

    _PAST_THE_TEXT = (
        3 << 29
    )  # locked bytes cannot be read there; the holder's name must be. SQLite's are at 1 << 30

    def _lock(descriptor: int) -> None:
        os.lseek(descriptor, _PAST_THE_TEXT, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


_TAKEN = {errno.EAGAIN, errno.EACCES, errno.EDEADLK}


@dataclass(frozen=True, slots=True)
class Holder:
    """Who holds a lock: the command, its process, the machine, and since when (UTC)."""

    command: str
    process: int
    machine: str
    since: str

    def __str__(self) -> str:
        return f"`beforeflash {self.command}`, process {self.process} on {self.machine} since {self.since},"


@contextmanager
def held(lock_file: Path, command: str, now: datetime, what_to_do: str) -> Iterator[None]:
    """Hold the lock for the block. Somebody has it: Conflict, naming the holder, then `what_to_do`."""
    us = Holder(command, os.getpid(), socket.gethostname(), f"{now:%Y-%m-%d %H:%M} UTC")
    descriptor = lock_or_none(lock_file)
    if descriptor is None:
        holder = _holder(lock_file) or "Another process"
        raise Conflict(f"{holder} has {lock_file.stem} in use. {what_to_do}")
    try:
        os.ftruncate(descriptor, 0)
        os.lseek(descriptor, 0, os.SEEK_SET)
        os.write(descriptor, json.dumps(asdict(us)).encode())
        yield
    finally:
        os.ftruncate(descriptor, 0)
        os.close(descriptor)


def held_by_us(lock_file: Path) -> bool:
    """Whether this very process holds it."""
    holder = _holder(lock_file) if lock_file.exists() else None
    if holder is None or (holder.process, holder.machine) != (os.getpid(), socket.gethostname()):
        return False
    descriptor = lock_or_none(lock_file)
    if descriptor is not None:
        os.close(descriptor)  # nobody does: those are the words of one who died with our number
    return descriptor is None


def lock_or_none(file: Path) -> int | None:
    """An open descriptor that holds the lock until it is closed; None while somebody else has it."""
    descriptor = os.open(file, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        _lock(descriptor)
    except OSError as refused:
        os.close(descriptor)
        if refused.errno in _TAKEN:
            return None
        raise
    return descriptor


def _holder(lock_file: Path) -> Holder | None:
    """Who wrote the lock file; None in the moment between locking and writing."""
    try:
        return Holder(**json.loads(lock_file.read_text("utf-8")))
    except (ValueError, TypeError):
        return None
