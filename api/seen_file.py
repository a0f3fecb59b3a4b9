"""A file that was sent to be read or kept."""

from __future__ import annotations

from starlette.datastructures import UploadFile

from kb.desk.bay.seen.reading_scans import SeenFile

_LONGEST_NAME = 200


def seen_file(sent: UploadFile) -> SeenFile:
    """Read from where it waits; of its name what a sentence can hold."""
    return SeenFile((sent.filename or "")[:_LONGEST_NAME], sent.file)
