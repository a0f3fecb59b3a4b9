"""What the shop programs with: devices, computers, support units, and for which makes they are validated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from enum import StrEnum
from typing import Any

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.saving import changed, refuse_stale, row_of, saved
from kb.errors import BadInput
from kb.records.store.shop import equipment as store
from kb.records.tables import Equipment


class EquipmentKind(StrEnum):
    """A battery support unit is a clean power supply. A charger is never offered for programming."""

    PASS_THRU_DEVICE = "pass_thru_device"  # noqa: S105  # a device, not a password
    COMPUTER = "computer"
    BATTERY_SUPPORT_UNIT = "battery_support_unit"
    BENCH_KIT = "bench_kit"
    CHARGER = "charger"


@dataclass(frozen=True, slots=True)
class EquipmentDraft:
    """`details` is free text (a computer's operating system, a unit's amperes).

    `validated` maps a make to the day somebody looked up that the manufacturer lists the device.
    """

    kind: EquipmentKind
    name: str
    details: str = ""
    validated: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class EquipmentView:
    id: int
    version: int
    retired: bool
    content: EquipmentDraft


@anyone_in_the_shop
def list_equipment(desk: Desk, *, retired_too: bool = False) -> tuple[EquipmentView, ...]:
    """What is in use, by kind."""
    return tuple(_view(row) for row in store.equipment(desk.session, desk.shop.id, retired_too=retired_too))


@anyone_in_the_shop
def support_units(desk: Desk) -> dict[int, str]:
    """Names by id of what may hold the voltage while a module is programmed, retired ones too.

    Chargers are a kind of their own; a unit entered as "charger only" in its details is none either.
    """
    return {
        one.id: one.content.name
        for one in list_equipment(desk, retired_too=True)
        if supports_programming(one.content)
    }


@anyone_in_the_shop
def for_events(desk: Desk) -> tuple[EquipmentView, ...]:
    """What may be named in a programming event: no mere charger, whatever it was entered as."""
    kinds = (EquipmentKind.BATTERY_SUPPORT_UNIT, EquipmentKind.CHARGER)
    every = list_equipment(desk)
    return tuple(one for one in every if one.content.kind not in kinds or supports_programming(one.content))


def supports_programming(one: EquipmentDraft) -> bool:
    """Whether this is a clean supply that may be offered for programming."""
    return one.kind is EquipmentKind.BATTERY_SUPPORT_UNIT and "charger only" not in one.details.casefold()


def is_marked_clean(one: EquipmentDraft) -> bool:
    """Whether its details say that its supply is clean; of another the ripple is measured."""
    return "clean" in one.details.casefold()


@lead_or_owner
def add_equipment(desk: Desk, draft: EquipmentDraft) -> EquipmentView:
    """Raises BadInput without a name, or for a look-up on a day to come."""
    return _saved(desk, Equipment(shop_id=desk.shop.id, **_columns(draft, desk.today)), "added")


@lead_or_owner
def change_equipment(desk: Desk, equipment_id: int, version: int, draft: EquipmentDraft) -> EquipmentView:
    """Save it anew. A stale version raises Conflict with both texts."""
    row = _row(desk, equipment_id)
    columns = _columns(draft, desk.today)
    both = {"yours": asdict(draft), "theirs": asdict(_view(row).content)}
    refuse_stale(row, version, "Somebody else changed this equipment meanwhile.", **both)
    return _saved(desk, changed(row, columns), "changed")


@lead_or_owner
def retire_equipment(desk: Desk, equipment_id: int) -> EquipmentView:
    """No longer offered; programming events that used it keep it."""
    row = _row(desk, equipment_id)
    return _saved(desk, changed(row, {"retired_on": row.retired_on or desk.today}), "retired")


def _saved(desk: Desk, row: Equipment, action: str) -> EquipmentView:
    return _view(saved(desk, row, action, "equipment", "settings", name=row.name))


def _row(desk: Desk, equipment_id: int) -> Equipment:
    return row_of(desk, Equipment, equipment_id, "There is no such equipment.")


def _columns(draft: EquipmentDraft, today: date) -> dict[str, Any]:
    if not draft.name.strip():
        raise BadInput("Equipment needs a name.", fields={"name": "needed"})
    for make, day in draft.validated.items():
        if day > today:
            raise BadInput(
                f"{make}: {day} is still to come. Enter the day on which somebody looked it up.",
                fields={"validated": "not after today"},
            )
    return {
        "kind": draft.kind.value,
        "name": draft.name.strip(),
        "details": draft.details.strip(),
        "validated": {make.strip(): day.isoformat() for make, day in draft.validated.items() if make.strip()},
    }


def _view(row: Equipment) -> EquipmentView:
    validated = {make: date.fromisoformat(day) for make, day in row.validated.items()}
    content = EquipmentDraft(EquipmentKind(row.kind), row.name, row.details, validated)
    return EquipmentView(row.id or 0, row.version, row.retired_on is not None, content)
