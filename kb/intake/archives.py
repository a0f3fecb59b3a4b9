"""Packed files, opened so that none fills the memory: how much they may hold, and in how many parts."""

from __future__ import annotations

import io
import zipfile

MOST_UNPACKED = 300_000_000
"""As much as a file may have that comes unpacked; a file that grows beyond it is a trap, or is split."""
_MOST_OF_LIST = 1 << 20
"""Bytes of the list of parts: some ten thousand names, each of which takes ten times as much once read."""
_END, _END_LENGTH, _LONGEST_REMARK = b"PK\x05\x06", 22, 1 << 16


def open_archive(data: bytes) -> zipfile.ZipFile:
    """The zip in these bytes. BadZipFile also for one that lists more parts than any table has."""
    at = data.rfind(_END, max(0, len(data) - _END_LENGTH - _LONGEST_REMARK))
    of_list = int.from_bytes(data[at + 12 : at + 16], "little") if at >= 0 else 0
    if of_list > _MOST_OF_LIST:  # also where the true length stands elsewhere (zip64: all bits set)
        raise zipfile.BadZipFile("more parts than a table has")
    return zipfile.ZipFile(io.BytesIO(data))
