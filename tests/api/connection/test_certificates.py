"""The authority and its certificates, judged by OpenSSL and by the verifier of cryptography.

Formats and constraints: RFC 5280, 4.2.1.9 and 4.2.1.10. Lives: https://support.apple.com/103769 (825 days).
"""

from __future__ import annotations

import hashlib
import ssl
import stat
import sys
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.serialization import Encoding, load_pem_private_key
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from api.connection import kept, tls
from api.connection.authority import Authority, fingerprint, make_authority, make_certificate
from api.settings import BadSettings, ProcessSettings
from kb.desk.context import utc_now

NOW = utc_now().replace(microsecond=0)
ENDS = f"{NOW + timedelta(days=3652):%Y-%m-%d}"
HOSTS = ("shop-pc", "shop-pc.lan", "localhost", "192.168.1.20", "127.0.0.1")


@dataclass(frozen=True)
class Made:
    authority: Authority
    server: x509.Certificate


@pytest.fixture(scope="module")
def made() -> Made:
    authority = make_authority("shop-pc", HOSTS, NOW)
    return Made(authority, x509.load_pem_x509_certificate(make_certificate(authority, HOSTS, NOW)))


def verify(made: Made, server: x509.Certificate, host: str, at: datetime = NOW) -> None:
    store = Store([made.authority.certificate])
    try:
        subject: x509.GeneralName = x509.IPAddress(ip_address(host))
    except ValueError:
        subject = x509.DNSName(host)
    PolicyBuilder().store(store).time(at).build_server_verifier(subject).verify(server, [])  # type: ignore[arg-type]


def test_the_chain_holds_for_every_name_and_address_of_the_computer_and_no_other(made: Made) -> None:
    for host in HOSTS:
        verify(made, made.server, host)
    for host in ("tower.lan", "192.168.1.21"):
        with pytest.raises(VerificationError):
            verify(made, made.server, host)
    with pytest.raises(VerificationError):
        verify(Made(make_authority("shop-pc", HOSTS, NOW), made.server), made.server, "shop-pc")


def test_lives_are_short_enough_for_every_browser_and_the_authority_lasts_ten_years(made: Made) -> None:
    lasts = made.server.not_valid_after_utc - made.server.not_valid_before_utc
    assert timedelta(days=89) < lasts < timedelta(days=398)
    assert f"{made.authority.certificate.not_valid_after_utc:%Y-%m-%d}" == ENDS
    verify(made, made.server, "shop-pc", NOW - timedelta(hours=20))  # a tablet whose clock is behind
    with pytest.raises(VerificationError):
        verify(made, made.server, "shop-pc", NOW + timedelta(days=91))


@pytest.mark.parametrize("host", ["memory.example", "203.0.113.9", "shop-pc.example"])
def test_whoever_steals_the_key_can_speak_for_no_other_site(made: Made, host: str, tmp_path: Path) -> None:
    """What the authority's key signs for a site of the internet is refused by who trusts the authority."""
    thief = Authority(_allowing(made, host), made.authority.key)
    pem = make_certificate(thief, (host,), NOW)
    forged = x509.load_pem_x509_certificate(pem)
    verify(Made(thief, forged), forged, host)
    with pytest.raises(VerificationError):
        verify(made, forged, host)
    (tmp_path / "forged.pem").write_bytes(make_certificate(thief, (host,), utc_now()))
    server = tls.newest(tmp_path / "forged.pem")
    shown(server, trusting(thief.certificate), host)
    with pytest.raises(ssl.SSLCertVerificationError, match="permitted subtree violation"):
        shown(server, trusting(made.authority.certificate), host)


def trusting(authority: x509.Certificate) -> ssl.SSLContext:
    """A device that was given it."""
    return ssl.create_default_context(cadata=authority.public_bytes(Encoding.DER))


def _allowing(made: Made, host: str) -> x509.Certificate:
    """The authority's own name and key, with another constraint."""
    ours = made.authority.certificate
    begun = x509.CertificateBuilder(
        ours.issuer,
        ours.subject,
        ours.public_key(),
        ours.serial_number,
        ours.not_valid_before_utc,
        ours.not_valid_after_utc,
    )
    for one in ours.extensions:
        if not isinstance(one.value, x509.NameConstraints):
            begun = begun.add_extension(one.value, one.critical)
    allowed = [x509.IPAddress(ip_network(host)) if host[0].isdigit() else x509.DNSName(host)]
    begun = begun.add_extension(x509.NameConstraints(allowed, None), critical=True)
    return begun.sign(made.authority.key, hashes.SHA256())


def test_the_fingerprint_is_in_groups_of_four_digits(made: Made) -> None:
    told = fingerprint(made.authority.certificate)
    assert {len(group) for group in told.split(" ")} == {4}
    der = made.authority.certificate.public_bytes(Encoding.DER)
    assert told.replace(" ", "") == hashlib.sha256(der).hexdigest().upper()


@pytest.fixture
def process(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ProcessSettings:
    """HTTPS at every address of a computer that has one."""
    reached(monkeypatch, "192.168.1.20")
    return ProcessSettings(tmp_path, host="0.0.0.0", https=True)  # noqa: S104  # nobody listens


def reached(monkeypatch: pytest.MonkeyPatch, *found: str) -> None:
    monkeypatch.setattr(kept, "reached_by", lambda _host: found)


def test_a_certificate_is_made_anew_before_it_ends_and_for_new_addresses_alone(
    process: ProcessSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert kept.renew(process, NOW)
    authority = (process.https_folder / "authority.pem").read_bytes()
    days = [day for day in range(100) if kept.renew(process, NOW + timedelta(days=day))]
    assert days == [61]  # 90 days, renewed when less than 30 are left
    later = NOW + timedelta(days=70)
    reached(monkeypatch, "192.168.1.77")
    assert kept.renew(process, later)
    assert not kept.renew(process, later)
    found = kept.on_file(process, later)
    assert found is not None
    assert "192.168.1.77" in kept.hosts_of(found.server)
    assert found.warnings == ()
    assert kept.renew(process, NOW - timedelta(days=30)), "the clock was set back"
    assert (process.https_folder / "authority.pem").read_bytes() == authority


def test_what_the_authority_may_not_speak_for_is_said_and_left_out(
    process: ProcessSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept.renew(process, NOW)
    renamed = replace(process, named_hosts=frozenset({"memory.example"}))
    reached(monkeypatch, "203.0.113.9")
    kept.renew(renamed, NOW)
    found = kept.on_file(renamed, NOW)
    assert found is not None
    assert not {"memory.example", "203.0.113.9"} & kept.hosts_of(found.server)
    assert "203.0.113.9, memory.example" in found.warnings[0]
    ended = NOW + timedelta(days=3653)
    assert any(ENDS in one for one in found_warnings(renamed, ended))
    with pytest.raises(BadSettings, match=ENDS):
        kept.renew(renamed, ended)


def found_warnings(process: ProcessSettings, at: datetime) -> tuple[str, ...]:
    found = kept.on_file(process, at)
    return found.warnings if found else ()


@pytest.mark.skipif(sys.platform == "win32", reason="there the folder of a person is theirs by its own list")
def test_keys_are_for_their_owner_alone(process: ProcessSettings) -> None:
    kept.renew(process, NOW)
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in process.https_folder.iterdir()}
    assert {modes["authority-key.pem"], modes["server.pem"]} == {0o600}
    assert stat.S_IMODE(process.https_folder.stat().st_mode) == 0o700
    key = load_pem_private_key((process.https_folder / "authority-key.pem").read_bytes(), None)
    assert key.public_key() == kept.on_file(process, NOW).authority.public_key()  # type: ignore[union-attr]


def test_a_renewed_certificate_is_shown_without_a_new_start(
    process: ProcessSettings, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = utc_now()
    kept.renew(process, now)
    authority = (process.https_folder / "authority.pem").read_bytes()
    server, device = tls.newest(process.certificate_file), trusting(x509.load_pem_x509_certificate(authority))
    first = shown(server, device, "192.168.1.20")
    assert shown(server, device, "localhost") == first
    with pytest.raises(ssl.SSLCertVerificationError, match="unable to get local issuer"):
        shown(server, ssl.create_default_context(), "192.168.1.20")
    with pytest.raises(ssl.SSLCertVerificationError, match="IP address mismatch"):
        shown(server, device, "192.168.1.77")
    reached(monkeypatch, "192.168.1.77")
    kept.renew(process, now)
    assert shown(server, device, "192.168.1.77") != first
    process.certificate_file.write_bytes(b"half")  # what no rename leaves; the one before stays in use
    assert shown(server, device, "192.168.1.77") != first


def shown(server: ssl.SSLContext, device: ssl.SSLContext, host: str) -> bytes:
    """The certificate of a handshake in memory, as OpenSSL on both sides does it. Raises what it raises."""
    ways = [ssl.MemoryBIO() for _ in range(2)]
    sides = (
        device.wrap_bio(ways[0], ways[1], server_hostname=host),
        server.wrap_bio(ways[1], ways[0], server_side=True),
    )
    done: set[int] = set()
    for _ in range(10):
        for number, side in enumerate(sides):
            try:
                side.do_handshake()
                done.add(number)
            except ssl.SSLWantReadError:
                continue
    assert done == {0, 1}
    return sides[0].getpeercert(binary_form=True) or b""
