"""The people and the equipment of the invented shop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

from demo_data.makes import read_toml
from kb.nouns.bay.failure_sheets import FailureSheetDraft
from kb.nouns.people import Role


@dataclass(frozen=True, slots=True)
class Person:
    user_name: str
    display_name: str
    role: Role


@dataclass(frozen=True, slots=True)
class Device:
    """A pass-thru device, and on which day each make was seen to list it as validated."""

    name: str
    serial: str
    validated: tuple[tuple[str, date], ...]


@dataclass(frozen=True, slots=True)
class SupportUnit:
    name: str
    amperes: int
    clean_supply: bool
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Computer:
    name: str
    operating_system: str
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
class Shop:
    name: str
    currency: str
    timezone: str
    people: tuple[Person, ...]
    devices: tuple[Device, ...]
    support_units: tuple[SupportUnit, ...]
    computers: tuple[Computer, ...]
    requirements: tuple[Requirement, ...]
    offers: tuple[Offer, ...]
    failure_sheets: tuple[FailureSheetDraft, ...]


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
        devices=tuple(
            Device(d["name"], d["serial"], tuple((make, day(ago)) for make, ago in d["validated"].items()))
            for d in data["device"]
        ),
        support_units=tuple(SupportUnit(**row) for row in data["support_unit"]),
        computers=tuple(Computer(**row) for row in data["computer"]),
        requirements=tuple(
            Requirement(
                r["make"], r["text"], day(r["days_ago"]), r.get("module", ""), r.get("operating_system", "")
            )
            for r in data["requirement"]
        ),
        offers=tuple(Offer(**row) for row in data["offer"]),
        failure_sheets=tuple(FailureSheetDraft(**row) for row in data["failure_sheet"]),
    )
