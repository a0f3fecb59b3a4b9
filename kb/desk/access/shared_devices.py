"""Devices that several people share: marked by a lead or owner, left and taken over by name and PIN."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from kb.desk.access import secrets
from kb.desk.access.lifetimes import PROGRAMMING_AT_MOST
from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner, open_to_anyone
from kb.desk.saving import row_of
from kb.errors import BadInput
from kb.records.store.rows import save
from kb.records.store.shop import people
from kb.records.store.shop import ways_in as store
from kb.records.tables import SharedDevice, SharedPlace, SignIn

PLACE_IS_KEPT = timedelta(hours=12)
_LONGEST_NAME, _LONGEST_PATH, _LONGEST_TITLE = 60, 500, 120


@dataclass(frozen=True, slots=True)
class SharedDeviceView:
    id: int
    name: str
    marked_by: str
    marked_at: datetime


@dataclass(frozen=True, slots=True)
class Tile:
    """A person who has a PIN, on a shared device."""

    user_id: int
    display_name: str


@dataclass(frozen=True, slots=True)
class Place:
    """The page that somebody left the device on."""

    path: str
    title: str
    at: datetime


@lead_or_owner
def share_device(desk: Desk, name: str) -> str:
    """Mark the device that asks as shared; gives the key that it keeps. Raises BadInput without a name."""
    called = name.strip()
    if not called or len(called) > _LONGEST_NAME:
        raise BadInput("Call the tablet by where it lies, in up to 60 letters.", fields={"name": "needed"})
    key = secrets.new_secret()
    row = SharedDevice(
        shop_id=desk.shop.id,
        name=called,
        key_hash=secrets.kept(key),
        marked_by=desk.actor.name,
        marked_at=desk.now,
    )
    save(desk.session, row)
    this = desk.actor.session_id
    if this is not None:
        row_of(desk, SignIn, this, "This session has ended.").shared_device_id = row.id
    desk.note_down("shared a device", "shared device", row.id, name=called)
    return key


@lead_or_owner
def list_shared_devices(desk: Desk) -> tuple[SharedDeviceView, ...]:
    rows = store.devices(desk.session, desk.shop.id)
    return tuple(SharedDeviceView(row.id or 0, row.name, row.marked_by, row.marked_at) for row in rows)


@lead_or_owner
def share_no_more(desk: Desk, device_id: int) -> None:
    """Nobody comes in by PIN on that device any more; who is signed in on it is signed out."""
    row = row_of(desk, SharedDevice, device_id, "There is no such device.")
    if row.ended_at is None:
        row.ended_at = desk.now
        store.end_sessions_on(desk.session, device_id)
        desk.note_down("shared a device no more", "shared device", row.id, name=row.name)


@open_to_anyone
def shared_device(desk: Desk, key: str) -> SharedDeviceView | None:
    """The shared device with this key, or None."""
    row = _device(desk, key)
    return SharedDeviceView(row.id or 0, row.name, row.marked_by, row.marked_at) if row else None


@open_to_anyone
def tiles(desk: Desk, key: str) -> tuple[Tile, ...]:
    """Who may come in by PIN on the device with this key; nobody on any other."""
    if _device(desk, key) is None:
        return ()
    found = people.users(desk.session, desk.shop.id)
    with_pin = [one for one in found if one.pin_hash is not None and one.disabled_at is None]
    return tuple(Tile(one.id or 0, one.display_name) for one in with_pin)


@open_to_anyone
def has_pin(desk: Desk, user_id: int) -> bool:
    """Whether that person shows who they are by PIN; who has none does by password."""
    user = people.user_with_id(desk.session, user_id)
    return user is not None and user.shop_id == desk.shop.id and user.pin_hash is not None


@open_to_anyone
def place_on(desk: Desk, key: str, user_id: int) -> Place | None:
    """Where that person left the device, in the last twelve hours."""
    device = _device(desk, key)
    row = store.place_of(desk.session, device.id or 0, user_id) if device else None
    if row is None or abs(desk.now - row.at) > PLACE_IS_KEPT:
        return None
    return Place(row.path, row.title, row.at)


@anyone_in_the_shop
def leave(desk: Desk, path: str, title: str) -> None:
    """Keep where the person goes from, for when they are back; on a device of one's own nothing is kept."""
    here = desk.actor.on_shared
    if here is None or len(path) > _LONGEST_PATH:
        return
    place = SharedPlace(
        shop_id=desk.shop.id,
        device_id=here,
        user_id=desk.actor.user_id,
        path=path,
        title=title[:_LONGEST_TITLE],
        at=desk.now,
    )
    store.keep_place(desk.session, place)


@anyone_in_the_shop
def programming_begins(desk: Desk) -> None:
    """From here until it is over nobody is locked out on the shared device that it is done from."""
    _set_programming(desk, desk.now + PROGRAMMING_AT_MOST)


@anyone_in_the_shop
def programming_is_over(desk: Desk) -> None:
    _set_programming(desk, None)


def _set_programming(desk: Desk, until: datetime | None) -> None:
    here = desk.actor.on_shared
    if here is not None:
        row_of(desk, SharedDevice, here, "There is no such device.").programming_until = until


def _device(desk: Desk, key: str) -> SharedDevice | None:
    return store.device_by_key(desk.session, desk.shop.id, secrets.kept(key)) if key else None
