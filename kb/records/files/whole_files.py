"""Files that are whole or not there: written aside, synced with their folder, and only then renamed.

A file is for its owner alone (0600, folders 0700): a copy of the shop holds customers and password hashes.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kb.records.files.one_holder import lock_or_none

UNFINISHED = ".beforeflash-unfinished"
PRIVATE_FILE, PRIVATE_FOLDER = 0o600, 0o700
_BESIDE_A_DATABASE = ("-wal", "-shm", "-journal")
_OURS = ("shop.db", "demo.db", "backups", "search", "https")


@contextmanager
def written_aside(target: Path) -> Iterator[Path]:
    """A private, empty file to fill: becomes `target` when the block ends well, is removed otherwise.

    While it is being filled it is locked, so that `clear_leftovers` of another run leaves it alone.
    """
    aside = target.with_name(target.name + UNFINISHED)
    make_private_file(aside)
    lock = _lock_if_possible(aside)
    try:
        try:
            yield aside
            sync(aside)
        finally:
            if lock is not None:
                os.close(lock)  # before the rename: Windows renames no open file
        aside.replace(target)
        sync_folder(target.parent)
    except BaseException:
        remove(aside)
        raise


def clear_leftovers(folder: Path) -> None:
    """Remove what runs that were killed left in `folder`; what somebody is writing just now stays."""
    for file in folder.glob(f"*{UNFINISHED}"):
        lock = _lock_if_possible(file)
        if lock is None:
            continue
        if sys.platform == "win32":  # which removes no open file, and so none that is taken up meanwhile
            os.close(lock)
            with suppress(PermissionError):
                remove(file)
        else:
            remove(file)
            os.close(lock)


def remove(database: Path) -> None:
    """The file and what a database leaves beside it; those first, for they are found by the file."""
    for ending in (*_BESIDE_A_DATABASE, ""):
        database.with_name(database.name + ending).unlink(missing_ok=True)


def sync(file: Path) -> None:
    """The file's content is on the disk when this returns."""
    with file.open("r+b") as opened:
        os.fsync(opened.fileno())


def sync_folder(folder: Path) -> None:
    """The names in the folder are on the disk when this returns; Windows keeps them by itself."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as refused:
        if refused.errno not in (errno.EINVAL, errno.ENOTSUP):  # some network disks know no such thing
            raise
    finally:
        os.close(descriptor)


def sha256_on_disk(file: Path) -> str:
    """The SHA-256 of a synced file, read from the disk and not from memory where the system allows it."""
    with file.open("rb") as opened:
        if sys.platform not in {"win32", "darwin"}:
            os.posix_fadvise(opened.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        return hashlib.file_digest(opened, "sha256").hexdigest()


def make_private_file(file: Path) -> None:
    """Make the file empty if it is missing, and take everybody else's right to it away."""
    with suppress(FileExistsError):
        os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_RDWR, PRIVATE_FILE))
    _close_to_others(file, PRIVATE_FILE)


def make_private_folder(folder: Path) -> None:
    """Make the folder, and those above it, if missing.

    One that was there is closed only if all in it is ours: somebody may have named a folder that others use.
    """
    if not folder.is_dir():
        folder.parent.mkdir(parents=True, exist_ok=True)
        with suppress(FileExistsError):
            folder.mkdir(PRIVATE_FOLDER)
    elif all(entry.name.startswith(_OURS) for entry in folder.iterdir()):
        _close_to_others(folder, PRIVATE_FOLDER)


def _lock_if_possible(file: Path) -> int | None:
    """None where somebody else has it, or where the disk, such as a stick, knows no locks."""
    with suppress(OSError):
        return lock_or_none(file)
    return None


def _close_to_others(path: Path, mode: int) -> None:
    found = path.stat()
    shared = found.st_mode & stat.S_ISVTX  # a folder such as /tmp
    if stat.S_IMODE(found.st_mode) & 0o077 and not shared and path.is_dir() == (mode == PRIVATE_FOLDER):
        with suppress(PermissionError):  # not ours to close
            path.chmod(mode)
