"""JSON lines of which each carries a seal over itself and every line before it.

A line that was changed, moved, doubled or taken out breaks a seal just there, so that it can be named. The
last line says how many there are. Lines are plain ASCII; how they end (LF or CR LF) is not sealed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, BinaryIO

from kb.errors import Unreadable

Line = tuple[int, dict[str, Any]]
_SEAL = ', "seal": "{}"}}'
_LENGTH = 16
_WRITTEN = len(_SEAL.format("0" * _LENGTH))
AGAIN = (
    "Make the export again with `beforeflash export FILE`, or fetch the file again from where it was kept."
)


def sealed(entries: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    """Each entry (not empty) as a line with its seal and line end; then the line that says it is all."""
    chain = hashlib.sha256()
    count = 0
    for count, entry in enumerate(entries, start=1):  # noqa: B007  # counts the lines
        yield _with_seal(chain, entry)
    yield _with_seal(chain, {"lines": count + 1})


def unsealed(stream: BinaryIO, name: str) -> Iterator[Line]:
    """(line number, entry) of every line but the last.

    Raises Unreadable that names the first line that is not as it was written, or where the file is cut short.
    """
    chain = hashlib.sha256()
    number, ended = 0, False
    for number, line in enumerate(stream, start=1):
        if ended:
            raise Unreadable(f"{name} goes on after its last line, in line {number}. {AGAIN}")
        body = _checked(chain, line.rstrip(b"\r\n"))
        if body is None:
            whole = line.endswith(b"\n")
            what = "is not as it was written: it was changed or damaged" if whole else "was cut short"
            raise Unreadable(f"Line {number:,} of {name} {what}. {AGAIN}")
        entry = json.loads(body)
        ended = entry == {"lines": number}
        if not ended:
            yield number, entry
    if not ended:
        raise Unreadable(f"{name} was cut short after line {number:,}. {AGAIN}")


def _with_seal(chain: hashlib._Hash, entry: Mapping[str, Any]) -> str:
    body = json.dumps(entry)
    chain.update(body.encode())
    return body[:-1] + _SEAL.format(chain.hexdigest()[:_LENGTH]) + "\n"


def _checked(chain: hashlib._Hash, line: bytes) -> bytes | None:
    """What was sealed, or None where the seal is not that of this line after the ones before."""
    body = line[:-_WRITTEN] + b"}"
    chain.update(body)
    seal = _SEAL.format(chain.hexdigest()[:_LENGTH]).encode()
    return body if line[-_WRITTEN:] == seal else None
