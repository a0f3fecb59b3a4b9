"""The shop itself: its settings, revisions, people, sign-ins and the trail of who did what."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Index, UniqueConstraint, false
from sqlmodel import Field, SQLModel

from kb.records.tables.columns import NEVER_REUSE_IDS, Numbered, OfShop, instant, maybe_instant


class Shop(Numbered, table=True):
    """The shop itself. `set_up_code_hash` guards the first-run page: the server's console shows the code.

    `device_key` signs what devices are known by, and hides the names of `WrongTries`.
    """

    name: str
    timezone: str
    currency: str
    is_demo: bool = False
    set_up_code_hash: str | None = None
    device_key: str | None = None
    created_at: datetime = instant()


class ShopSetting(OfShop, table=True):
    """One value that the shop changed, with why and by whom; defaults live with the desk."""

    __tablename__ = "shop_setting"
    __table_args__ = (UniqueConstraint("shop_id", "key"), NEVER_REUSE_IDS)
    key: str
    value: str
    source_line: str = ""
    author: str
    set_on: date
    version: int = 1


class Revision(SQLModel, table=True):
    """A counter per topic: caches in every process compare it and know when they are old."""

    __tablename__ = "revision"
    shop_id: int = Field(foreign_key="shop.id", primary_key=True)
    topic: str = Field(primary_key=True)
    number: int = 0


class BackupTurn(OfShop, table=True):
    """Which host of a shop on PostgreSQL makes the copies, or made the last, and how that went.

    `taken_at`: when `host` began; `night`: of which the newest is the copy; `made_*`: the newest of any kind.
    """

    __tablename__ = "backup_turn"
    __table_args__ = (UniqueConstraint("shop_id"), NEVER_REUSE_IDS)
    host: str
    taken_at: datetime = instant()
    ended: bool = False
    failure: str = ""
    night: date | None = None
    made_at: datetime | None = maybe_instant()
    made_on: str = ""
    made_as: str = ""


class User(OfShop, table=True):
    """An account. `password_is_given`: somebody else chose it, so that it is changed at the next sign-in.
    `pin_wrong`: wrong tries of the PIN in a row.
    """

    __tablename__ = "shop_user"
    __table_args__ = (UniqueConstraint("shop_id", "name"), NEVER_REUSE_IDS)
    name: str
    display_name: str
    role: str
    password_hash: str | None = None
    pin_hash: str | None = None
    pin_wrong: int = Field(default=0, sa_column_kwargs={"server_default": "0"})
    password_is_given: bool = Field(default=False, sa_column_kwargs={"server_default": false()})
    disabled_at: datetime | None = maybe_instant()
    version: int = 1


class Trail(OfShop, table=True):
    """Who did what, when, to which row. Appended to; the database refuses anything but taking words away.

    `seal` is over the line before and this one (`kb/records/trail_seals.py`). `salt` is empty where the words
    of the line, its `detail`, were taken away.
    """

    __tablename__ = "trail"
    __table_args__ = (Index("trail_by_noun", "noun", "noun_id"), NEVER_REUSE_IDS)
    at: datetime = instant(index=True)
    user_id: int | None = Field(default=None, foreign_key="shop_user.id")
    who: str
    action: str
    noun: str
    noun_id: int | None = None
    detail: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    salt: str | None = None
    detail_digest: str = Field(default="", sa_column_kwargs={"server_default": ""})
    seal: str = Field(default="", sa_column_kwargs={"server_default": ""})


class TrailHead(OfShop, table=True):
    """How many lines the trail has, and the seal of the last, by which a cut end is found. Its last check."""

    __tablename__ = "trail_head"
    rows: int
    seal: str
    checked_at: datetime | None = maybe_instant()
    checked_by: str = ""
    checked_says: str = ""


class Equipment(OfShop, table=True):
    """A pass-thru device, computer, battery support unit or bench kit.

    `validated` maps a make to the day somebody looked up that the manufacturer lists it. `price_minor` and
    the `years` that it serves are empty where nobody entered them.
    """

    __tablename__ = "equipment"
    kind: str
    name: str
    details: str = ""
    validated: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    price_minor: int | None = None
    years: int | None = None
    retired_on: date | None = None
    version: int = 1


class EquipmentVersion(OfShop, table=True):
    """What ran on a piece of equipment from a day on: its firmware, and its driver on the computer."""

    __tablename__ = "equipment_version"
    equipment_id: int = Field(foreign_key="equipment.id", index=True)
    firmware: str = ""
    driver: str = ""
    since: date
    by: str


class MakeRequirement(OfShop, table=True):
    """One thing that a manufacturer asks for before programming, as the lead entered it."""

    __tablename__ = "make_requirement"
    make: str
    module: str = ""
    place: str
    text: str
    unit: str = ""
    source_line: str = ""
    operating_system: str = Field(default="", sa_column_kwargs={"server_default": ""})
    retired_on: date | None = None
    version: int = 1


class FailureSheetRow(OfShop, table=True):
    """What is at hand for when programming a make fails; `make_folded` is one writing of the make."""

    __tablename__ = "failure_sheet"
    __table_args__ = (UniqueConstraint("shop_id", "make_folded"), NEVER_REUSE_IDS)
    make: str
    make_folded: str
    support_line: str = ""
    support_hours: str = ""
    latest_start: str = ""
    module_price_minor: int | None = None
    module_days: int | None = None
    tow: str = ""
    customer_sentence: str = ""
    by: str
    looked_up_on: date
    version: int = 1


class Subscription(OfShop, table=True):
    """Access bought from a manufacturer: information or programming, with its price and last day."""

    __tablename__ = "subscription"
    make: str
    kind: str
    plan: str = ""
    price_minor: int
    bought_on: date
    ends_on: date
    remark: str = ""
    version: int = 1


class PlanOffer(OfShop, table=True):
    """A programming plan as a manufacturer sells it: days in a row that it covers, and its price."""

    __tablename__ = "plan_offer"
    make: str
    plan: str = ""
    days: int
    price_minor: int
    looked_up_on: date
    by: str
    retired_on: date | None = None
