"""The people and the equipment of the invented shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Any, TypeVar

from demo_data.makes import read_toml
from kb.desk.shop.upkeep import EquipmentCost, VersionDraft
from kb.nouns.bay.failure_sheets import FailureSheetDraft
from kb.nouns.people import Role
from kb.nouns.shop.sign_offs import AccessDraft, AccessKind, SignOffDraft, WorkKind
from kb.nouns.shop.ways import Way, WayPriceDraft

Piece = TypeVar("Piece")


@dataclass(frozen=True, slots=True)
class Person:
    user_name: str
    display_name: str
    role: Role


@dataclass(frozen=True, slots=True)
class Upkeep:
    """What a piece cost, for how many years it serves, and what ran on it since which day."""

    cost: EquipmentCost
    versions: tuple[VersionDraft, ...] = ()


@dataclass(frozen=True, slots=True)
class Device:
    """A pass-thru device, and on which day each make was seen to list it as validated."""

    name: str
    serial: str
    validated: tuple[tuple[str, date], ...]
    upkeep: Upkeep


@dataclass(frozen=True, slots=True)
class SupportUnit:
    name: str
    amperes: int
    clean_supply: bool
    upkeep: Upkeep
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Computer:
    name: str
    operating_system: str
    upkeep: Upkeep
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a make asks of the programming setup, as the lead copied it from the manufacturer's page."""

    make: str
    text: str
    looked_up_on: date
    module: str = ""
    operating_system: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """A programming subscription as the manufacturer sells it."""

    make: str
    name: str
    price_minor: int
    days: int


@dataclass(frozen=True, slots=True)
class Subscription:
    """One purchase. `key` names it within the story; the last day is included."""

    key: str
    offer: Offer
    bought_on: date
    expires_on: date


@dataclass(frozen=True, slots=True)
class SignedOff:
    """What somebody was signed off for, on which day."""

    person: str
    on: date
    draft: SignOffDraft


@dataclass(frozen=True, slots=True)
class OwnAccess:
    """Whose access to a make ends when."""

    person: str
    draft: AccessDraft


@dataclass(frozen=True, slots=True)
class Shop:
    """`training`: what courses for a make cost a year, `device_rent` a device a day, in whole units."""

    name: str
    currency: str
    timezone: str
    people: tuple[Person, ...]
    sign_offs: tuple[SignedOff, ...]
    own_access: tuple[OwnAccess, ...]
    devices: tuple[Device, ...]
    support_units: tuple[SupportUnit, ...]
    computers: tuple[Computer, ...]
    requirements: tuple[Requirement, ...]
    offers: tuple[Offer, ...]
    failure_sheets: tuple[FailureSheetDraft, ...]
    way_prices: tuple[WayPriceDraft, ...]
    training: tuple[tuple[str, float], ...]
    device_rent: tuple[tuple[str, float], ...]


@cache
def load_shop(today: date) -> Shop:
    """The shop of shop.toml; days are counted back from `today`."""
    data = read_toml("shop.toml")

    def day(days_ago: int) -> date:
        return today - timedelta(days=days_ago)

    return Shop(
        name=data["name"],
        currency=data["currency"],
        timezone=data["timezone"],
        people=tuple(Person(p["user"], p["name"], Role(p["role"])) for p in data["person"]),
        sign_offs=tuple(_signed_off(row, today) for row in data["sign_off"]),
        own_access=tuple(_own_access(row, today) for row in data["own_access"]),
        devices=tuple(
            Device(
                d["name"],
                d["serial"],
                tuple((make, day(ago)) for make, ago in d["validated"].items()),
                _upkeep(d["upkeep"], today),
            )
            for d in data["device"]
        ),
        support_units=tuple(_with_upkeep(SupportUnit, row, today) for row in data["support_unit"]),
        computers=tuple(_with_upkeep(Computer, row, today) for row in data["computer"]),
        requirements=tuple(
            Requirement(
                r["make"], r["text"], day(r["days_ago"]), r.get("module", ""), r.get("operating_system", "")
            )
            for r in data["requirement"]
        ),
        offers=tuple(Offer(**row) for row in data["offer"]),
        failure_sheets=tuple(FailureSheetDraft(**row) for row in data["failure_sheet"]),
        training=tuple(data["training"].items()),
        device_rent=tuple(data["device_rent"].items()),
        way_prices=tuple(_way_price(row, today) for row in data["way_price"]),
    )


def _signed_off(row: dict[str, Any], today: date) -> SignedOff:
    trained, ends = row.get("trained_ago"), row.get("ends_in")
    draft = SignOffDraft(
        kinds=tuple(WorkKind(kind) for kind in row["kinds"]),
        makes=tuple(row.get("makes", ())),
        trained_on=None if trained is None else today - timedelta(trained),
        trained_what=row.get("what", ""),
        valid_to=None if ends is None else today + timedelta(ends),
        newcomer=row.get("newcomer", False),
    )
    return SignedOff(row["person"], today - timedelta(row["days_ago"]), draft)


def _own_access(row: dict[str, Any], today: date) -> OwnAccess:
    draft = AccessDraft(AccessKind(row["kind"]), row["make"], today + timedelta(row["ends_in"]))
    return OwnAccess(row["person"], draft)


def _with_upkeep(kind: type[Piece], row: dict[str, Any], today: date) -> Piece:
    return kind(**row | {"upkeep": _upkeep(row["upkeep"], today)})


def _way_price(row: dict[str, Any], today: date) -> WayPriceDraft:
    asked_on = today - timedelta(days=row["days_ago"])
    way, price, days = Way(row["way"]), row["price_minor"], row["days"]
    return WayPriceDraft(
        row["make"], way, price, days, asked_on, row.get("module", ""), asked_of=row["asked_of"]
    )


def _upkeep(told: dict[str, Any], today: date) -> Upkeep:
    """`versions`: (days ago, firmware, driver)."""
    versions = told.get("versions", ())
    return Upkeep(
        EquipmentCost(told.get("price_minor"), told.get("years")),
        tuple(VersionDraft(firmware, driver, today - timedelta(ago)) for ago, firmware, driver in versions),
    )
