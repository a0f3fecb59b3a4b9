"""What a proxy in front says of the one who asks: taken only from the proxies that the setting names.

Of the headers that proxies write, those called X-Forwarded-For, -Proto and -Host are read, of each the last
entry, since a proxy appends its own to what the sender made up. `Forwarded` (RFC 7239) is not: a proxy that
writes one kind hands the other on as it came, and whoever asks could write that one.
"""

from __future__ import annotations

from collections.abc import Sequence
from ipaddress import IPv4Network, IPv6Network

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Receive, Scope, Send

from api.connection.addresses import Address, as_address

Networks = Sequence[IPv4Network | IPv6Network]


class BehindProxies:
    """Puts the asker's own address, scheme and host in the place of the proxy's; of others nothing is taken.

    The headers stay, so that who asks through a proxy is not taken for somebody at this computer.
    """

    def __init__(self, app: ASGIApp, proxies: Networks) -> None:
        self._app, self._proxies = app, proxies

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http" and self._proxies and self._is_proxy(_host_of(scope)):
            scope = self._as_asked(scope)
        await self._app(scope, receive, send)

    def _as_asked(self, scope: Scope) -> Scope:
        headers = Headers(scope=scope)
        asked = dict(scope)
        proto, host = _last(headers, "x-forwarded-proto").lower(), _last(headers, "x-forwarded-host")
        if proto in ("http", "https"):
            asked["scheme"] = proto
        if host:
            asked["headers"] = list(scope["headers"])
            MutableHeaders(scope=asked)["host"] = host
        if asker := self._asker(_entries(headers, "x-forwarded-for")):
            asked["client"] = (str(asker), 0)
        return asked

    def _asker(self, entries: Sequence[str]) -> Address | None:
        """The last that is no proxy of ours: what stands before it anybody may have written."""
        for entry in reversed(entries):
            found = _without_port(entry)
            if found is None or not self._is_proxy(found):
                return found
        return None

    def _is_proxy(self, address: Address | None) -> bool:
        return address is not None and any(address in network for network in self._proxies)


def _host_of(scope: Scope) -> Address | None:
    client = scope.get("client")
    return as_address(client[0]) if client else None


def _entries(headers: Headers, name: str) -> list[str]:
    return [one.strip() for line in headers.getlist(name) for one in line.split(",") if one.strip()]


def _last(headers: Headers, name: str) -> str:
    return (_entries(headers, name) or [""])[-1]


def _without_port(entry: str) -> Address | None:
    """192.168.1.9, 192.168.1.9:5000, 2001:db8::9 or [2001:db8::9]:5000."""
    if entry.startswith("["):
        return as_address(entry[1:].partition("]")[0])
    return as_address(entry.partition(":")[0] if entry.count(":") == 1 else entry)
