"""The authority and the server's certificate as files in the data folder, and when they are made anew.

`authority-key.pem` is read by whoever renews alone; `authority.pem` is what devices trust; `server.pem` is
the server's key and certificate, which every worker reads. None of them is a part of the shop: no backup and
no export holds them, so that a copy of a shop is no key to its tablets.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from api.connection import tls
from api.connection.addresses import reached_by
from api.connection.authority import (
    Authority,
    fit_for_certificates,
    hosts_of,
    make_authority,
    make_certificate,
    may_speak_for,
    private_pem,
)
from api.hosts import own_names
from api.settings import BadSettings, ProcessSettings
from kb.desk.context import utc_now
from kb.desk.shop.private_files import one_writer, write_privately
from kb.errors import KbError

RENEWED_BEFORE = timedelta(days=30)
AUTHORITY_ENDS_SOON = timedelta(days=365)
LOOK_EVERY = 60  # seconds; an address changes when a router starts again
_BY_THIS_COMPUTER = ("127.0.0.1", "::1")


@dataclass(frozen=True, slots=True)
class Certificates:
    """What is on file; `warnings` are sentences for whoever runs the program."""

    authority: x509.Certificate
    server: x509.Certificate
    warnings: tuple[str, ...] = ()


def wanted_hosts(process: ProcessSettings) -> frozenset[str]:
    """All names and addresses by which this server is called, as far as a certificate can name them."""
    return fit_for_certificates({*process.hosts, *_BY_THIS_COMPUTER, *reached_by(process.host)})


def renew(process: ProcessSettings, now: datetime) -> bool:
    """Make what is missing, ends soon or does not name an address of today; whether a certificate was made.

    Raises BadSettings for an authority that has ended or cannot be read, Conflict where another process
    renews just now.
    """
    folder, wanted = process.https_folder, wanted_hosts(process)
    with one_writer(folder, "serve --https", now):
        if not (folder / "authority.pem").exists():
            _keep(folder, make_authority(sorted(own_names(), key=len)[0], wanted, now))
        authority = _authority(folder)
        if authority.not_valid_after_utc <= now:
            raise BadSettings(
                f"The authority in {folder} ended on {authority.not_valid_after_utc:%Y-%m-%d}: "
                + _begin_anew(folder)
            )
        if not _is_due(process.certificate_file, authority, wanted, now):
            return False
        write_privately(process.certificate_file, make_certificate(authority_of(folder), wanted, now))
        return True


def authority_of(folder: Path) -> Authority:
    """With its key. Raises BadSettings where that is not there, cannot be read or is another's."""
    certificate, file = _authority(folder), folder / "authority-key.pem"
    try:
        key = serialization.load_pem_private_key(file.read_bytes(), None)
    except (ValueError, OSError) as error:
        raise BadSettings(
            f"{file} cannot be read ({error}). Let it be readable, or {_begin_anew(folder)}"
        ) from None
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        raise BadSettings(f"{file} is not the key of authority.pem beside it: {_begin_anew(folder)}")
    return Authority(certificate, key)


def renew_in_background(process: ProcessSettings) -> None:
    """Look now and then whether a new certificate is due; workers take it up with the next connection."""

    def keep_looking() -> None:
        while True:
            time.sleep(LOOK_EVERY)
            try:
                renew(process, utc_now())
            except (KbError, BadSettings, OSError, ValueError) as error:
                sys.stderr.write(f"beforeflash: the certificate was not renewed: {error}\n")

    threading.Thread(target=keep_looking, name="certificate", daemon=True).start()


def on_file(process: ProcessSettings, now: datetime) -> Certificates | None:
    """What devices are shown; None where nothing was made yet. No key is looked at."""
    if not process.certificate_file.exists():
        return None
    authority, server = _authority(process.https_folder), _read(process.certificate_file)
    return Certificates(authority, server, _warnings(process, authority, server, now))


def _warnings(
    process: ProcessSettings, authority: x509.Certificate, server: x509.Certificate, now: datetime
) -> tuple[str, ...]:
    wanted, anew = wanted_hosts(process), _begin_anew(process.https_folder)
    said = []
    if unnamed := sorted(may_speak_for(authority, wanted) - hosts_of(server)):
        said.append(
            f"The certificate does not name {', '.join(unnamed)} yet, and devices that go there are warned: "
            "a server that runs puts that right within a minute."
        )
    if unspoken := sorted(wanted - may_speak_for(authority, wanted)):
        said.append(
            f"The authority was made before this computer was called {', '.join(unspoken)}, and may not "
            f"speak for that: devices that go there are warned. To have it in: {anew}"
        )
    if server.not_valid_after_utc - now < RENEWED_BEFORE - timedelta(days=1):
        said.append(
            f"The certificate ends on {server.not_valid_after_utc:%Y-%m-%d} and was not renewed. Start the "
            "server again; it says what is wrong."
        )
    if authority.not_valid_after_utc - now < AUTHORITY_ENDS_SOON:
        said.append(
            f"The authority that tablets trust ends on {authority.not_valid_after_utc:%Y-%m-%d}. On a quiet "
            f"day before that: {anew}"
        )
    return tuple(said)


def _is_due(file: Path, authority: x509.Certificate, wanted: Collection[str], now: datetime) -> bool:
    """Whether a new one is to be made: also in the place of one that is damaged, certificate or key."""
    try:
        found = _read(file)
        tls.newest(file)
        found.verify_directly_issued_by(authority)
    except (InvalidSignature, ValueError, OSError, BadSettings):
        return True
    begins, ends = found.not_valid_before_utc, found.not_valid_after_utc
    is_short = ends - now < RENEWED_BEFORE and ends < authority.not_valid_after_utc
    return is_short or begins > now or hosts_of(found) != may_speak_for(authority, wanted)


def _keep(folder: Path, made: Authority) -> None:
    """The key first: an authority that is there has one."""
    write_privately(folder / "authority-key.pem", private_pem(made.key))
    write_privately(folder / "authority.pem", made.certificate.public_bytes(serialization.Encoding.PEM))


def _authority(folder: Path) -> x509.Certificate:
    try:
        return _read(folder / "authority.pem")
    except BadSettings as damaged:
        raise BadSettings(f"{damaged}: {_begin_anew(folder)}") from None


def _begin_anew(folder: Path) -> str:
    return f"delete {folder}; the next start makes a new authority, which each tablet trusts anew."


def _read(file: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(file.read_bytes())
    except ValueError:
        raise BadSettings(f"{file} holds no certificate") from None
