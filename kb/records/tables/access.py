"""How people and programs come in: sessions, tokens, and the devices that several people share."""

from datetime import date, datetime

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from kb.records.tables.columns import NEVER_REUSE_IDS, OfShop, instant, maybe_instant


class SignIn(OfShop, table=True):
    """A browser session. The cookie holds a random id; only its hash is kept.

    `door` is how somebody came in, `device` what they came in on, in a few words. One that was turned to a
    customer shows nothing but the question `handed_over_at_concern`.
    """

    __tablename__ = "sign_in"
    user_id: int = Field(foreign_key="shop_user.id", index=True)
    cookie_hash: str = Field(unique=True)
    form_token: str
    created_at: datetime = instant()
    ends_at: datetime = instant()
    device: str = Field(default="", sa_column_kwargs={"server_default": ""})
    door: str = Field(default="password", sa_column_kwargs={"server_default": "password"})
    last_seen_at: datetime | None = maybe_instant()
    shared_device_id: int | None = None
    handed_over_at_concern: int | None = None


class ApiToken(OfShop, table=True):
    """What a program comes in by, for a person: `scope` is what it may do of that, until `ends_at`."""

    __tablename__ = "api_token"
    user_id: int = Field(foreign_key="shop_user.id", index=True)
    token_hash: str = Field(unique=True)
    created_at: datetime = instant()
    revoked_at: datetime | None = maybe_instant()
    name: str = Field(default="made before", sa_column_kwargs={"server_default": "made before"})
    scope: str = Field(default="role", sa_column_kwargs={"server_default": "role"})
    ends_at: datetime | None = maybe_instant()
    last_used_on: date | None = None


class SharedDevice(OfShop, table=True):
    """A tablet that people change on by name and PIN; its cookie holds a random key, kept as a hash.

    While something is programmed from it, until `programming_until`, nobody is locked out on it.
    """

    __tablename__ = "shared_device"
    name: str
    key_hash: str = Field(unique=True)
    marked_by: str
    marked_at: datetime = instant()
    ended_at: datetime | None = maybe_instant()
    programming_until: datetime | None = maybe_instant()


class SharedPlace(OfShop, table=True):
    """The page that a person left a shared device on, to go on there."""

    __tablename__ = "shared_place"
    __table_args__ = (UniqueConstraint("device_id", "user_id"), NEVER_REUSE_IDS)
    device_id: int = Field(foreign_key="shared_device.id", index=True)
    user_id: int = Field(foreign_key="shop_user.id", index=True)
    path: str
    title: str
    at: datetime = instant()


class WrongTries(OfShop, table=True):
    """Tries to sign in that were wrong, in a row: of a name, a device or an address, all known by hashes.

    A try counts as wrong from before it is checked until it was right.
    """

    __tablename__ = "wrong_tries"
    __table_args__ = (UniqueConstraint("shop_id", "whose"), NEVER_REUSE_IDS)
    whose: str
    in_a_row: int
    last_at: datetime = instant(index=True)


class AnonymousCalls(OfShop, table=True):
    """How many calls the people of an address (of IPv6 a network) had left when last counted."""

    __tablename__ = "anonymous_calls"
    __table_args__ = (UniqueConstraint("shop_id", "address"), NEVER_REUSE_IDS)
    address: str
    calls_left: float
    counted_at: datetime = instant(index=True)
