"""Nobody starts past an open stop or an open line, and values that cannot be are not written down."""

from __future__ import annotations

import pytest

from kb.desk import advice, concerns, equipment, facts, prep, requirements
from kb.desk.context import Desk, RunningShop
from kb.desk.equipment import EquipmentDraft, EquipmentKind
from kb.desk.measured import printed_window, read_value
from kb.desk.requirements import RequirementDraft
from kb.errors import BadInput
from tests.factories import a_concern, actor_of


def ready_but_for(desk: Desk, concern: int) -> None:
    """Every line settled: measured where there is a unit, passed where it blocks, ticked otherwise."""
    for item in prep.prep_list(desk, concern).open_lines:
        if item.line.blocks:
            prep.pass_over(desk, concern, item.line.key, "lent by the shop next door")
        else:
            prep.tick(desk, concern, item.line.key, "13.5" if item.line.unit else "")


def test_an_open_battery_fault_stops_the_start_until_somebody_overrides_it(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        ready_but_for(desk, concern)
        facts.put_gate(desk, concern, "battery", "fault")
        with pytest.raises(BadInput, match="Stop: battery"):
            prep.start(desk, concern, confirmed=True)
        assert not prep.prep_list(desk, concern).ready
        advice.lift_stop(desk, concern, "battery", "new battery goes in after this")
        prep.start(desk, concern)
        assert "override by Technician, new battery" in prep.prep_list(desk, concern).overrides[0]


def test_a_blocking_line_is_passed_with_a_reason_and_plain_ones_are_confirmed_by_name(
    shop: RunningShop,
) -> None:
    with shop.writing(actor_of(shop, "tech")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        with pytest.raises(BadInput, match="No pass-thru device"):
            prep.start(desk, concern, confirmed=True)
        for item in prep.prep_list(desk, concern).blocking:
            prep.pass_over(desk, concern, item.line.key, "lent by the shop next door")
        with pytest.raises(BadInput, match="confirm by name"):
            prep.start(desk, concern)
        prep.start(desk, concern, confirmed=True)
        listed = prep.prep_list(desk, concern)
    kept = {item.line.key: (item.by, item.passed_over) for _place, items in listed.places for item in items}
    assert listed.ready
    assert kept["wall_power"] == ("tech", "started with this line open")


def test_a_charger_is_never_offered_for_programming(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        concern = concerns.open_concern(desk, a_concern()).id
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.CHARGER, "Bay 4"))
        unit = EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Bay 5", "40 A. Charger only, no supply")
        equipment.add_equipment(desk, unit)
        assert "support_unit_here" in {item.line.key for item in prep.prep_list(desk, concern).blocking}
        equipment.add_equipment(desk, EquipmentDraft(EquipmentKind.BATTERY_SUPPORT_UNIT, "Bay 2", "100 A"))
        lines = [item.line.text for _place, items in prep.prep_list(desk, concern).places for item in items]
    assert "Support unit: Bay 2" in lines


def test_voltage_is_read_with_a_comma_and_what_cannot_be_is_asked_back() -> None:
    assert read_value("13,5", "V") == read_value(" 13.5 ", "V") == 13.5
    with pytest.raises(BadInput, match=r"Is it 13\.5\?"):
        read_value("135", "V")
    for wrong in ("8.9", "18.1", "-13", "a", ""):
        with pytest.raises(BadInput):
            read_value(wrong, "V")


def test_a_window_is_read_off_a_line_and_other_ranges_are_not() -> None:
    assert printed_window("Hold 13.2 to 13.8 V", "V") == (13.2, 13.8)
    assert printed_window("Hold 13,2\u201313,8 V for 2 to 3 minutes", "V") == (13.2, 13.8)
    assert printed_window("Wait 2 to 3 minutes", "V") is None


def test_a_voltage_outside_the_printed_window_is_only_passed_over_with_a_reason(shop: RunningShop) -> None:
    with shop.writing(actor_of(shop, "lead")) as desk:
        draft = a_concern()
        wanted = RequirementDraft(draft.vehicle.make, "battery", "Support voltage 13.2 to 13.8", unit="V")
        requirements.add_requirement(desk, wanted)
        concern = concerns.open_concern(desk, draft).id
        with pytest.raises(BadInput, match=r"12\.6 V is outside 13\.2 to 13\.8"):
            prep.tick(desk, concern, "make-1", "12,6")
        prep.pass_over(desk, concern, "make-1", "procedure allows 12.5 here", measured="12,6")
        items = [item for _place, items in prep.prep_list(desk, concern).places for item in items]
        item = next(item for item in items if item.line.key == "make-1")
    assert (item.measured, item.by) == ("12.6", "lead")
    assert item.passed_over == "procedure allows 12.5 here"
