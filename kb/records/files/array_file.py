"""Arrays in files that every process of a computer maps, so that they are in memory once.

A file is whole or not there: it is written aside, gets a name that no file had before (Windows replaces none
that somebody has mapped), and carries a checksum over all of it. Whatever is broken, half or of another kind
is as if it were not there. Nothing in it is ever run: names, texts and numbers alone.
"""

from __future__ import annotations

import json
import mmap
import os
import struct
import time
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from kb.errors import Unreadable
from kb.records.files.one_holder import lock_or_none
from kb.records.files.whole_files import clear_leftovers, make_private_folder, written_aside

Arrays = Mapping[str, NDArray[Any]]
_MAGIC = b"BFARRAY1"
_HEAD = struct.Struct("<8sQI")
"""The magic, how many bytes the contents take, their checksum (CRC-32)."""
_ALIGNED = 64
_AT_A_TIME = 1 << 22
_KINDS = "biuf"
_LONGEST_CONTENTS = 1 << 28
_ASKS_AGAIN_SECONDS = 0.05


@dataclass(frozen=True, slots=True)
class ArrayFile:
    """A file whose contents are read and not yet its arrays: `facts` is what was kept beside them."""

    file: Path
    facts: Mapping[str, Any]
    _placed: tuple[tuple[str, str, int, int], ...]
    _begins: int
    _size: int
    _checksum: int

    def arrays(self) -> Arrays:
        """All arrays, mapped and read-only, once the checksum holds. Raises Unreadable, OSError."""
        with self.file.open("rb") as opened:
            if os.fstat(opened.fileno()).st_size != self._size or self._summed(opened) != self._checksum:
                raise Unreadable(f"{self.file.name} is not as it was written.")
            mapped = mmap.mmap(opened.fileno(), 0, access=mmap.ACCESS_READ)
        return {
            name: np.frombuffer(mapped, dtype, count, place) if count else np.empty(0, dtype)
            for name, dtype, count, place in self._placed
        }

    def _summed(self, opened: IO[bytes]) -> int:
        """Read, not mapped: what is not asked for later is then no memory of this process."""
        opened.seek(self._begins)
        some, checksum = bytearray(_AT_A_TIME), 0
        while many := opened.readinto(some):  # type: ignore[attr-defined]  # a buffered reader has it
            checksum = zlib.crc32(memoryview(some)[:many], checksum)
        return checksum


@dataclass(frozen=True, slots=True)
class ArrayFolder:
    """Files of one name in a folder, of which the newest counts."""

    folder: Path
    name: str

    def newest(self, mark: str) -> ArrayFile | None:
        """The newest file that carries a mark; one that cannot be read is passed over."""
        for file in reversed(self._files()):
            with suppress(OSError, Unreadable, ValueError, KeyError, TypeError, struct.error):
                found = _opened(file, mark)
                if found is not None:
                    return found
        return None

    def keep(self, mark: str, facts: Mapping[str, Any], arrays: Arrays) -> None:
        """Write a newer file and remove the older ones that nobody holds. To be called `alone`.

        Raises OSError where it cannot be written.
        """
        older = self._files()
        number = int(older[-1].stem.rpartition("-")[2]) + 1 if older else 1
        with written_aside(self.folder / f"{self.name}-{number:08}.arrays") as aside, aside.open("wb") as out:
            _write(out, mark, facts, arrays)
        for file in older:
            with suppress(OSError):  # Windows: mapped still; the next one to write removes it
                file.unlink()

    @contextmanager
    def alone(self, seconds: float) -> Iterator[bool]:
        """Whether nobody else is writing for the length of the block; waits so long. False where no file can
        be locked.
        """
        descriptor = self._lock(time.monotonic() + seconds)
        try:
            if descriptor is not None:
                clear_leftovers(self.folder)
            yield descriptor is not None
        finally:
            if descriptor is not None:
                os.close(descriptor)

    def _lock(self, until: float) -> int | None:
        with suppress(OSError):
            make_private_folder(self.folder)
            while True:
                descriptor = lock_or_none(self.folder / f"{self.name}.lock")
                if descriptor is not None or time.monotonic() >= until:
                    return descriptor
                Event().wait(_ASKS_AGAIN_SECONDS)  # a faked clock breaks sleep
        return None

    def _files(self) -> list[Path]:
        """Oldest first."""
        found = self.folder.glob(f"{self.name}-*.arrays")
        return sorted(one for one in found if one.stem.rpartition("-")[2].isdecimal())


def _opened(file: Path, mark: str) -> ArrayFile | None:
    """A file by its contents; None if it carries another mark. Raises what broken contents raise."""
    with file.open("rb") as opened:
        magic, length, checksum = _HEAD.unpack(opened.read(_HEAD.size))
        if magic != _MAGIC or length > _LONGEST_CONTENTS:
            raise Unreadable(f"{file.name} holds no arrays.")
        contents = opened.read(length)
    if len(contents) != length or zlib.crc32(contents) != checksum:
        raise Unreadable(f"{file.name} is not as it was written.")
    told = json.loads(contents)
    if told["mark"] != mark:
        return None
    begins = _aligned(_HEAD.size + length)
    placed = []
    for name, dtype, count, place in told["arrays"]:
        kind = np.dtype(dtype)
        if kind.kind not in _KINDS or count < 0 or begins + place + count * kind.itemsize > told["size"]:
            raise Unreadable(f"{file.name} is not as it was written.")
        placed.append((name, dtype, count, begins + place))
    return ArrayFile(file, told["facts"], tuple(placed), begins, told["size"], told["checksum"])


def _write(out: IO[bytes], mark: str, facts: Mapping[str, Any], arrays: Arrays) -> None:
    placed, place, checksum = [], 0, 0
    for name, array in arrays.items():
        placed.append((name, array.dtype.str, len(array), place))
        checksum = zlib.crc32(_padding(array.nbytes), zlib.crc32(np.ascontiguousarray(array).data, checksum))
        place = _aligned(place + array.nbytes)
    told = {"mark": mark, "facts": facts, "arrays": placed, "checksum": checksum, "size": 0}
    length = len(json.dumps(told)) + 20  # room for the size, which it is part of
    begins = _aligned(_HEAD.size + length)
    contents = json.dumps(told | {"size": begins + place}).encode().ljust(length)
    out.write(_HEAD.pack(_MAGIC, length, zlib.crc32(contents)))
    out.write(contents)
    out.write(_padding(_HEAD.size + length))
    for array in arrays.values():
        out.write(np.ascontiguousarray(array).data)
        out.write(_padding(array.nbytes))


def _aligned(place: int) -> int:
    return -(-place // _ALIGNED) * _ALIGNED


def _padding(written: int) -> bytes:
    return bytes(_aligned(written) - written)
