"""Files of the program itself that are their owner's alone: whole or not there, one writer at a time."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from kb.records.files.one_holder import held
from kb.records.files.whole_files import make_private_folder, written_aside


def write_privately(file: Path, content: bytes) -> None:
    """Put this into the file, which nobody sees half written."""
    with written_aside(file) as aside:
        aside.write_bytes(content)


@contextmanager
def one_writer(folder: Path, command: str, now: datetime) -> Iterator[None]:
    """The folder, made if need be, for this process alone; Conflict names the one that has it."""
    make_private_folder(folder.parent)
    make_private_folder(folder)
    with held(folder / "writing.lock", command, now, "Try again in a moment."):
        yield
