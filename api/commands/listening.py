"""Where the server listens: whether it can, said before anything is made, and the address to open."""

from __future__ import annotations

import errno
import socket
import sys
from dataclasses import replace
from http.client import HTTPConnection, HTTPException

from api.connection.addresses import url_of
from api.settings import BadSettings, ProcessSettings

_OTHERS_TO_TRY = 20
_ANSWERS_WITHIN = 1.0  # seconds
_TAKEN = {errno.EADDRINUSE, getattr(errno, "WSAEADDRINUSE", errno.EADDRINUSE)}


def refuse_bad_address(process: ProcessSettings) -> None:
    """Raise BadSettings in a sentence before anything is said or made, where nobody could listen."""
    if process.https:
        if process.https_port == process.port:
            raise BadSettings(
                f"HTTPS needs a port of its own: {process.port} is where the way there is shown."
            )
        refuse_bad_address(replace(process, port=process.https_port, https=False))
    if not 1 <= process.port <= 65535:
        raise BadSettings(f"The port is {process.port}; it must be a whole number from 1 to 65535.")
    try:
        error = _trouble(process.host, process.port)
    except (OSError, UnicodeError):
        raise BadSettings(f"There is no address {process.host!r} to listen at.") from None
    if error is None:
        return
    if error.errno in _TAKEN:
        raise BadSettings(_taken(process))
    why = error.strerror or str(error)
    if error.errno == errno.EACCES and process.port < 1024:
        why += ". Ports below 1024 need rights of their own: take another --port"
    raise BadSettings(f"Nothing can listen at {process.host} port {process.port}: {why}.")


def address_of(process: ProcessSettings) -> str:
    """What a browser on this machine opens."""
    scheme, port = process.pages_at
    return url_of(scheme, reach_from_here(process.host), port)


def answers(host: str, port: int) -> bool:
    """Whether a Beforeflash answers there."""
    asking = HTTPConnection(host, port, timeout=_ANSWERS_WITHIN)
    try:
        asking.request("GET", "/healthz")
        return b"beforeflash" in asking.getresponse().read(200)
    except (OSError, HTTPException):
        return False
    finally:
        asking.close()


def reach_from_here(host: str) -> str:
    """The address by which this machine reaches a server that listens at `host`, also at every address."""
    return {"0.0.0.0": "127.0.0.1", "::": "::1", "": "127.0.0.1"}.get(host, host)  # noqa: S104  # compared


def _taken(process: ProcessSettings) -> str:
    here = reach_from_here(process.host)
    who = "by a Beforeflash" if answers(here, process.port) else "by another program"
    free = next(
        (
            one
            for one in range(process.port + 1, min(process.port + _OTHERS_TO_TRY, 65535))
            if _trouble(process.host, one) is None
        ),
        None,
    )
    instead = f"--port {free}" if free else "another --port"
    return (
        f"Port {process.port} is in use already, {who}. Stop that one first, "
        f"or start this one with {instead} (or set BEFOREFLASH_PORT)."
    )


def _trouble(host: str, port: int) -> OSError | None:
    """Why nobody can listen there; None where one can. Raises OSError for an address that is none."""
    family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    with socket.socket(family, kind, protocol) as one:
        # On Windows "reuse" would take a port from whoever listens at it.
        if sys.platform == "win32":
            one.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            one.bind(address)
        except OSError as error:
            return error
    return None
