"""The shop's own certificate authority and the server's certificates (X.509, RFC 5280).

The authority (EC P-256, 10 years) may speak only for addresses that no server of the internet has, for names
that nobody can register, and for what this computer was called when it was made: even a stolen key opens no
other site to whoever trusts it. Phones and browsers ask no more than 825 days of a certificate under an
authority that people added themselves (https://support.apple.com/103769); the 398 days are for those that
came with the device (https://support.apple.com/102028, from memory). A certificate here lasts 90 days, since
it is renewed by itself, and one that was stolen is soon worth nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from ipaddress import ip_network

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from api.connection.addresses import as_address

AUTHORITY_LASTS = timedelta(days=3652)
CERTIFICATE_LASTS = timedelta(days=90)
_CLOCKS_DIFFER = timedelta(days=1)  # a tablet's clock may be behind
_LOCAL_NAMES = ("localhost", "local", "lan", "internal", "home.arpa")
"""Special use (RFC 6761, 6762, 8375) or set aside for private networks; what is below them is allowed too."""
_LOCAL_NETWORKS = (
    # RFC 1918, 1122, 3927, 6598; 4291, 4193
    *("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "169.254.0.0/16", "100.64.0.0/10"),
    *("::1/128", "fc00::/7", "fe80::/10"),
)
_USES = (
    *("digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement"),
    *("key_cert_sign", "crl_sign", "encipher_only", "decipher_only"),
)
Hosts = Collection[str]
"""Names, and addresses in figures."""


@dataclass(frozen=True, slots=True)
class Authority:
    """The key stays in its file and in the one process that renews."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey = field(repr=False)


def make_authority(machine: str, hosts: Hosts, now: datetime) -> Authority:
    """A new one for this computer, which may be called by `hosts`. `now` is UTC."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = _called(f"Beforeflash on {machine}, {now:%Y-%m-%d}")
    names = {*_LOCAL_NAMES, *(one for one in hosts if as_address(one) is None)}
    networks = {ip_network(one) for one in (*_LOCAL_NETWORKS, *hosts) if one not in names}
    allowed: list[x509.GeneralName] = [x509.DNSName(one) for one in sorted(names)]
    allowed += [x509.IPAddress(one) for one in sorted(networks, key=str)]
    made = (
        _begun(name, name, key, now, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_for_use_in("key_cert_sign", "crl_sign"), critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
    )
    return Authority(made.sign(key, hashes.SHA256()), key)


def make_certificate(authority: Authority, hosts: Hosts, now: datetime) -> bytes:
    """A server's new key and certificate for those of `hosts` that the authority may speak for, as PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    spoken_for = sorted(may_speak_for(authority.certificate, hosts))
    until = min(now + CERTIFICATE_LASTS, authority.certificate.not_valid_after_utc)
    issuer = authority.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    made = (
        _begun(_called("Beforeflash"), authority.certificate.subject, key, now, until)
        .add_extension(x509.SubjectAlternativeName([_san(one) for one in spoken_for]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_for_use_in("digital_signature"), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(issuer), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return private_pem(key) + made.public_bytes(serialization.Encoding.PEM)


def may_speak_for(authority: x509.Certificate, hosts: Hosts) -> frozenset[str]:
    """Those of the hosts that its constraints allow."""
    allowed = (
        authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or ()
    )
    names = [one.value for one in allowed if isinstance(one, x509.DNSName)]
    networks = [ip_network(str(one.value)) for one in allowed if isinstance(one, x509.IPAddress)]

    def is_allowed(host: str) -> bool:
        address = as_address(host)
        if address is not None:
            return any(address in network for network in networks)
        return any(host == name or host.endswith(f".{name}") for name in names)

    return frozenset(filter(is_allowed, hosts))


def hosts_of(certificate: x509.Certificate) -> frozenset[str]:
    """For whom it speaks."""
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return frozenset(str(one.value) for one in names)


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256, in groups of four to be compared by eye."""
    told = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return " ".join(told[at : at + 4] for at in range(0, len(told), 4))


def fit_for_certificates(hosts: Iterable[str]) -> frozenset[str]:
    """Without what no certificate can name: letters beyond ASCII, and the address that means every one."""
    return frozenset(
        one
        for one in hosts
        if one.isascii() and one and not ((found := as_address(one)) and found.is_unspecified)
    )


def private_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    """Without a password: it would have to lie beside it, for a computer that starts by itself."""
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime, until: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _CLOCKS_DIFFER)
        .not_valid_after(until)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _for_use_in(*uses: str) -> x509.KeyUsage:
    return x509.KeyUsage(**{use: use in uses for use in _USES})


def _called(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words[:64])])


def _san(host: str) -> x509.GeneralName:
    address = as_address(host)
    return x509.DNSName(host) if address is None else x509.IPAddress(address)
