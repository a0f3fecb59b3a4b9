"""What the invented shop programs with, and what its manufacturers ask for and sell."""

from __future__ import annotations

from demo_data.shop import Shop
from kb.desk import settings
from kb.desk.context import Desk
from kb.desk.shop import equipment, failure_sheets, plan_offers, requirements, upkeep, way_prices
from kb.desk.shop.equipment import EquipmentDraft, EquipmentKind
from kb.desk.shop.plan_offers import PlanOfferDraft
from kb.desk.shop.requirements import RequirementDraft
from kb.nouns.days import day_words


def equip(desk: Desk, shop: Shop) -> dict[str, int]:
    """Enter it all; gives the ids of equipment by name."""
    for offer in shop.offers:
        plan = PlanOfferDraft(offer.make, offer.days, offer.price_minor, offer.name)
        plan_offers.add_plan_offer(desk, plan)
    for one in shop.requirements:
        source = f"{one.make}, looked up {day_words(one.looked_up_on)}"
        place = "battery" if "support" in one.text.lower() else "cabin"
        requirements.add_requirement(
            desk,
            RequirementDraft(
                one.make,
                place,
                one.text,
                one.module,
                source_line=source,
                operating_system=one.operating_system,
            ),
        )
    told = "courses of the last two years, a year"
    settings.change_setting(desk, "training_by_make_minor", dict(shop.training), told)
    settings.change_setting(desk, "device_rent_by_make_minor", dict(shop.device_rent), "asked by phone")
    for price in shop.way_prices:
        way_prices.put_way_price(desk, price)
    for sheet in shop.failure_sheets:
        failure_sheets.put_failure_sheet(desk, sheet)
    ids = {draft.name: equipment.add_equipment(desk, draft).id for draft in _equipment(shop)}
    pieces = [(one.name, one.upkeep) for one in shop.devices]
    pieces += [(one.name, one.upkeep) for one in shop.support_units]
    pieces += [(one.name, one.upkeep) for one in shop.computers]
    for name, kept in pieces:
        upkeep.put_cost(desk, ids[name], kept.cost)
        for version in kept.versions:
            upkeep.add_version(desk, ids[name], version)
    return ids


def _equipment(shop: Shop) -> list[EquipmentDraft]:
    return [
        *(
            EquipmentDraft(EquipmentKind.PASS_THRU_DEVICE, d.name, d.serial, dict(d.validated))
            for d in shop.devices
        ),
        *(
            EquipmentDraft(
                EquipmentKind.BATTERY_SUPPORT_UNIT if u.clean_supply else EquipmentKind.CHARGER,
                u.name,
                f"{u.amperes} A{', clean supply' if u.clean_supply else ''}. {u.remark}".strip(),
            )
            for u in shop.support_units
        ),
        *(
            EquipmentDraft(EquipmentKind.COMPUTER, c.name, f"{c.operating_system}. {c.remark}".strip())
            for c in shop.computers
        ),
    ]
