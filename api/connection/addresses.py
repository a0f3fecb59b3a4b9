"""By which addresses the devices of the shop's network reach this computer."""

from __future__ import annotations

import socket
from collections.abc import Iterable
from ipaddress import IPv4Address, IPv6Address, ip_address

import ifaddr

_EVERYWHERE = {"": 4, "0.0.0.0": 4, "::": 6}  # noqa: S104  # compared
_ELSEWHERE = {4: "203.0.113.1", 6: "2001:db8::1"}
"""Addresses that nobody has (RFC 5737 and 3849): the way there is the way out of the shop's network."""
_FAMILIES = {4: socket.AF_INET, 6: socket.AF_INET6}

Address = IPv4Address | IPv6Address


def url_of(scheme: str, host: str, port: int | None) -> str:
    """The address of the start page; without a port that of the scheme."""
    at = f":{port}" if port else ""
    return f"{scheme}://{f'[{host}]' if ':' in host else host}{at}/"


def reached_by(host: str) -> tuple[str, ...]:
    """The names or addresses by which others reach a server that listens at `host`; none at a loopback one.

    Where it listens at every address: those of this computer, that of the default route first.
    """
    version = _EVERYWHERE.get(host)
    if version is not None:
        return in_order(_of_this_computer(), version, _of_the_way_out(version))
    return () if is_loopback(host) else (host,)


def in_order(found: Iterable[str], version: int, first: str) -> tuple[str, ...]:
    """Those of one IP version that others can reach, each once, `first` first."""
    taken = [one for text in found if (one := as_address(text)) and one.version == version]
    others = {one for one in taken if not (one.is_loopback or one.is_link_local or one.is_unspecified)}
    return tuple(str(one) for one in sorted(others, key=lambda one: (str(one) != first, int(one))))


def as_address(text: str) -> Address | None:
    """The address in figures, without the zone of IPv6; None for a name. One of IPv4 that a server which
    listens for both writes as of IPv6 (::ffff:192.168.1.9) is the same.
    """
    try:
        found = ip_address(text.partition("%")[0])
    except ValueError:
        return None
    return getattr(found, "ipv4_mapped", None) or found


def is_loopback(host: str) -> bool:
    """Whether only this computer is meant."""
    found = as_address(host)
    return found.is_loopback if found else host.lower() == "localhost"


def _of_this_computer() -> list[str]:
    found = [one.ip for adapter in ifaddr.get_adapters() for one in adapter.ips]
    return [one if isinstance(one, str) else one[0] for one in found]


def _of_the_way_out(version: int) -> str:
    """The system's routing table is asked, and nothing sent: a datagram socket only looks up its way."""
    try:
        with socket.socket(_FAMILIES[version], socket.SOCK_DGRAM) as one:
            one.connect((_ELSEWHERE[version], 9))
            return str(one.getsockname()[0])
    except OSError:
        return ""
