"""The TLS of a worker: always by the newest certificate on file, so that a renewal needs no restart."""

from __future__ import annotations

import ssl
from collections.abc import Callable
from pathlib import Path
from typing import Any

from api.settings import from_environment

_SUITES_OF_1_2 = ":".join(
    f"ECDHE-ECDSA-{one}" for one in ("AES256-GCM-SHA384", "CHACHA20-POLY1305", "AES128-GCM-SHA256")
)
"""The strongest first, for keys as ours are. Python's own list has some without authenticated encryption."""


def of_this_process(_config: object, _usual: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
    """What uvicorn asks for in each worker."""
    return newest(from_environment().certificate_file)


def newest(file: Path) -> ssl.SSLContext:
    """TLS 1.2 or later by the key and certificate in `file`. Each connection looks whether it changed.

    OpenSSL asks the callback at every handshake, also where no name was sent. A file that cannot be taken
    just now leaves the one before in use.
    """
    current, seen = _read(file), _mark(file)

    def look(connection: Any, _name: str | None, _context: ssl.SSLContext) -> None:
        nonlocal current, seen
        try:
            if (mark := _mark(file)) != seen:
                current, seen = _read(file), mark
        except OSError:  # ssl.SSLError is one
            pass
        connection.context = current

    outer = _read(file)
    outer.sni_callback = look
    return outer


def _read(file: Path) -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.set_ciphers(_SUITES_OF_1_2)
    context.set_alpn_protocols(["http/1.1"])
    context.load_cert_chain(file)
    return context


def _mark(file: Path) -> tuple[int, int, int]:
    found = file.stat()
    return found.st_mtime_ns, found.st_size, found.st_ino
