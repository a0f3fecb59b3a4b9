"""Which devices a person was signed in on before: what a device's cookie says, signed by the shop.

A cookie is the device's random id, the ids of the accounts, and a keyed hash over both (OWASP, "Slow Down
Online Guessing Attacks with Device Cookies": login, nonce, HMAC). It lets nobody in: its device only waits
by itself after wrong tries, so that nobody else's guesses keep its people out.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass, field
from datetime import timedelta
from ipaddress import IPv6Address, ip_address, ip_network

from kb.desk.context import Desk, open_to_anyone
from kb.records.store.shop import wrong_tries as store

DEVICE_IS_KNOWN = timedelta(days=400)
"""As long as a browser keeps a cookie at most (RFC 6265bis, 5.5); each sign-in begins it anew."""
MOST_PEOPLE = 40


@dataclass(frozen=True, slots=True)
class Device:
    """Where a try comes from. `id` is empty, and `people` too, where nobody was signed in before.

    `people` holds ids of accounts; `address` is as the server sees it.
    """

    address: str = ""
    id: str = ""
    people: tuple[int, ...] = field(default=())

    def knows(self, user_id: int | None) -> bool:
        return user_id is not None and user_id in self.people

    @property
    def subscriber(self) -> str:
        """Whoever has this address: of IPv6 a household has 2^64 of them."""
        return _network(self.address, 32, 64)

    @property
    def around(self) -> str:
        """Where that is, no nearer than an owner needs to tell the shop's own network from others."""
        return _network(self.address, 24, 48)


STRANGER = Device()


def _network(address: str, bits: int, bits_of_6: int) -> str:
    """The network of so many leading bits; empty for what is no address of the internet."""
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return ""
    wide = bits_of_6 if isinstance(found, IPv6Address) else bits
    return str(ip_network((found.packed, wide), strict=False))


@open_to_anyone
def device_of(desk: Desk, cookie: str, address: str) -> Device:
    """The device that sent this cookie from there; a cookie that the shop did not sign says nothing."""
    key = store.device_key(desk.session, desk.shop.id)
    said, _, signature = cookie.rpartition(".")
    if not key or not said or not hmac.compare_digest(_signed(key, said).encode(), signature.encode()):
        return Device(address)
    device_id, _, people = said.partition(".")
    return Device(address, device_id, tuple(int(one) for one in people.split("-")))


@open_to_anyone
def cookie_of(desk: Desk, device: Device, user_id: int) -> str:
    """What the device is known by once this person was signed in on it. Only a right sign-in may ask."""
    others = tuple(one for one in device.people if one != user_id)
    people = (*others, user_id)[-MOST_PEOPLE:]
    said = f"{device.id or secrets.token_urlsafe(12)}.{'-'.join(map(str, people))}"
    return f"{said}.{_signed(key_of(desk), said)}"


def key_of(desk: Desk) -> str:
    """The shop's own key, made when it is needed first: for a desk that may write."""
    key = store.device_key(desk.session, desk.shop.id)
    if key is None:
        key = secrets.token_urlsafe(32)
        store.keep_device_key(desk.session, desk.shop.id, key)
    return key


def _signed(key: str, said: str) -> str:
    return hmac.new(key.encode(), f"device {said}".encode(), hashlib.sha256).hexdigest()
