"""What each piece of equipment costs a year, and which firmware and driver ran on it since which day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from kb.desk.context import Desk, anyone_in_the_shop, lead_or_owner
from kb.desk.named_faults import named
from kb.desk.saving import changed, row_of, saved
from kb.desk.shop.equipment import EquipmentView, list_equipment
from kb.desk.shop.subscriptions import wrong_price
from kb.errors import BadInput
from kb.nouns.concerns import ProgrammingEventDraft
from kb.nouns.copying import columns_of, copied
from kb.nouns.days import day_words
from kb.records.store.shop import equipment as store
from kb.records.tables import Equipment, EquipmentVersion

LONGEST_YEARS = 30


@dataclass(frozen=True, slots=True)
class EquipmentCost:
    """What it cost, in minor units, and how many years it serves; None where nobody entered it."""

    price_minor: int | None = None
    years: int | None = None

    @property
    def a_year_minor(self) -> int | None:
        """Its share of a year, evenly; None where the price or the years are not entered."""
        return round(self.price_minor / self.years) if self.price_minor is not None and self.years else None


@dataclass(frozen=True, slots=True)
class VersionDraft:
    """What runs on a piece from a day on: its firmware, and its driver on the computer."""

    firmware: str
    driver: str
    since: date

    @property
    def words(self) -> str:
        parts = (("firmware", self.firmware), ("driver", self.driver))
        return ", ".join(f"{what} {said}" for what, said in parts if said)


@dataclass(frozen=True, slots=True)
class VersionView:
    id: int
    content: VersionDraft
    by: str


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A piece with its cost and its versions, newest first."""

    piece: EquipmentView
    cost: EquipmentCost
    versions: tuple[VersionView, ...]


@lead_or_owner
def list_upkeep(desk: Desk, *, retired_too: bool = False) -> tuple[Upkeep, ...]:
    """Every piece in use, by kind."""
    rows = {row.id: row for row in store.equipment(desk.session, desk.shop.id, retired_too=True)}
    versions: dict[int, list[VersionView]] = defaultdict(list)
    for row in store.versions(desk.session, desk.shop.id):
        versions[row.equipment_id].append(_view(row))
    return tuple(
        Upkeep(one, copied(EquipmentCost, rows[one.id]), tuple(reversed(versions[one.id])))
        for one in list_equipment(desk, retired_too=retired_too)
    )


@lead_or_owner
def put_cost(desk: Desk, equipment_id: int, cost: EquipmentCost) -> EquipmentCost:
    """Enter what a piece cost and how many years it serves, or take both back.

    Raises BadInput for a price or years that cannot be, or for one without the other.
    """
    row = _piece(desk, equipment_id)
    wrong: dict[str, str] = {}
    if (cost.price_minor is None) != (cost.years is None):
        wrong["years" if cost.years is None else "price"] = "price and years go together"
    if cost.price_minor is not None and (price := wrong_price(cost.price_minor, desk.shop.currency)):
        wrong["price"] = price
    if cost.years is not None and not 1 <= cost.years <= LONGEST_YEARS:
        wrong["years"] = f"1 to {LONGEST_YEARS}"
    if wrong:
        raise BadInput(named("The cost cannot be saved like this", wrong), fields=wrong)
    saved(desk, changed(row, columns_of(cost)), "priced", "equipment", price_minor=cost.price_minor)
    return cost


@anyone_in_the_shop
def add_version(desk: Desk, equipment_id: int, draft: VersionDraft) -> VersionView:
    """Write down what runs on a piece since a day; a second entry for the same day corrects the first.

    Raises BadInput without a version, or for a day to come.
    """
    _piece(desk, equipment_id)
    if not (draft.firmware.strip() or draft.driver.strip()):
        raise BadInput("Enter the firmware or the driver.", fields={"firmware": "needed, or the driver"})
    if draft.since > desk.today:
        raise BadInput(
            f"{day_words(draft.since)} is still to come. Enter the day on which it went on.",
            fields={"since": "not after today"},
        )
    row = next((one for one in _of(desk, equipment_id) if one.since == draft.since), None)
    row = row or EquipmentVersion(
        shop_id=desk.shop.id, equipment_id=equipment_id, since=draft.since, by=desk.actor.name
    )
    row.sqlmodel_update(columns_of(draft) | {"by": desk.actor.name})
    return _view(saved(desk, row, "version", "equipment version", equipment=equipment_id))


@anyone_in_the_shop
def versions_in_use(desk: Desk, draft: ProgrammingEventDraft) -> dict[str, str]:
    """What ran on the sitting's equipment by what was entered for its day, as columns of the sitting."""
    pieces = {
        "device_version": draft.device_id,
        "computer_version": draft.computer_id,
        "support_unit_version": draft.support_unit_id,
    }
    if not any(pieces.values()):
        return {}
    ran = _running_on(store.versions(desk.session, desk.shop.id), draft.performed_on)
    return {name: ran.get(piece or 0, "") for name, piece in pieces.items()} if ran else {}


def _running_on(rows: Iterable[EquipmentVersion], day: date) -> dict[int, str]:
    """The newest version by that day in words, by equipment; `rows` oldest first."""
    return {row.equipment_id: _view(row).content.words for row in rows if row.since <= day}


def _of(desk: Desk, equipment_id: int) -> list[EquipmentVersion]:
    return [one for one in store.versions(desk.session, desk.shop.id) if one.equipment_id == equipment_id]


def _piece(desk: Desk, equipment_id: int) -> Equipment:
    return row_of(desk, Equipment, equipment_id, "There is no such equipment.")


def _view(row: EquipmentVersion) -> VersionView:
    return VersionView(row.id or 0, copied(VersionDraft, row), row.by)
