"""By which names this server may be called.

A page elsewhere can have its own name point at the shop's computer (DNS rebinding) and would then read the
shop as if it were its own server. The browser still sends the name that it was told. So taken are: any
address in figures, since only a name can be pointed elsewhere, so that tablets need no setting; this computer
by its own names, alone or as a shop's network writes them; the name it listens at; and those of the setting.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Collection
from dataclasses import dataclass
from ipaddress import IPv4Network, IPv6Network


@dataclass(frozen=True, slots=True)
class Called:
    """The names this server goes by, the proxies whose word is taken for what they were asked, whether HTTPS
    is this server's own, and whether nothing else is let in.
    """

    names: frozenset[str] = frozenset()
    proxies: tuple[IPv4Network | IPv6Network, ...] = ()
    https: bool = False
    https_only: bool = False


_LOCAL_ENDINGS = ("", ".local", ".lan", ".internal", ".home.arpa")
"""What networks without a name server of their own put behind a computer's name; nobody can register them."""


def own_names(host_name: str = "") -> frozenset[str]:
    """Those by which the machine goes: `host_name`, unless told what it calls itself. No server is asked."""
    whole = _folded(host_name or socket.gethostname())
    alone = whole.partition(".")[0]
    return frozenset({"localhost", whole, *(f"{alone}{ending}" for ending in _LOCAL_ENDINGS)})


def is_known(host_header: str, names: Collection[str]) -> bool:
    """Whether a request that carries this header meant this server; without one nobody knows."""
    host = _without_port(host_header.strip())
    return _is_in_figures(host) or _folded(host) in names


def _without_port(header: str) -> str:
    if header.startswith("["):
        return header[1:].partition("]")[0]
    return header.partition(":")[0]


def _is_in_figures(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def _folded(name: str) -> str:
    return name.strip().rstrip(".").lower()
