"""What the server takes of a connection: which TLS, and where a request ends."""

from __future__ import annotations

import re
import socket
import ssl
from http.client import parse_headers
from pathlib import Path

import pytest
from cryptography import x509

from api.connection import tls
from api.connection.authority import make_authority, make_certificate
from kb.desk.context import RunningShop, utc_now
from tests import patience
from tests.api.connection.test_certificates import shown, trusting
from tests.web.chromium import served

# Mozilla's "intermediate" configuration, version 5.7 (https://ssl-config.mozilla.org/guidelines/5.7.json, of
# its suites those with ECDHE, from memory); RFC 9325, 4.2, recommends the same with AES-GCM.
GCM = ("AES128-GCM-SHA256", "AES256-GCM-SHA384")
RECOMMENDED = {
    *("TLS_AES_128_GCM_SHA256", "TLS_AES_256_GCM_SHA384", "TLS_CHACHA20_POLY1305_SHA256"),
    *(f"ECDHE-{key}-{suite}" for key in ("ECDSA", "RSA") for suite in (*GCM, "CHACHA20-POLY1305")),
}
V = ssl.TLSVersion


@pytest.fixture(scope="module")
def sides(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, x509.Certificate]:
    """The server's file, and the authority that a device trusts."""
    file = tmp_path_factory.mktemp("tls") / "server.pem"
    authority = make_authority("shop-pc", ("shop-pc",), utc_now())
    file.write_bytes(make_certificate(authority, ("shop-pc",), utc_now()))
    return file, authority.certificate


def speaking(authority: x509.Certificate, version: ssl.TLSVersion) -> ssl.SSLContext:
    """A device that knows this version alone, however old."""
    device = trusting(authority)
    device.set_ciphers("ALL:@SECLEVEL=0")
    device.minimum_version = device.maximum_version = version
    return device


@pytest.mark.filterwarnings("ignore:ssl.TLSVersion")
def test_no_tls_older_than_1_2_is_taken(sides: tuple[Path, x509.Certificate]) -> None:
    file, authority = sides
    ours = tls.newest(file)
    for version in (V.TLSv1_2, V.TLSv1_3):
        assert shown(ours, speaking(authority, version), "shop-pc")
    lax = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    lax.minimum_version = V.TLSv1
    lax.set_ciphers("ALL:@SECLEVEL=0")
    lax.load_cert_chain(file)
    for version in (V.TLSv1, V.TLSv1_1):
        assert shown(lax, speaking(authority, version), "shop-pc"), "the device itself can"
        with pytest.raises(ssl.SSLError, match="UNSUPPORTED_PROTOCOL"):
            shown(ours, speaking(authority, version), "shop-pc")


def test_every_suite_keeps_past_talk_secret_and_is_recommended(sides: tuple[Path, x509.Certificate]) -> None:
    """Forward secrecy: keys agreed on for once (ECDHE; TLS 1.3 has no other way). The server chooses."""
    for context in (tls.newest(sides[0]), tls._read(sides[0])):  # it hands over to the other
        offered = context.get_ciphers()
        assert {one["name"] for one in offered} <= RECOMMENDED
        assert all(one["aead"] and one["kea"] in {"kx-ecdhe", "kx-any"} for one in offered)
        strengths = [one["strength_bits"] for one in offered if one["protocol"] == "TLSv1.2"]
        assert strengths == sorted(strengths, reverse=True) != []
        assert context.options & ssl.OP_CIPHER_SERVER_PREFERENCE


HIDDEN = b"GET /api/hidden HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
CHUNKED, ENDED = b"Transfer-Encoding: chunked\r\n", b"0\r\n\r\n"
# What must not be taken for a whole request with another behind it (RFC 9112, 2.2, 5.1, 6.1, 6.3, 7.1).
UNCLEAR = {
    "both lengths, short by the one": (b"Content-Length: 4\r\n" + CHUNKED, b"4\r\nabcd\r\n" + ENDED),
    "both lengths, long by the one": (b"Content-Length: 51\r\n" + CHUNKED, ENDED),
    "two lengths": (b"Content-Length: 0\r\nContent-Length: 50\r\n", b""),
    "a list of lengths": (b"Content-Length: 0, 50\r\n", b""),
    "a length with a sign": (b"Content-Length: +0\r\n", b""),
    "a length below nothing": (b"Content-Length: -1\r\n", b""),
    "another coding": (b"Transfer-Encoding: gzip, chunked\r\n", ENDED),
    "a second coding": (CHUNKED + b"Transfer-Encoding: identity\r\n", ENDED),
    "no coding": (b"Transfer-Encoding: xchunked\r\n", ENDED),
    "a coding behind a tab of lines": (b"Transfer-Encoding: \x0bchunked\r\n", ENDED),
    "a blank before the colon": (b"Content-Length : 0\r\n", b""),
    "a bare CR": (b"X: a\rContent-Length: 0\r\n", b""),
    "a chunk that ends in a bare LF": (CHUNKED, b"0\n\n"),
    "a chunk longer than it says": (CHUNKED, b"2\r\nabXX" + ENDED),
    "an LF in what a chunk adds": (CHUNKED, b"2;\nxx\r\nab\r\n" + ENDED),
    "two hosts": (b"Host: elsewhere.example\r\nContent-Length: 0\r\n", b""),
}


def statuses(port: int, sent: bytes) -> list[int]:
    """Of all answers until the server closes the connection; raises TimeoutError where it does not."""
    with socket.create_connection(("127.0.0.1", port), timeout=patience.here(5)) as one:
        one.sendall(sent)
        got = b""
        while some := one.recv(65536):
            got += some
    return [int(found) for found in re.findall(rb"HTTP/1\.1 (\d{3}) ", got)]


def test_no_second_request_hides_in_one_whose_end_is_unclear(sqlite_shop: RunningShop) -> None:
    begun = b"POST /api/notes HTTP/1.1\r\nHost: 127.0.0.1\r\n"
    last = HIDDEN.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n")
    with served(sqlite_shop) as url:
        port = int(url.rpartition(":")[2])
        clear = begun + b"Content-Length: 0\r\n\r\n" + last
        assert statuses(port, clear) == [401, 404], "two that are clear are both answered"
        for name, (headers, body) in UNCLEAR.items():
            assert statuses(port, begun + headers + b"\r\n" + body + HIDDEN) == [400], name
        old = begun.replace(b"1.1", b"1.0") + CHUNKED + b"\r\n" + ENDED
        assert statuses(port, old + HIDDEN) == [401], "version 1.0 knows no chunks: closed behind it"


NO_REQUESTS = {
    "words": b"anybody there?\r\n\r\n",
    "TLS at the plain port": bytes.fromhex("16030100c8010000c40303") + bytes(192),
    "no host": b"GET / HTTP/1.1\r\n\r\n",
    "a header longer than is read": b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"x" * 20_000,
}


def answered(port: int, sent: bytes) -> tuple[str, dict[str, str]]:
    """The first line of the one answer until the server closes the connection, and its headers."""
    with socket.create_connection(("127.0.0.1", port), timeout=patience.here(5)) as one:
        one.sendall(sent)
        with one.makefile("rb") as answer:
            first = answer.readline().decode().strip()
            headers = {name.lower(): value for name, value in parse_headers(answer).items()}
            assert len(answer.read()) == int(headers["content-length"])
    return first, headers


def test_what_is_no_request_is_refused_with_the_headers_of_every_answer(sqlite_shop: RunningShop) -> None:
    """All of them but the number of a request: it is none."""
    with served(sqlite_shop) as url:
        port = int(url.rpartition(":")[2])
        asked = b"GET /hidden HTTP/1.1\r\nHost: elsewhere.example\r\nConnection: close\r\n\r\n"
        _, every = answered(port, asked)
        bound = {name for name in every if name not in {"date", "content-length", "x-request-number"}}
        assert {"content-security-policy", "x-content-type-options", "content-type"} < bound
        for name, sent in NO_REQUESTS.items():
            first, refused = answered(port, sent)
            assert first == "HTTP/1.1 400 Bad Request", name
            assert {one: refused.get(one) for one in bound} == {one: every[one] for one in bound}, name
            assert refused["cache-control"] == "no-store"
            assert "server" not in refused


def test_nothing_follows_an_answer_whose_request_ends_in_what_is_none(
    sqlite_shop: RunningShop, caplog: pytest.LogCaptureFixture
) -> None:
    with served(sqlite_shop) as url:
        port = int(url.rpartition(":")[2])
        with socket.create_connection(("127.0.0.1", port), timeout=patience.here(5)) as one:
            one.sendall(b"POST /api/notes HTTP/1.1\r\nHost: 127.0.0.1\r\n" + CHUNKED + b"\r\n")
            assert one.recv(65536).startswith(b"HTTP/1.1 401 ")
            one.sendall(b"no length of a chunk\r\n" + HIDDEN)
            rest = b"".join(iter(lambda: one.recv(65536), b""))
    assert b"HTTP/1.1" not in rest
    assert [said for said in caplog.messages if "data_received" in said] == []
