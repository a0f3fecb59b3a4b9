"""How a tablet gets to the pages: the addresses, where a new one begins, and what it trusts first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from api.connection import kept
from api.connection.addresses import reached_by, url_of
from api.connection.authority import fingerprint
from api.settings import ProcessSettings

FOR_TABLETS = "--host 0.0.0.0 --https"
"""What `serve` is given so that tablets get in, and nobody reads along."""


@dataclass(frozen=True, slots=True)
class Reach:
    """`pages`: addresses of the start page, the most likely first; none where no tablet gets here.

    `begins_at`: where a new device goes first. Under HTTPS `fingerprint` is that of the authority, and
    `warnings` are sentences for whoever runs the program.
    """

    pages: tuple[str, ...]
    begins_at: str
    fingerprint: str = ""
    warnings: tuple[str, ...] = ()


def reach(process: ProcessSettings, now: datetime) -> Reach:
    """As the settings and the computer's own addresses say now."""
    scheme, port = process.pages_at
    hosts = reached_by(process.host)
    certificates = kept.on_file(process, now) if process.https else None
    return Reach(
        tuple(url_of(scheme, host, port) for host in hosts),
        url_of("http", (hosts or ("localhost",))[0], process.port),
        fingerprint(certificates.authority) if certificates else "",
        certificates.warnings if certificates else (),
    )
